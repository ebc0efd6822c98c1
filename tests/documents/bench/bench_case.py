"""What is made for the bench from a design in the short form or from a starter, with the seed's materials."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from typing import Any, Final

from tests.costing.short_form.rack import catalogue
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_form.reader import read_design
from webapp.costing.estimate.estimate import MEASURING_STEP
from webapp.costing.items.expand import expand
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.ledger.working import Working
from webapp.costing.measures.quantities import System
from webapp.costing.settings.table import default_rates
from webapp.design_text import read_text
from webapp.documents.bench.work import BenchWork, ToMake, bench_work
from webapp.documents.plans.drawings import CutsOf
from webapp.seed import load_designs

MM: Final = 1_000_000


@cache
def starters() -> Mapping[str, Mapping[str, Any]]:
    """The starter designs by their codes, with what they use inside."""
    return {str(one["design"]): one for one in load_designs()}


def document_of(text: str) -> Mapping[str, Any]:
    """The document of a text."""
    document, unread = read_text(text)
    assert document is not None, unread
    return document


def work_of(
    design: str | Mapping[str, Any], quantity: int = 1, system: System = "metric", job: int | None = 7,
    shop: Catalogue | None = None, choices: Mapping[str, str] | None = None,
) -> BenchWork:  # fmt: skip
    """So many of a thing at its usual sizes, as a job; a starter by its code."""
    stock = shop or catalogue()
    read, problems = read_design(starters()[design] if isinstance(design, str) else design)
    assert read is not None, problems
    taken = expand(
        read, {}, choices or {}, {}, stock, default_rates(), Working(), "item/x", MEASURING_STEP[system], system
    )  # fmt: skip
    made = Working().given("quantity", "Made", Fraction(quantity), "", "")
    cuts = CutsOf((ItemTaken("one", "Bench", made, taken),), (), system)
    return bench_work(cuts, stock.materials, "job 7", "A trial", job)


def made_of(work: BenchWork, part: str) -> ToMake:
    """A kind of part by its name in the design."""
    return next(one for one in work.made if one.part.name == part)
