"""Two versions of a design side by side: what its text says otherwise, and what that makes of it, at its usual sizes or
at those of a job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Annotated, Any, Final

from fastapi import Query, Request
from fastapi.responses import Response
from sqlalchemy.orm import Session

from webapp.costing.alternates.form import items_of, with_version
from webapp.costing.design_changes.rename import renamed_between
from webapp.costing.design_differences.entries import Change, differing_entries
from webapp.costing.design_differences.made import CheckMoved, MadeOtherwise, PartMoved, made_otherwise
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.measures.money import half_up
from webapp.costing.takeoff.model import PartTaken, TakeOff
from webapp.documents.printing.paper import day_text, reader_of
from webapp.estimating import ONE, estimate_one
from webapp.pages.designs.view import OUTCOMES, count_pieces, part_shown
from webapp.pages.shown.moves import MoveRow, move_row
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.roles import sees_money
from webapp.pages.web.routing import PageRouter
from webapp.persistence.designs.records import StoredDesign, list_versions, load_design, load_design_of
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.jobs.records import StoredJob, load_job_by_number
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.showing import Reader, counted
from webapp.standing import estimate_stored

router = PageRouter()

HOLDS: Final = "Holds"
NOT_MADE: Final = "Not asked"
SORTS: Final[Mapping[str, str]] = {
    "added": "Added", "removed": "Removed", "renamed": "Called otherwise", "changed": "Changed",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class EntryShown:
    """An entry that is otherwise: what became of it, its words, and what of it as 'depth: 600 mm → 650 mm'."""

    sort: str
    name: str
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PartRow:
    """A kind of part before and after, each as its count, size and material; and how often for a fitting."""

    says: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class CheckRowMoved:
    """A check that comes out otherwise."""

    before: str
    after: str
    sentence: str
    mark: str


@dataclass(frozen=True, slots=True)
class MovedByVersion:
    """What another version makes of a thing: figures, parts, fastenings and fittings, checks; `said` in one line."""

    said: str
    figures: tuple[MoveRow, ...]
    parts: tuple[PartRow, ...]
    counts: tuple[PartRow, ...]
    checks: tuple[CheckRowMoved, ...]
    wrong: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class OfJob:
    """The job's item at whose sizes two versions are compared, and where the later one is taken."""

    number: int
    item: str
    href: str
    title: str
    label: str
    action: str


@dataclass(frozen=True, slots=True)
class ComparePage:
    """Two versions side by side; `moved` is None where one of them can't be worked out, and `unread` says why."""

    code: str
    name: str
    was: int
    now: int
    versions: tuple[tuple[str, str], ...]
    entries: tuple[tuple[str, tuple[EntryShown, ...]], ...]
    moved: MovedByVersion | None
    unread: str
    at: str
    job: OfJob | None


@router.get("/designs/{code}/compare")
def compare(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, code: str,
    from_: Annotated[int | None, Query(alias="from")] = None, to: int | None = None, job: int | None = None,
    item: str = "",
) -> Response:  # fmt: skip
    """Two versions of a design, the last two where none are named; at the sizes of a job's item where one is."""
    now = to or load_design(session, code).version
    versions = list_versions(session, code)
    was = from_ or next((one.number for one in versions if one.number < now), now)
    before, after = load_design(session, code, was), load_design(session, code, now)
    today = shop.today(running(request).now())
    of_job: OfJob | None = None
    if job is not None:
        stored = load_job_by_number(session, job)
        moved, unread = _in_job(session, stored, item, before, after, shop, today)
        of_job = _of_job(stored, item, after.name)
    else:
        moved, unread = _at_usual_sizes(session, before, after, shop, today)
    names = {} if moved is None else moved.materials
    page = ComparePage(
        code, after.name, was, now,
        tuple((str(one.number), f"{one.number}, {day_text(shop.today(one.created_at))}") for one in versions),
        tuple(
            (heading, tuple(map(_entry, changes)))
            for heading, changes in differing_entries(before.document, after.document, names)
        ),
        None if moved is None else moved_by_version(moved, reader_of(shop), money=sees_money(user)),
        unread, f"in job {job}" if of_job else "at its usual sizes", of_job,
    )  # fmt: skip
    return render(request, "designs/compare.html", page)


@dataclass(frozen=True, slots=True)
class BothWorked:
    """A thing worked out in two versions: its take-off in each, the estimates they stand in, materials by name, and
    what is said against the later one alone."""

    before: TakeOff
    after: TakeOff
    estimates: tuple[Estimate, Estimate]
    materials: Mapping[str, str]
    renamed: Mapping[str, Mapping[str, str]]
    wrong: tuple[str, ...] = ()


def _at_usual_sizes(
    session: Session, before: StoredDesign, after: StoredDesign, shop: Shop, today: date
) -> tuple[BothWorked | None, str]:  # fmt: skip
    was, now = (estimate_one(session, one.code, one.name, one.document, shop, today) for one in (before, after))
    return both_worked(was, now, ONE, before, after)


def _in_job(
    session: Session, job: StoredJob, item: str, before: StoredDesign, after: StoredDesign, shop: Shop, today: date
) -> tuple[BothWorked | None, str]:  # fmt: skip
    entry = _item_of(job, item)
    if entry.get("design") != before.code:
        raise NotKept("item of that design", f"{item[:60]} in job {job.number}")
    stood = load_design_of(session, entry)
    was = with_version(job.document, item, before.version, stood.document, before.document)
    now = with_version(was, item, after.version, before.document, after.document)
    worked = [estimate_stored(session, job, form, shop, today) for form in (was, now)]
    return both_worked(
        (worked[0].inputs, worked[0].estimate), (worked[1].inputs, worked[1].estimate), item, before, after
    )


def _item_of(job: StoredJob, item: str) -> Mapping[str, Any]:
    """An item of a job as its form has it; an empty one where there is none of that id."""
    return next((one for one in items_of(job.document) if one["id"] == item), {})


def both_worked(
    was: tuple[Inputs, Estimate], now: tuple[Inputs, Estimate], item: str, before: StoredDesign, after: StoredDesign
) -> tuple[BothWorked | None, str]:  # fmt: skip
    """Two estimates of what holds an item in two versions of its design; or None and why one can't be worked out."""
    taken = []
    for stored, (_, found) in zip((before, after), (was, now), strict=True):
        held = next((one.take_off for one in found.items if one.id == item), None)
        if held is None:
            why = next((one.message for one in found.problems if one.severity == "failure"), "")
            return None, f"Version {stored.version} can't be worked out. {why}".strip()
        taken.append(held)
    names = {code: one.name for inputs, _ in (was, now) for code, one in inputs.catalogue.materials.items()}
    said = {one.message for one in was[1].problems}
    wrong = tuple(dict.fromkeys(one.message for one in now[1].problems if one.message not in said))
    renamed = renamed_between(before.document, after.document)
    return BothWorked(taken[0], taken[1], (was[1], now[1]), names, renamed, wrong), ""


def moved_by_version(both: BothWorked, reader: Reader, *, money: bool) -> MovedByVersion:
    """What the later version makes otherwise, in words."""
    made = made_otherwise(both.before, both.after, both.renamed)
    return MovedByVersion(
        said_in_short(both, made, reader, money=money),
        tuple(_figures(both, reader, money=money)),
        tuple(_part_row(one, reader, both.materials) for one in made.parts),
        tuple(
            PartRow(
                one.says, _count_words(one.before, one.was_of, reader, both.materials),
                _count_words(one.after, one.material, reader, both.materials),
            )
            for one in made.counts
        ),
        tuple(map(_check_row, made.checks)),
        both.wrong,
    )  # fmt: skip


def _count_words(count: Fraction, material: str, reader: Reader, names: Mapping[str, str]) -> str:
    """How many of which material there are: 6 × Rubber pad."""
    return f"{reader.pair(count, '')[0]} × {names.get(material, material)}" if count else "none"


def said_in_short(both: BothWorked, made: MadeOtherwise, reader: Reader, *, money: bool) -> str:
    """By how much it moves: 'price +12.40 EUR, hours +12 min, 1 part, 2 checks'; and where nothing does, that."""
    was, now = (one.totals for one in both.estimates)
    said = []
    price = move_row("price", was.net.value, now.net.value, reader.money).by
    if money and price:
        said.append(f"price {price}")
    minutes = was.minutes_charged.value, now.minutes_charged.value
    if abs(minutes[1] - minutes[0]) >= 1:
        said.append(f"hours {move_row('hours', *minutes, reader.hours).by}")
    if made.parts:
        said.append(counted(len(made.parts), "part"))
    if made.counts:
        said.append(f"{len(made.counts)} of fastenings and fittings")
    if made.checks:
        said.append(counted(len(made.checks), "check"))
    return ", ".join(said) if said else "nothing that is counted moves"


def _figures(both: BothWorked, reader: Reader, *, money: bool) -> list[MoveRow]:
    was, now = both.estimates
    rows = []
    if money:
        rows += [
            move_row("Price without tax", was.totals.net.value, now.totals.net.value, reader.money),
            move_row("Total to pay", was.totals.total.value, now.totals.total.value, reader.money),
            move_row("Materials as bought", was.materials_bought, now.materials_bought, reader.money),
        ]
    rows.append(
        move_row("Hours, charged", was.totals.minutes_charged.value, now.totals.minutes_charged.value, reader.hours)
    )

    def weight(value: Fraction) -> str:
        return reader.text(value, both.after.mass.unit)

    # To the tenth on both sides, so that the eye can subtract them.
    masses = [half_up(one.mass.value, Fraction(1, 10)) for one in (both.before, both.after)]
    rows.append(move_row("Weight of one", masses[0], masses[1], weight))
    pieces = [count_pieces(one) for one in (both.before, both.after)]
    rows.append(move_row("Pieces of one", pieces[0], pieces[1], lambda one: reader.pair(one, "")[0]))
    return rows


def _part_row(moved: PartMoved, reader: Reader, names: Mapping[str, str]) -> PartRow:
    return PartRow(moved.says, *(_part_words(one, reader, names) for one in (moved.before, moved.after)))


def _part_words(part: PartTaken | None, reader: Reader, names: Mapping[str, str]) -> str:
    if part is None:
        return "none"
    shown = part_shown(part, 0, reader, names)
    note = f" ({shown.note})" if shown.note else ""
    return f"{shown.count} of {shown.size} {shown.unit}, {shown.material}{note}"


def _check_row(moved: CheckMoved) -> CheckRowMoved:
    last = moved.after or moved.before
    assert last is not None
    words = [NOT_MADE if one is None else OUTCOMES[one.outcome] for one in (moved.before, moved.after)]
    return CheckRowMoved(words[0], words[1], last.sentence, "" if moved.after is None else moved.after.outcome)


def _entry(change: Change) -> EntryShown:
    said = [f"{what}: {before} → {after}".removeprefix(": ") for what, before, after in change.fields]
    if change.was:
        said.insert(0, f"called “{change.was}” before")
    return EntryShown(SORTS[change.sort], change.name, (*((change.sentence,) if change.sentence else ()), *said))


def _of_job(job: StoredJob, item: str, name: str) -> OfJob:
    label = str(_item_of(job, item).get("label") or name)
    address = f"/jobs/{job.number}"
    return OfJob(job.number, item, address, job.title, label, f"{address}/items/{item}/version")
