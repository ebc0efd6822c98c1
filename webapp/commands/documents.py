"""`reckoner documents JOB.yaml --out DIR`: quote, shopping list and workshop pack of a job file as PDFs, as drafts."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from webapp.commands.estimate import add_shop_option, tell_left_out
from webapp.settings import Settings

if TYPE_CHECKING:
    from webapp.costing.estimate.estimate import Estimate
    from webapp.costing.estimate.snapshot import Inputs
    from webapp.job_file import Where
    from webapp.persistence.settings.shop import Paper, Shop


def add_to(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command with its options."""
    parser = commands.add_parser("documents", help="write quote, shopping list and workshop pack of a job file as PDFs")
    parser.add_argument("job", type=Path, metavar="JOB.yaml", help="the job's form")
    parser.add_argument("--out", type=Path, required=True, metavar="DIR", help="the folder to write them to")
    parser.add_argument("--paper", choices=("A4", "Letter"), help="the paper; left out, the shop's own")
    add_shop_option(parser)
    parser.set_defaults(run=documents)


def documents(arguments: argparse.Namespace) -> int:
    """Write the papers. Returns 2 with a sentence where they can't be written."""
    from webapp.costing.estimate.snapshot import estimate_inputs
    from webapp.costing.measures.manner import writing_as
    from webapp.job_file import load_job_file

    settings = Settings()
    inputs = load_job_file(arguments.job, arguments.shop, settings)
    shop = _shop(inputs, arguments.shop, settings)
    with writing_as(shop.manner):
        found = estimate_inputs(inputs)
        made = _papers(inputs, found, shop, arguments.paper or shop.paper)
        try:
            arguments.out.mkdir(parents=True, exist_ok=True)
            for name, content in made.items():
                (arguments.out / name).write_bytes(content)
                print(arguments.out / name)
        except OSError as error:
            print(f"{arguments.out} can't be written to: {error.strerror}.", file=sys.stderr)
            return 2
        if not found.complete:
            # Drafts that say themselves that they are not whole: what was asked for was done.
            tell_left_out(found)
    return 0


def _papers(inputs: Inputs, found: Estimate, shop: Shop, paper: Paper) -> dict[str, bytes]:
    """The PDFs by the names of their files."""
    from webapp.documents.printing.pdf import make_pdf
    from webapp.documents.quotes.issue import draft_papers, quote_html, shopping_list_html
    from webapp.documents.quotes.options import ways_offered
    from webapp.documents.workshop.pack import PackFor, workshop_html, workshop_pack

    today = inputs.catalogue.today
    papers = draft_papers(None, shop, inputs, found, today, paper, ways_offered(inputs))
    pack = workshop_pack(inputs, found, shop, PackFor("a draft", None, True, today), paper)
    return {
        "quote.pdf": make_pdf(quote_html(papers.quote)),
        "shopping-list.pdf": make_pdf(shopping_list_html(papers.shopping_list)),
        "workshop-pack.pdf": make_pdf(workshop_html(pack)),
    }


def _shop(inputs: Inputs, where: Where | None, settings: Settings) -> Shop:
    """Whose papers these are: the data folder's shop or the demo's, measuring and counting as the job file does."""
    from webapp.job_file import shop_behind
    from webapp.opening import DEMO_SHOP

    return replace(
        shop_behind(where, settings) or DEMO_SHOP,
        currency=inputs.catalogue.currency,
        currency_places=inputs.places,
        length_system=inputs.system,
    )
