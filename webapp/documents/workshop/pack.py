"""The workshop pack: what hangs on the wall for the person at the saw. It holds no price, no rate and no margin."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Final

from webapp.benches import counted_heights
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.jobs.job import Job
from webapp.costing.measures.written import format_length
from webapp.costing.plans.lifting import people_to_carry
from webapp.costing.settings.rates import Rates
from webapp.costing.way_in.check import is_of_way
from webapp.documents.plans.drawings import (
    CutDrawing,
    CutParts,
    cut_parts,
    cuts_without,
    length_drawings,
    sheet_drawings,
)
from webapp.documents.printing.paper import PaperHead, count_text, day_text, in_block, made_by, reader_of, text_lines
from webapp.documents.workshop.cautions import DEFERRING, NO_APPROVAL
from webapp.documents.workshop.cut_list import CutTable, Cutter, Label
from webapp.documents.workshop.details import part_details
from webapp.documents.workshop.schedules import ItemSchedules, Scheduler
from webapp.documents.workshop.work_order import Foreman, WorkGroup, extents, people_words
from webapp.persistence.settings.shop import Paper, Shop
from webapp.pictures.bench.thing import thing_of
from webapp.pictures.drawings.views import BenchView, draw_bench
from webapp.rendering import fill
from webapp.showing import Reader

#: Sheets are drawn so long and so tall that two stand on a portrait page and their numbers stay legible.
SHEET_DRAWN: Final = (640, 400)
#: The longest side of a bench: its drawings stand in one scale, with every part's place about its views.
BENCH_DRAWN: Final = 290.0


@dataclass(frozen=True, slots=True)
class PackFor:
    """What the pack belongs to, in words; the job's number where it has one; the day; whether it is a draft; and why
    its maker quoted it although checks failed, by their sentences."""

    belongs_to: str
    job_number: int | None
    draft: bool
    written_on: date
    although: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ItemSheet:
    """One item: on the title sheet its sizes and choices, its picture and weights in words; on a sheet of its own its
    views with dimensions, its parts drawn apart and each of them by itself.

    `without` says what is fitted and not drawn. The numbers on the drawings are those of the cut list and the labels.
    """

    label: str
    design: str
    quantity: str
    scope: str
    sizes: tuple[tuple[str, str], ...]
    made_of: tuple[tuple[str, str], ...]
    picture: str
    views: tuple[BenchView, ...]
    weights: tuple[tuple[str, str], ...]
    without: str = ""
    apart: str = ""
    details: tuple[BenchView, ...] = ()


@dataclass(frozen=True, slots=True)
class TogetherRow:
    """A part that is cut together with those of other jobs: its number here, how many, off which plan, its number
    there."""

    number: int
    part: str
    item: str
    count: int
    on: str
    there: int


@dataclass(frozen=True, slots=True)
class TogetherTable:
    """The parts of one material that are cut together with those of other jobs."""

    title: str
    rows: tuple[TogetherRow, ...]


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """What of a job is cut with other jobs: in words, its parts ('item/part') and where they lie; and what is to be
    minded of it before the first cut."""

    says: str
    names: frozenset[str]
    tables: tuple[TogetherTable, ...]
    mind: str = ""


NOWHERE: Final = Elsewhere("", frozenset(), ())


@dataclass(frozen=True, slots=True)
class WorkshopPack:
    """Everything that is printed, in the words it is printed in. `first` is what to check before the first cut.

    `together` are the parts that are cut with those of other jobs; `together_says` says by which list. `way_in` is how
    each thing gets in where it goes, for those who deliver, each as (how it came out, sentence).
    """

    head: PaperHead
    name: str
    job: str
    opening: str
    items: tuple[ItemSheet, ...]
    first: tuple[tuple[str, str], ...]
    deferring: tuple[str, ...]
    cuts: tuple[CutTable, ...]
    several: bool
    sheets: tuple[CutDrawing, ...]
    lengths: tuple[CutDrawing, ...]
    numbered: tuple[tuple[int, str], ...]
    labels: tuple[Label, ...]
    schedules: tuple[ItemSchedules, ...]
    glue: tuple[tuple[str, str, str, str], ...]
    work: tuple[WorkGroup, ...]
    hours: str
    title_block: tuple[tuple[str, str], ...]
    together: tuple[TogetherTable, ...] = ()
    together_says: str = ""
    way_in: tuple[tuple[str, str], ...] = ()

    @property
    def is_held(self) -> bool:
        """Whether anything holds parts together or is fitted to them."""
        return bool(self.glue) or any(one.joints or one.fitted for one in self.schedules)

    @property
    def is_finished(self) -> bool:
        """Whether anything is finished."""
        return any(one.finishes for one in self.schedules)

    @property
    def is_weighed(self) -> bool:
        """Whether there are weights to tell."""
        return any(one.weights for one in self.schedules)

    @property
    def work_columns(self) -> tuple[tuple[str, str], ...]:
        """The headings of the order of work, each with how its column is set."""
        mind = (("Mind", "words"),) if self.is_lettered else ()
        return (
            ("Step", "number"), ("What is done", "words"), ("Units", "number"), ("Time", "number"), ("Who", "words"),
            ("Machine", "words"), *mind,
        )  # fmt: skip

    @property
    def beside_number(self) -> int:
        """Over how many columns a step's cautions stand, beside its number."""
        return len(self.work_columns) - 1

    @property
    def is_lettered(self) -> bool:
        """Whether its steps recall their cautions by letters; packs kept by an earlier program do it in words."""
        return any(step.minded for group in self.work for step in group.steps)


def workshop_pack(
    inputs: Inputs, estimate: Estimate, shop: Shop, about: PackFor, paper: Paper, elsewhere: Elsewhere = NOWHERE
) -> WorkshopPack:
    """The pack of an estimate, by the job's own settings; without items it is little more than its title. What is cut
    elsewhere is in it by where it lies."""
    job, _ = inputs.read_job(inputs.job)
    rates, reader, parts = inputs.rates.with_values(job.settings, job.reasons), reader_of(shop), cut_parts(estimate)
    own = cuts_without(estimate, elsewhere.names)
    cutter, foreman = Cutter(own, rates, parts, elsewhere.names), Foreman(estimate, job, rates, reader)
    scheduler = Scheduler(estimate, rates, parts, reader)
    listed = cutter.cut_list()
    work = foreman.order(listed.narrow, format_length(int(cutter.smallest), estimate.system))
    name = "Workshop pack"
    return WorkshopPack(
        head=PaperHead(f"{name}: {job.title}", shop.name, about.written_on.isoformat(), paper, about.draft),
        name=name,
        job=job.title,
        opening=_opening(job, about),
        items=tuple(
            _item_sheet(item, estimate, inputs.catalogue, rates, parts, foreman, reader) for item in estimate.items
        ),
        first=((("warning", elsewhere.mind),) if elsewhere.mind else ()) + _check_first(estimate, about.although),
        deferring=(DEFERRING, NO_APPROVAL),
        cuts=listed.tables,
        several=len(estimate.items) > 1,
        sheets=sheet_drawings(own, rates, parts, *SHEET_DRAWN, cuts=True),
        lengths=length_drawings(own, rates, parts),
        numbered=tuple((number, parts.taken[name].says) for name, number in parts.numbers.items()),
        labels=cutter.piece_labels(about.job_number, job.title),
        schedules=tuple(scheduler.of(item) for item in estimate.items),
        glue=scheduler.glue(),
        work=work,
        hours=reader.hours(estimate.totals.minutes_mean.value),
        title_block=(
            ("Workshop pack", in_block(about.belongs_to[:1].upper() + about.belongs_to[1:])),
            ("Job", in_block(job.title)),
            ("For", in_block(job.customer.name or "not named")),
            ("By", made_by(shop)),
            ("Date", day_text(about.written_on)),
        ),
        together=elsewhere.tables,
        together_says=elsewhere.says,
        way_in=tuple((check.outcome, check.sentence) for _, check in estimate.checks if is_of_way(check)),
    )


def workshop_html(pack: WorkshopPack) -> str:
    """The pack as `make_pdf` takes it."""
    return fill("documents/workshop_pack.html", paper=pack)


def _opening(job: Job, about: PackFor) -> str:
    said = [f"For {about.belongs_to}, {day_text(about.written_on)}."]
    if job.customer.name:
        said.append(f"Made for {job.customer.name}.")
    if job.site:
        said.append(f"It goes to: {', '.join(text_lines(job.site))}.")
    return " ".join(said)


def _item_sheet(
    item: ItemTaken, estimate: Estimate, catalogue: Catalogue, rates: Rates, parts: CutParts, foreman: Foreman,
    reader: Reader,
) -> ItemSheet:  # fmt: skip
    taken = item.take_off
    numbers = {part.name: parts.numbers[f"{item.id}/{part.name}"] for part in taken.parts}
    thing = thing_of(taken, numbers)
    drawn = draw_bench(thing, f"{item.label}, from the front right", estimate.system, BENCH_DRAWN, item.id)
    materials = {one.material.code: one.material.name for one in estimate.bought}
    wide, deep, tall = (format_length(extent, estimate.system) for extent in extents(item))
    sizes = [("As drawn, wide × deep × high", f"{wide} × {deep} × {tall}")] if thing.pieces else []
    # A height that counts castors stands beside drawings without them: it says so.
    counted = counted_heights(taken, catalogue, rates, estimate.system)
    sizes += [
        (figure.label.rpartition(": ")[2], counted.get(name) or reader.text(figure.value, figure.unit))
        for name, figure in taken.sizes.items()
    ]
    sizes += [(taken.design.choices[name].says, answer.replace("_", " ")) for name, answer in taken.choices.items()]
    used = {part.role for part in taken.parts}
    made_of = [
        (role.says, materials.get(taken.materials.get(name, ""), ""))
        for name, role in taken.design.roles.items()
        if name in used
    ]
    return ItemSheet(
        label=item.label,
        design=taken.design.name,
        quantity=count_text(item.quantity.value, reader),
        scope=taken.scope,
        sizes=tuple(sizes),
        made_of=tuple((says, material) for says, material in made_of if material),
        picture=drawn.picture,
        views=drawn.views,
        weights=_weights(item, rates, foreman, reader),
        without=thing.drawn_without,
        apart=drawn.apart,
        details=part_details(item, parts, catalogue.materials, estimate.system),
    )


def _weights(item: ItemTaken, rates: Rates, foreman: Foreman, reader: Reader) -> tuple[tuple[str, str], ...]:
    taken = item.take_off
    one = reader.text(taken.mass.value, taken.mass.unit)
    # Loose parts are lifted one by one: how, the heaviest of them says.
    said = [("Weight of one", one if taken.design.loose else f"{one}, {people_words(foreman.people(item))}")]
    if item.quantity.value != 1:
        whole = reader.text(taken.mass.value * item.quantity.value, taken.mass.unit)
        said.append((f"Weight of all {count_text(item.quantity.value, reader)}", whole))
    heaviest = taken.heaviest
    if heaviest is not None and heaviest.mass is not None:
        people = people_to_carry(heaviest.mass.value, int(heaviest.length.value), rates)
        weight = reader.text(heaviest.mass.value, heaviest.mass.unit)
        said.append(("Heaviest part", f"{heaviest.says}, {weight}, {people_words(people)}"))
    return tuple(said)


def _check_first(estimate: Estimate, although: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    """What fails, is doubtful or not known, each as (kind of note, sentence), and why it is made although it fails;
    nothing that speaks of prices."""
    labels = {item.id: item.label for item in estimate.items}
    problems = [
        ("failure", one.message)
        for one in estimate.problems
        if one.severity == "failure" and one.field.startswith("items.")
    ]
    checks = [
        (check.outcome, f"{labels.get(item, item)}: {check.sentence}")
        for outcome in ("failure", "warning", "unknown")
        for item, check in estimate.checks
        if check.outcome == outcome
    ]
    reasoned = [
        (kind, f"{said} Made all the same; its maker writes: “{although[said]}”" if said in although else said)
        for kind, said in checks
    ]
    return tuple(dict.fromkeys((*problems, *reasoned)))
