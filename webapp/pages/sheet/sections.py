"""What folds on the sheet and says what it holds: the cells of the title block, and the sections beneath them.

A section that is folded sends its heading alone; its rows come when it is opened.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.helper_view import Work
from webapp.pages.sheet.fields import NOVELTY_WORDS, JobFields
from webapp.pages.sheet.strip import Strip
from webapp.pages.shown.figures import Shower, Shown
from webapp.showing import Reader, counted

SECTIONS: Final = ("materials", "hours", "price", "checks", "basis", "plans")
#: Long lists to choose from that come only where somebody asks for them.
LISTS: Final = ("settings", "replace")
#: What each kind of added line is called where none is added yet.
MAY_BE_ADDED: Final = "labour, parts, services, hire"
#: Before the name of a section in the name of the field that says it is open.
OPEN: Final = "open."


@dataclass(frozen=True, slots=True)
class Heading:
    """What a section says while it is folded: its sum, marked when it changes, and words."""

    sum: Shown | None
    words: str


def opened(fields: Iterable[tuple[str, str]], act: str = "") -> frozenset[str]:
    """The sections that an open page shows with their rows; a button without script opens one more."""
    named = {name.removeprefix(OPEN) for name, _ in fields if name.startswith(OPEN)}
    verb, _, section = act.partition(":")
    return frozenset((named | {section} if verb == "open" else named) & {*SECTIONS, *LISTS})


def asked_open(query: Iterable[str]) -> frozenset[str]:
    """The sections that an address asks for; 'all' are all of them."""
    asked = set(query)
    return frozenset((*SECTIONS, *LISTS)) if "all" in asked else frozenset(asked & {*SECTIONS, *LISTS})


def headings(estimate: Estimate | Work, strip: Strip, differs: tuple[str, ...], shower: Shower) -> dict[str, Heading]:
    """The headings of the sections that follow from the sums; without a price where no more than the work is seen."""
    found = {
        "materials": _materials(estimate, strip, shower),
        "hours": Heading(_still(strip.hours, "sum-hours"), _hours(estimate, strip)),
        "checks": _checks(estimate),
        "basis": Heading(None, _basis(estimate, differs)),
    }
    if isinstance(estimate, Estimate):
        found["price"] = Heading(
            Shown(shower.reader.amount(estimate.totals.total.value), "", None, "sum-price"),
            _price(estimate, shower.reader),
        )
    return found


def _still(shown: Shown, name: str) -> Shown:
    """A figure in a heading, which opens its section and no working."""
    return Shown(shown.text, shown.unit, None, name)


def _materials(estimate: Estimate | Work, strip: Strip, shower: Shower) -> Heading:
    bought = estimate.materials_bought if isinstance(estimate, Work) else estimate.figures.get("price/materials_bought")
    said: list[str] = []
    sum_: Shown | None
    if isinstance(estimate, Estimate):
        charged = sum((one.charged.value for one in estimate.bought), Fraction(0))
        sum_ = Shown(shower.reader.amount(charged), "", None, "sum-charged")
        said.append("charged")
        if bought is not None:
            said.append(f"{shower.reader.amount(bought.value)} as bought")
    else:
        sum_ = None if bought is None else Shown(shower.reader.amount(bought.value), "", None, "sum-bought")
        said.append("as bought")
    return Heading(sum_, "; ".join([*said, *filter(None, [strip.open_prices])]))


def _hours(estimate: Estimate | Work, strip: Strip) -> str:
    ready = f"ready in {strip.ready.text} {strip.ready.unit}"
    parts = f": {', '.join(strip.ready_parts)}" if strip.ready_parts else ""
    likely = f"{strip.hours_likely.text} {strip.hours_likely.unit} likely"
    return f"mean; {likely}; {counted(len(estimate.steps), 'step')}; {ready}{parts}"


def _price(estimate: Estimate, reader: Reader) -> str:
    totals = estimate.totals
    said = [f"cost {reader.amount(totals.cost.value)}", f"profit {reader.amount(totals.profit.value)}"]
    if totals.deposit.value:
        said.append(f"deposit {reader.amount(totals.deposit.value)}")
    return "; ".join(said)


def _checks(estimate: Estimate | Work) -> Heading:
    outcomes = [check.outcome for _, check in estimate.checks]
    count = {outcome: outcomes.count(outcome) for outcome in ("failure", "warning", "unknown", "pass")}
    said = [f"{count['pass']} hold"] if outcomes else ["nothing to check yet"]
    if count["failure"]:
        said.insert(0, f"{count['failure']} {'fails' if count['failure'] == 1 else 'fail'}")
    if count["warning"]:
        said.insert(-1, counted(count["warning"], "warning"))
    if count["unknown"]:
        said.insert(-1, f"{count['unknown']} not known")
    return Heading(Shown(str(len(outcomes)), "", None, "sum-checks") if outcomes else None, "; ".join(said))


def _basis(estimate: Estimate | Work, differs: tuple[str, ...]) -> str:
    said = [f"{counted(len(differs), 'change')} from standard: {differs[0]}"] if differs else ["as standard"]
    if estimate.basis.exclusions:
        said.append(f"{len(estimate.basis.exclusions)} not included")
    return "; ".join(one.rstrip(".") for one in said)


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell of the title block: what it is about, what it holds, and more of that in small; `wrong` where a field
    within was not taken."""

    name: str
    label: str
    holds: str
    more: str
    wrong: bool = False


def title_cells(
    document: Mapping[str, Any], fields: JobFields, estimate: Estimate, reader: Reader | None
) -> list[Cell]:
    """The cells of a document; without a reader of money those alone that a helper sees."""
    customer = document.get("customer", {})
    address = str(customer.get("address", "")).replace("\n", ", ") or str(document.get("site", ""))
    of_customer = (fields.title, *fields.customer, fields.address, fields.site, fields.notes)
    cells = [
        Cell("whom", "For", customer.get("name", "") or "nobody named yet", address, _wrong(of_customer)),
        Cell("delivery", "Delivery", *_delivery(document), _wrong((*fields.delivery, fields.install, *fields.way))),
    ]
    if reader is not None:
        of_terms = (
            fields.novelty, fields.discount, fields.card, *fields.facts, fields.not_included,
            *(one for setting in fields.settings for one in (setting.value, setting.why)),
        )  # fmt: skip
        cells.append(Cell("terms", "Terms", *_terms(document, estimate, reader), _wrong(of_terms)))
    else:
        told = (
            counted(len(document.get("not_included", ())), "line") if document.get("not_included") else "as usual"
        )
        cells.append(Cell("notes", "Not included", told, "", _wrong((fields.not_included,))))
    cells.append(_lines(document, fields, estimate, reader))
    return cells


def _wrong(fields: Any) -> bool:
    return any(field is not None and field.problem for field in fields)


def _delivery(document: Mapping[str, Any]) -> tuple[str, str]:
    trip = document.get("delivery", {})
    says = [str(trip[key]) for key in ("distance", "travel") if trip.get(key)]
    if trip.get("people", "1") != "1":
        says.append(f"{trip['people']} people")
    installed = "set up on site" if document.get("install") else "no installation"
    return (", ".join(says) if says else "none, collected here"), installed


def _terms(document: Mapping[str, Any], estimate: Estimate, reader: Reader) -> tuple[str, str]:
    novelty = NOVELTY_WORDS.get(str(document.get("novelty", "known")), str(document.get("novelty", "")))
    totals, more = estimate.totals, []
    if document.get("discount"):
        more.append(f"discount {reader.amount(totals.discount.value)}")
    more.append(f"deposit {reader.amount(totals.deposit.value)}")
    more.append(f"valid for {counted(estimate.basis.stands_days, 'day')}")
    if document.get("card"):
        more.append("paid by card")
    if document.get("settings"):
        more.append(f"{counted(len(document['settings']), 'setting')} changed")
    return novelty, ", ".join(more)


def _lines(document: Mapping[str, Any], fields: JobFields, estimate: Estimate, reader: Reader | None) -> Cell:
    lines = document.get("lines", ())
    of_lines = [field for line in fields.lines for field in line.each()]
    wrong = _wrong(of_lines) or any(line.problems for line in fields.lines)
    label = "Added lines" if reader is not None else "Also to do"
    if not lines:
        return Cell("free", label, "none", MAY_BE_ADDED if reader is not None else "", wrong)
    cost = sum((line.cost.value for line in estimate.lines if line.sort == "free"), Fraction(0))
    holds = counted(len(lines), "line")
    if reader is not None:
        holds = f"{holds}, {reader.amount(cost)}"
    return Cell("free", label, holds, ", ".join(str(line.get("says", "")) for line in lines), wrong)
