"""A job and its other ways side by side: what each comes to, and what of it is otherwise, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from webapp.costing.alternates.options import option_of
from webapp.costing.alternates.told import in_place_of, items_beside, otherwise_told, with_and_without
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.jobs.alternates import Alternate
from webapp.costing.jobs.job import left_out
from webapp.costing.measures.written import format_length
from webapp.documents.quotes.issue import what_stands_against
from webapp.documents.quotes.options import more_or_less
from webapp.persistence.jobs.records import StoredJob
from webapp.showing import Reader, counted
from webapp.standing import Worked


@dataclass(frozen=True, slots=True)
class WayRow:
    """A way in the table: the job's own first, with no id. `by` is how much more or less is to be paid, `differs` what
    of the items is otherwise, `wrong` what is said against it alone, `lacks` what its total leaves out besides."""

    id: str
    name: str
    differs: tuple[str, ...]
    total: str
    by: str
    hours: str
    materials: str
    weight: str
    ready: str
    checks: str
    failing: bool
    complete: bool
    on_quote: bool
    wrong: tuple[str, ...]
    lacks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WaysPage:
    """The other ways of a job beside its own."""

    number: int
    job_href: str
    address: str
    title: str
    version: int
    currency: str
    rows: tuple[WayRow, ...]
    most: bool
    on_quote: int
    too_many: str

    @property
    def lacking(self) -> bool:
        """Whether a quote can't go out as it stands, as the total of the job or of an option is not whole."""
        return any(not row.complete for row in self.rows if not row.id or row.on_quote)


def own_row(worked: Worked, reader: Reader) -> WayRow:
    """How the job stands by itself."""
    return _row("", "As the job stands", worked.estimate, worked.estimate, reader)


def way_row(way: Alternate, own: Worked, other: Worked, reader: Reader) -> WayRow:
    """Another way beside it."""
    return _row(
        way.id, way.name, own.estimate, other.estimate, reader, tuple(_differs(own, other, reader)),
        on_quote=way.on_quote,
    )  # fmt: skip


def _row(
    key: str, name: str, own: Estimate, other: Estimate, reader: Reader, differs: tuple[str, ...] = (), *,
    on_quote: bool = False,
) -> WayRow:  # fmt: skip
    outcomes = [check.outcome for _, check in other.checks]
    failing, warned, unknown = (outcomes.count(one) for one in ("failure", "warning", "unknown"))
    said = [f"{outcomes.count('pass')} hold"]
    said += [f"{failing} {'fails' if failing == 1 else 'fail'}"] if failing else []
    said += [counted(warned, "warning")] if warned else []
    said += [f"{unknown} not known"] if unknown else []
    days = int(other.calendar.ready.value)
    # What it goes without is told with what differs.
    stands = {problem.message for problem in own.problems}
    stands |= {left_out(line.label) for line in own.lines}
    wrong = tuple(dict.fromkeys(one.message for one in other.problems if one.message not in stands)) if key else ()
    lacks = () if other.complete else what_stands_against(other, reader).refusals
    by = option_of(key, name, own, other).by["total"]
    mass = sum((item.take_off.mass.value * item.quantity.value for item in other.items), Fraction(0))
    unit = other.items[0].take_off.mass.unit if other.items else "kg"
    return WayRow(
        key, name, differs, reader.amount(other.totals.total.value), more_or_less(by, reader) if key else "",
        reader.hours(other.totals.minutes_charged.value),
        reader.amount(other.materials_bought), reader.text(mass, unit),
        f"{counted(days, 'working day')}", ", ".join(said), bool(failing), other.complete, on_quote, wrong,
        tuple(one for one in lacks if one not in wrong),
    )  # fmt: skip


def _differs(own: Worked, other: Worked, reader: Reader) -> Iterator[str]:
    """What is otherwise, materials by name; an item is named where there are several."""
    names = {code: one.name for code, one in other.inputs.catalogue.materials.items()}
    names |= {one.material.code: one.material.name for one in own.estimate.bought}
    jobs = (side.inputs.read_job(side.inputs.job)[0] for side in (own, other))
    yield from with_and_without(*zip((own.estimate, other.estimate), jobs, strict=True))
    for label, was, now in items_beside(own.estimate, other.estimate):
        yield from (f"{label}{said}" for said in _item_differs(was, now, names, reader))


def _item_differs(was: ItemTaken, now: ItemTaken, names: Mapping[str, str], reader: Reader) -> Iterator[str]:
    def length(nm: int) -> str:
        return format_length(nm, reader.system)

    yield from otherwise_told(was, now, length, length)
    design = now.take_off.design
    for name, code in now.take_off.materials.items():
        held = was.take_off.materials.get(name, code)
        if held != code and name in design.roles:
            yield f"{design.roles[name].says}: {in_place_of(names.get(code, code), names.get(held, held))}"
    if was.take_off.design.digest != design.digest:
        yield "another version of the design"


def ways_page(
    job: StoredJob, own: Worked, ways: Mapping[str, tuple[Alternate, Worked]], reader: Reader, most: int, options: int
) -> WaysPage:  # fmt: skip
    """The page in words; `most` ways may there be, and so many `options` on a quote."""
    rows = (own_row(own, reader), *(way_row(way, own, made, reader) for way, made in ways.values()))
    on_quote = sum(row.on_quote for row in rows)
    too_many = f"A quote has room for {options} options; only the first {options} go on it."
    address = f"/jobs/{job.number}"
    return WaysPage(
        job.number, address, f"{address}/alternates", job.title, job.version, own.estimate.currency, rows,
        len(ways) >= most, on_quote, too_many if on_quote > options else "",
    )  # fmt: skip
