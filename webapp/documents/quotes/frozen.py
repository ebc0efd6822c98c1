"""What an issued quote keeps, beside the bytes: everything it was made from, and every word its papers print."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from types import MappingProxyType
from typing import Any, Final, cast

from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.form import write_estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs, read_snapshot, write_snapshot
from webapp.costing.measures.manner import writing_as
from webapp.documents.buying.shopping_list import ListFor, ShoppingPaper, shopping_paper
from webapp.documents.quotes.options import OPTIONS, OfferedWay, read_options, write_options
from webapp.documents.quotes.quote import Issue, QuotePaper, quote_paper
from webapp.documents.workshop.pack import PackFor
from webapp.persistence.foundation.column_types import canonical_json
from webapp.persistence.settings.shop import LengthSystem, Paper, Shop

#: The shop as a paper shows it; its version and whether it is a demo are no part of a quote.
_ALWAYS: Final = frozenset(
    {"name", "address", "contact", "currency", "currency_places", "length_system", "time_zone", "paper", "logo"}
)
_SHOP_FIELDS: Final = (
    "name", "address", "contact", "currency", "currency_places", "length_system", "time_zone", "paper", "logo",
    "is_demo",
    "decimal_sign", "thousands_sign", "day_order", "trade_words", "tax_name", "tax_number",
)  # fmt: skip


class NotTheSame(Exception):
    """A snapshot does not give the papers it is kept for; such a quote is never issued."""

    def __init__(self) -> None:
        super().__init__("What would be kept of the quote doesn't print the same papers again.")


@dataclass(frozen=True, slots=True)
class Papers:
    """The quote and the shopping list of one estimate."""

    quote: QuotePaper
    shopping_list: ShoppingPaper


def write_papers(
    inputs: Inputs, estimate: Estimate, shop: Shop, issue: Issue, job_number: int | None, paper: Paper,
    offered: Sequence[OfferedWay] = (),
) -> Papers:  # fmt: skip
    """Both papers of an estimate, the quote with the other ways that it offers."""
    job, _ = inputs.read_job(inputs.job)
    if issue.number is not None:
        belongs_to = f"quote {issue.number}, revision {issue.revision}"
    else:
        belongs_to = "a draft" if job_number is None else f"job {job_number}, a draft"
    listed = ListFor(belongs_to, issue.draft, issue.written_on)
    quote = quote_paper(estimate, job, shop, issue, paper, offered)
    return Papers(quote, shopping_paper(estimate, job, shop, listed, paper))


def write_frozen(
    inputs: Inputs,
    estimate: Estimate,
    shop: Shop,
    issue: Issue,
    job_number: int,
    papers: Papers,
    agreed: tuple[str, ...],
    although: Mapping[str, str] = MappingProxyType({}),
    offered: Sequence[OfferedWay] = (),
) -> dict[str, Any]:
    """The snapshot of an issued quote: a plain document that gives the same figures and words again. `although` are
    the checks that fail, by their sentences, each with its maker's reason."""
    return {
        **write_snapshot(inputs, estimate),
        "shop": {name: getattr(shop, name) for name in _SHOP_FIELDS},
        "quote": {
            "number": issue.number,
            "revision": issue.revision,
            "written_on": issue.written_on.isoformat(),
            "stands_until": issue.stands_until.isoformat(),
            "job_number": job_number,
            "paper": papers.quote.head.paper,
            "wording": dict(issue.wording),
            "although": dict(although),
        },
        "agreed": list(agreed),
        "papers": asdict(papers),
        **({OPTIONS: write_options(offered)} if offered else {}),
    }


def work_out_again(document: Mapping[str, Any]) -> tuple[Estimate, Papers]:
    """The estimate and the papers of an issued quote, from its snapshot alone. Raises FormError for another form."""
    shop = read_shop(document["shop"])
    with writing_as(shop.manner):
        return _work_out(document, shop)


def _work_out(document: Mapping[str, Any], shop: Shop) -> tuple[Estimate, Papers]:
    inputs = read_snapshot(document)
    found = estimate_inputs(inputs)
    kept = document["quote"]
    issue = Issue(
        kept["number"],
        kept["revision"],
        date.fromisoformat(kept["written_on"]),
        date.fromisoformat(kept["stands_until"]),
        kept.get("wording", {}),
    )
    paper = cast(Paper, kept["paper"])
    return found, write_papers(inputs, found, shop, issue, kept["job_number"], paper, read_options(document))


def pack_for(snapshot: Mapping[str, Any]) -> PackFor:
    """What the papers of the workshop belong to, by what a snapshot keeps of its quote."""
    belongs_to = f"quote {snapshot['number']}, revision {snapshot['revision']}"
    written_on = date.fromisoformat(snapshot["written_on"])
    return PackFor(belongs_to, snapshot["job_number"], False, written_on, although_of(snapshot))


def although_of(snapshot: Mapping[str, Any]) -> Mapping[str, str]:
    """Why a quote went out although checks failed, by their sentences; of one kept before that was asked, nothing."""
    return cast(Mapping[str, str], snapshot.get("although", {}))


def hold_to_snapshot(document: Mapping[str, Any]) -> None:
    """Raise NotTheSame where what is about to be kept would not print the same papers again."""
    as_kept = json.loads(canonical_json(document))
    if not same_papers(as_kept, work_out_again(as_kept)[1]):
        raise NotTheSame


def same_figures(kept_estimate: Mapping[str, Any], estimate: Estimate) -> bool:
    """Whether every figure that was kept comes out as it was, to the fraction."""
    again = cast(Mapping[str, Any], write_estimate(estimate)["figures"])
    return estimate.complete and all(
        name in again and again[name]["value"] == held["value"] for name, held in kept_estimate["figures"].items()
    )


def same_papers(document: Mapping[str, Any], papers: Papers) -> bool:
    """Whether papers worked out again print the very words and figures that went out; pictures are no words."""
    return canonical_json(_told(asdict(papers))) == canonical_json(_told(document["papers"]))


def _told(papers: Mapping[str, Any]) -> dict[str, Any]:
    """Papers without the pictures of the lines: a later program may draw a bench otherwise."""
    lines = [{name: said for name, said in line.items() if name != "picture"} for line in papers["quote"]["lines"]]
    # A paper kept before quotes had options says nothing of any.
    return {**papers, "quote": {**papers["quote"], "lines": lines, OPTIONS: papers["quote"].get(OPTIONS, ())}}


def read_shop(snapshot: Mapping[str, Any]) -> Shop:
    """The shop as a quote shows it; one kept before shops said how they write wrote as every shop did."""
    return Shop(
        name=snapshot["name"],
        address=snapshot["address"],
        contact=snapshot["contact"],
        currency=snapshot["currency"],
        currency_places=snapshot["currency_places"],
        length_system=cast(LengthSystem, snapshot["length_system"]),
        time_zone=snapshot["time_zone"],
        paper=cast(Paper, snapshot["paper"]),
        logo=snapshot.get("logo", ""),
        **{name: snapshot[name] for name in _SHOP_FIELDS if name not in _ALWAYS and name in snapshot},
    )
