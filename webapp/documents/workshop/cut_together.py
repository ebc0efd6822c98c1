"""What several jobs buy together is cut together: one cut list with its labels, and where each job's parts lie on it.

It is made with the list that is bought from and kept with it, so that the sheets that were bought are those that are
cut. It holds no price.
"""

from __future__ import annotations

import json
import zlib
from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date
from hashlib import sha256
from typing import Any, Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.buying.rack import rests_worth_keeping
from webapp.costing.cutting.ask.model import LengthPlan, SheetPlan
from webapp.costing.errors import FormError, Problem
from webapp.costing.estimate.pooling import JobPooled, Pool
from webapp.costing.measures.plain_values import read_value, write_value
from webapp.costing.settings.rates import Rates
from webapp.documents.plans.drawings import CutParts, Cuts, CutsOf, cut_parts
from webapp.documents.printing.paper import PaperHead, in_block
from webapp.documents.workshop.cut_list import CutTable, Cutter, Label
from webapp.documents.workshop.cut_papers import CutFiles
from webapp.documents.workshop.kept_cuts import KeptCuts, drawings_of
from webapp.documents.workshop.pack import PackFor, TogetherRow, TogetherTable
from webapp.persistence.foundation.column_types import ordered_json
from webapp.persistence.settings.shop import Paper, Shop
from webapp.rendering import fill
from webapp.showing import counted

FORM: Final = 1
#: What it belongs to, in the words that are kept: its list has a number only once that is kept.
THIS_LIST: Final = "this list"


@dataclass(frozen=True, slots=True)
class Lying:
    """Equal pieces of a part ('item/part' in its job, which item is said where it has several): their number on the
    drawings of all, their number in the job's own pack, and how many come off which plan, counted from 1."""

    name: str
    number: int
    own: int
    says: str
    item: str
    on: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class MaterialTogether:
    """The parts that one job has of a material, and of how many plans that is cut."""

    code: str
    name: str
    plans: int
    lying: tuple[Lying, ...]


@dataclass(frozen=True, slots=True)
class JobTogether:
    """A job among those cut together; `pieces` stands for its parts as they were then."""

    number: int
    title: str
    pieces: str
    materials: tuple[MaterialTogether, ...]

    @property
    def codes(self) -> frozenset[str]:
        """The materials that are cut together."""
        return frozenset(one.code for one in self.materials)

    @property
    def names(self) -> frozenset[str]:
        """The parts, as the job names them, that are cut together."""
        return frozenset(one.name for material in self.materials for one in material.lying)


@dataclass(frozen=True, slots=True)
class RestTogether:
    """So many equal rests that the plans leave, lengths in nm."""

    code: str
    length: int
    width: int
    count: int


@dataclass(frozen=True, slots=True)
class CutTogether(KeptCuts):
    """The cut plans of several jobs with the cut list and the labels; `taken` are the offcuts that they use, with how
    many of each, `rests` what they leave that is worth keeping."""

    tables: tuple[CutTable, ...]
    labels: tuple[Label, ...]
    jobs: tuple[JobTogether, ...]
    taken: tuple[tuple[str, int], ...]
    rests: tuple[RestTogether, ...]

    def of_job(self, number: int) -> JobTogether | None:
        """The job of that number, where it is among them."""
        return next((one for one in self.jobs if one.number == number), None)


def cut_together(pool: Pool, rates: Rates, shop: Shop, day: date) -> CutTogether | None:
    """What the jobs of a pool cut together; None where no material that they buy together is cut by a plan."""
    bought = tuple(one for one in pool.bought if one.plan is not None and one.purchases)
    if not bought:
        return None
    items = tuple(replace(one, label=f"job {one.id.partition('/')[0]}, {one.label}") for one in pool.items)
    cuts = CutsOf(items, bought, pool.system)
    parts, jobs = cut_parts(cuts), {str(one.number): one for one in pool.jobs}
    own = {number: cut_parts(one.estimate) for number, one in jobs.items()}
    cutter = Cutter(cuts, rates, parts)
    names = {name for one in bought for name in one.pieces}
    titles = {number: one.job.title for number, one in jobs.items()}

    def coded(name: str) -> tuple[int | None, int]:
        # The code of a part is the one that its own job's pack knows it by.
        number, _, part = name.partition("/")
        return int(number), own[number].numbers[part]

    about = PackFor(THIS_LIST, None, False, day)
    said = " and ".join(number for number in jobs if any(name.startswith(f"{number}/") for name in names))
    # Whoever saws a piece sees for whom: in the cut list the item says it.
    named = {
        name: replace(part, says=f"{part.says} (job {name.partition('/')[0]})") for name, part in parts.taken.items()
    }
    drawn = replace(parts, taken=named)
    files = CutFiles(cuts, rates, drawn, shop, about, title=f"jobs {said} together", made_for=f"jobs {said}")
    paper = files.paper(shop.paper)
    return CutTogether(
        "", paper, drawings_of(files, paper), cutter.planned_tables(),
        cutter.labels_of(names, coded, lambda name: titles[name.partition("/")[0]]),
        tuple(
            found for number, one in jobs.items() if (found := _of_job(one, bought, parts, own[number])) is not None
        ),
        tuple(
            (purchase.offer.offcut.id, purchase.packs)
            for one in bought for purchase in one.purchases if purchase.offer.offcut is not None
        ),
        tuple(
            RestTogether(one.material.code, one.length, one.width, one.count)
            for one in rests_worth_keeping(bought, rates)
        ),
    )  # fmt: skip


def together_tables(job: JobTogether, whose: str = "") -> tuple[TogetherTable, ...]:
    """Where the parts of a job lie, by material; the titles begin with `whose` they are."""
    return tuple(
        TogetherTable(
            f"{whose}{one.name}, {counted(one.plans, 'plan')}",
            tuple(
                TogetherRow(each.own, each.says, each.item, sum(count for _, count in each.on), _on(each), each.number)
                for each in one.lying
            ),
        )
        for one in job.materials
    )  # fmt: skip


def _on(lying: Lying) -> str:
    """'plan 2', or '2 on plan 1, 4 on plan 3'."""
    if len(lying.on) == 1:
        return f"plan {lying.on[0][0]}"
    return ", ".join(f"{count} on plan {place}" for place, count in lying.on)


def _of_job(
    job: JobPooled, bought: tuple[MaterialBought, ...], parts: CutParts, own: CutParts
) -> JobTogether | None:  # fmt: skip
    """Where the parts of one job lie."""
    labels = {item.id: item.label for item in job.estimate.items}
    materials = []
    for one in bought:
        places = _places(one)
        lying = []
        for name in sorted({name for _, name in places}, key=lambda name: parts.numbers[name]):
            number, _, part = name.partition("/")
            if number == str(job.number):
                on = tuple(sorted((place, count) for (place, held), count in places.items() if held == name))
                says = parts.taken[name].says
                item = labels[part.rpartition("/")[0]] if len(labels) > 1 else ""
                lying.append(Lying(part, parts.numbers[name], own.numbers[part], says, item, on))
        if lying:
            plans = max(place for place, _ in places)
            materials.append(MaterialTogether(one.material.code, one.material.name, plans, tuple(lying)))
    if not materials:
        return None
    found = JobTogether(job.number, job.job.title, "", tuple(materials))
    return replace(found, pieces=pieces_word(job.estimate, found.codes))


def _places(bought: MaterialBought) -> Counter[tuple[int, str]]:
    """How many pieces of each part come off each plan of a material."""
    found: Counter[tuple[int, str]] = Counter()
    if isinstance(bought.plan, SheetPlan):
        for place, sheet in enumerate(bought.plan.sheets, 1):
            for put in sheet.placements:
                found[place, bought.pieces[int(put.piece)]] += sheet.count
    elif isinstance(bought.plan, LengthPlan):
        # A piece that is joined of several lies on each length that gives a part of it.
        spliced = {part.id: part.piece for part in bought.plan.parts}
        for place, cut in enumerate(bought.plan.lengths, 1):
            for piece, _ in cut.pieces:
                found[place, bought.pieces[int(spliced.get(piece, piece))]] += cut.count
    return found


def pieces_word(cuts: Cuts, codes: Collection[str]) -> str:
    """A word that stands for all parts of these materials, their numbers, their blanks and how many there are."""
    quantities, parts = {item.id: item.quantity.value for item in cuts.items}, cut_parts(cuts)
    told = sorted(
        (
            name, parts.numbers[name], str(part.blank_length.value),
            "" if part.blank_width is None else str(part.blank_width.value),
            str(part.count.value * part.layers * quantities[name.rpartition("/")[0]]), part.material,
        )
        for name, part in parts.taken.items() if part.material in codes
    )  # fmt: skip
    return sha256(repr(told).encode()).hexdigest()[:32]


def write_together(found: CutTogether) -> bytes:
    """It as the document that is kept with its list."""
    return zlib.compress(ordered_json({"form": FORM, "together": write_value(found)}).encode(), 6)


def read_together(content: bytes, number: int) -> CutTogether:
    """It from its document, as it belongs to the list of that number. Raises FormError where it is of another form."""
    told: Mapping[str, Any] = json.loads(zlib.decompress(content))
    if told.get("form") != FORM:
        said = f"This program reads what is cut together in form {FORM}, not “{told.get('form')}”."
        raise FormError((Problem("form", said),))
    found: CutTogether = read_value(CutTogether, told["together"], "together", "a kept cut list")
    belongs_to, (first, *others) = f"list {number}", found.cuts.title_block
    cuts = replace(
        found.cuts, opening=found.cuts.opening.replace(THIS_LIST, belongs_to, 1),
        title_block=((first[0], in_block(f"List {number}")), *others),
    )  # fmt: skip
    return replace(found, belongs_to=belongs_to, cuts=cuts)


@dataclass(frozen=True, slots=True)
class TogetherPaper:
    """The cut list of what is cut together, where each job's parts lie, and the labels, as they are printed."""

    head: PaperHead
    name: str
    job: str
    opening: str
    cuts: tuple[CutTable, ...]
    together: tuple[TogetherTable, ...]
    labels: tuple[Label, ...]
    title_block: tuple[tuple[str, str], ...]


def together_paper(found: CutTogether, paper: Paper) -> TogetherPaper:
    """The paper of it on a paper of that size."""
    name, cuts = "Cut list", found.paper(paper)
    head = replace(cuts.head, title=cuts.head.title.replace(cuts.name, name, 1))
    opening = f"{cuts.opening.partition('. ')[0]}. The numbers are those of its cut plans and on the labels."
    tables = tuple(table for one in found.jobs for table in together_tables(one, f"Job {one.number}, "))
    block = ((name, cuts.title_block[0][1]), *cuts.title_block[1:])
    return TogetherPaper(head, name, cuts.job, opening, found.tables, tables, found.labels, block)


def together_html(paper: TogetherPaper) -> str:
    """The paper as `make_pdf` takes it."""
    return fill("documents/cut_together.html", paper=paper)
