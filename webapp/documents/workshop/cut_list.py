"""The cut list in the order of sawing, by sheet and strip or by stock length; and a label for each part."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.cutting.ask.model import LengthPlan, SheetPlan, SheetRequest, SplicePart
from webapp.costing.cutting.saw.fence_settings import SawPlan
from webapp.costing.designs.model import Grain
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.written import STEP_NM, System, format_length
from webapp.costing.settings.rates import Rates
from webapp.costing.takeoff.model import PartTaken
from webapp.documents.plans.drawings import CUT_FIRST, CutParts, Cuts, plan_title, saw_plan_of
from webapp.documents.plans.saw_table import narrow_caution, saw_line, strips_in_order
from webapp.documents.printing.paper import shortened
from webapp.documents.printing.shape_words import shape_words
from webapp.documents.workshop.part_code import part_code
from webapp.pictures.piece_mark import piece_mark
from webapp.showing import counted

#: Above this many pieces there is one label for each kind of part, on which the piece is counted by hand.
MOST_LABELS: Final = 600
LONGEST_ON_LABEL: Final = 44


@dataclass(frozen=True, slots=True)
class CutRow:
    """So many equal pieces: on one of the sheets or lengths that are cut alike, and on all of them.

    `part` and `item` are in words, `name` is 'item/part'; `mark` is drawn, and `edges` and `grain` say the same.
    The row that `leads` is the first of its part: drawings lead to it.
    """

    name: str
    number: int
    part: str
    item: str
    on_one: int
    in_all: int
    blank: str
    thickness: str
    finished: str
    grain: str
    edges: str
    mark: str
    note: str
    leads: bool = False


@dataclass(frozen=True, slots=True)
class CutGroup:
    """What comes off one strip or one stock length."""

    words: str
    rows: tuple[CutRow, ...]


@dataclass(frozen=True, slots=True)
class CutTable:
    """One sheet, or all lengths or boards of one material. `alike`: several are cut alike, so counts are two."""

    title: str
    note: str
    alike: bool
    groups: tuple[CutGroup, ...]

    @property
    def columns(self) -> tuple[tuple[str, str], ...]:
        """The headings, each with how its column is set."""
        counts = (("On each", "number"), ("In all", "number")) if self.alike else (("Count", "number"),)
        sizes = (("Blank", "number"), ("Thick", "number"), ("Finished", "number"))
        return (("No.", "number"), ("Part", "words"), *counts, *sizes, ("Edges and grain", "words"))


@dataclass(frozen=True, slots=True)
class CutList:
    """All tables; `narrow` are the parts ripped narrower than the shop's smallest strip, with that width."""

    tables: tuple[CutTable, ...]
    narrow: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Label:
    """The label of one piece, or of all of a kind where `which` leaves room to count them."""

    code: str
    number: int
    part: str
    which: str
    size: str
    edges: str
    mark: str
    belongs: str


class Cutter:
    """Writes the cut list and the labels of what is cut; parts `elsewhere` are in another list, with their labels."""

    def __init__(self, cuts: Cuts, rates: Rates, parts: CutParts, elsewhere: Collection[str] = ()) -> None:
        self.cuts, self.rates, self.parts, self.elsewhere = cuts, rates, parts, frozenset(elsewhere)
        self.system: System = cuts.system
        self.labels = {item.id: item.label for item in cuts.items}
        self.materials = {one.material.code: one.material for one in cuts.bought}
        self.smallest = rates["smallest_strip"]
        self.planned: Counter[str] = Counter({name: self._blanks(name) for name in self.elsewhere})
        self.narrow: dict[str, str] = {}
        self.told_narrow = False
        self.led: set[str] = set()

    def cut_list(self) -> CutList:
        """Every part of the take-off is in it, planned or not."""
        tables = (*self.planned_tables(), *self._boards(), *self._unplanned())
        return CutList(tables, self.narrow)

    def planned_tables(self) -> tuple[CutTable, ...]:
        """What is cut by a plan, sheet by sheet and length by length."""
        tables: list[CutTable] = []
        for kind in CUT_FIRST:
            for one in sorted(self.cuts.bought, key=lambda bought: bought.material.name):
                if one.material.kind is not kind or not one.purchases:
                    continue
                if isinstance(one.plan, SheetPlan):
                    tables += self._sheets(one, one.plan)
                elif isinstance(one.plan, LengthPlan):
                    tables.append(self._lengths(one, one.plan))
        return tuple(tables)

    def piece_labels(self, job: int | None, title: str) -> tuple[Label, ...]:
        """A label for every finished piece not cut elsewhere; one for each kind where there would be too many."""
        names = [name for name in self.parts.taken if name not in self.elsewhere]
        return self.labels_of(names, lambda name: (job, self.parts.numbers[name]), lambda name: title)

    def labels_of(
        self, names: Iterable[str], coded: Callable[[str], tuple[int | None, int]], titled: Callable[[str], str]
    ) -> tuple[Label, ...]:
        """Labels of the pieces of these parts: `coded` tells the job and the number that a part's code is made of,
        `titled` what the job is called."""
        wanted = [(name, self.parts.taken[name], self._finished_count(name)) for name in names]
        wanted.sort(key=lambda one: self.parts.numbers[one[0]])
        single = sum(count for _, _, count in wanted) > MOST_LABELS
        made = []
        for name, part, count in wanted:
            number, title = self.parts.numbers[name], titled(name)
            edges, grain = self._edges(name), self._grain(part)
            item = shortened(self.labels[_item_of(name)], LONGEST_ON_LABEL)
            drawn = self._mark(name, part)
            for piece in range(1, (1 if single else count) + 1):
                which = f"____ of {count}" if single else f"{piece} of {count}"
                said = "; ".join(words for words in (shape_words(part, self.system), edges, grain) if words)
                code = part_code(*coded(name), 0 if single else piece)
                belongs = f"{item}, {shortened(title, LONGEST_ON_LABEL)}" if item != title else item
                made.append(Label(code, number, part.says, which, self._finished(part), said, drawn, belongs))
        return tuple(made)

    def _sheets(self, bought: MaterialBought, plan: SheetPlan) -> Iterator[CutTable]:
        assert isinstance(bought.request, SheetRequest)
        stocks = {stock.id: stock for stock in bought.request.stocks}
        sawn = saw_plan_of(bought, self.rates)
        for place, sheet in enumerate(plan.sheets):
            stock = stocks[sheet.stock]
            names = [bought.pieces[int(put.piece)] for put in sheet.placements]
            title = plan_title(bought, place + 1, len(plan.sheets), sheet.count, "sheet", sheet.stock)
            size = f"Sheet of {self._long(stock.length)} × {self._long(stock.width)}."
            if sawn is None:
                counted = Counter(names)
                rows = tuple(self._row(name, count, sheet.count) for name, count in counted.items())
                yield CutTable(title, size, sheet.count > 1, (CutGroup("Off the router", rows),))
                continue
            note = f"{size} {saw_line(sawn, place, self._long)}"
            if any(made.sheet == place for made in sawn.narrow):
                note = f"{note} {self._narrow_words(sawn, place)}"
            yield CutTable(title, note, sheet.count > 1, self._strips(sawn, place, names, sheet.count))

    def _narrow_words(self, sawn: SawPlan, place: int) -> str:
        """What to mind of narrow strips: whole on the first sheet that has some."""
        told, self.told_narrow = self.told_narrow, True
        return "Narrow strips here too." if told else narrow_caution(self._long, sawn.sheets[place].narrow)

    def _strips(self, sawn: SawPlan, place: int, names: Sequence[str], alike: int) -> tuple[CutGroup, ...]:
        """What comes off each strip, in the order of sawing; strips that give the same stand together."""
        freed = strips_in_order(sawn, place, len(names))
        same: dict[tuple[str, int, tuple[tuple[str, int], ...]], list[str]] = {}
        for strip in freed:
            counted = Counter(names[at] for at in strip.places)
            same.setdefault((strip.way, strip.fence, tuple(counted.items())), []).append(strip.name)
        groups = []
        for (way, fence, counts), called in same.items():
            rows = tuple(self._row(name, count * len(called), alike) for name, count in counts)
            groups.append(CutGroup(f"{_strips_called(called)}{f': {way} at {self._long(fence)}' if way else ''}", rows))
        return tuple(groups)

    def _note_narrow(self, part: PartTaken) -> None:
        """Remember a part that is ripped narrower than the shop's smallest strip; lengths are not ripped."""
        sides = [part.blank_length.value, *([part.blank_width.value] if part.blank_width is not None else [])]
        if part.kind in (Kind.SHEET, Kind.BOARD) and len(sides) > 1 and min(sides) < self.smallest:
            self.narrow.setdefault(part.says, self._long(min(sides)))

    def _lengths(self, bought: MaterialBought, plan: LengthPlan) -> CutTable:
        sizes = {purchase.offer.id: purchase.offer.size["length"] for purchase in bought.purchases}
        spliced = {part.id: part for part in plan.parts}
        groups = []
        for place, cut in enumerate(plan.lengths, 1):
            counted: Counter[tuple[str, str]] = Counter()
            for piece, _ in cut.pieces:
                split = piece if piece in spliced else ""
                counted[bought.pieces[int(spliced[split].piece if split else piece)], split] += 1
            longest = sorted(counted, key=lambda of: -self._cut_length(of[0], spliced.get(of[1])))
            like = "" if cut.count == 1 else f", {cut.count} alike"
            rows = tuple(
                self._length_row(name, spliced.get(split), counted[name, split], cut.count) for name, split in longest
            )
            groups.append(CutGroup(f"Plan {place}: a length of {self._long(sizes[cut.stock])}{like}", rows))
        alike = any(cut.count > 1 for cut in plan.lengths)
        return CutTable(bought.material.name, "The longest pieces first.", alike, tuple(groups))

    def _cut_length(self, name: str, split: SplicePart | None) -> int:
        return int(self.parts.taken[name].blank_length.value) if split is None else split.length

    def _length_row(self, name: str, split: SplicePart | None, on_one: int, times: int) -> CutRow:
        """A piece, or one part of a piece that is joined of several: its first part stands for all of it."""
        row = self._row(name, on_one, times)
        if split is None:
            return row
        if split.number > 1:
            self.planned[name] -= on_one * times
        called = f"{row.part}, part {split.number} of {split.of}"
        note = "; ".join(words for words in ("joined end to end", row.note) if words)
        return replace(row, part=called, blank=self._long(split.length), note=note)

    def _boards(self) -> Iterator[CutTable]:
        """Boards are random in size, so no plan holds them: their blanks by rough thickness, the largest first."""
        for one in sorted(self.cuts.bought, key=lambda bought: (bought.material.name, bought.key)):
            if one.material.kind is not Kind.BOARD:
                continue
            names = [
                name
                for name, part in self.parts.taken.items()
                if part.kind is Kind.BOARD
                and part.material == one.material.code
                and one.key in (part.material, f"{part.material}@{part.rough_thickness}")
                and self._blanks(name) > self.planned[name]
            ]
            if not names:
                continue
            names.sort(key=lambda name: (-self.parts.taken[name].blank_length.value, name))
            rough = self.parts.taken[names[0]].rough_thickness
            words = in_trade_words("From sawn boards") + (f" {self._long(rough)} rough" if rough else "")
            titled = f"{one.material.name}, {self._long(rough)} rough" if rough else one.material.name
            rows = tuple(self._row(name, self._blanks(name) - self.planned[name], 1) for name in names)
            note = "Lay the blanks out on the boards by hand, around knots and checks; the longest first."
            yield CutTable(titled, note, False, (CutGroup(words, rows),))

    def _unplanned(self) -> Iterator[CutTable]:
        """What no table holds yet: parts that fit no offered size, that nobody offers, or that come off a run."""
        left: dict[str, list[str]] = {}
        for name, part in self.parts.taken.items():
            if self._blanks(name) > self.planned[name]:
                left.setdefault(part.material, []).append(name)
        for code, names in left.items():
            rows = tuple(self._row(name, self._blanks(name) - self.planned[name], 1) for name in names)
            yield CutTable(
                self.materials[code].name if code in self.materials else code.replace("_", " ").capitalize(),
                "No cut plan holds these: they come off a run, or no offered size is large enough.",
                False,
                (CutGroup("To be cut by hand", rows),),
            )

    def _row(self, name: str, on_one: int, times: int) -> CutRow:
        part = self.parts.taken[name]
        self.planned[name] += on_one * times
        self._note_narrow(part)
        notes = [f"{part.layers} layers of one part"] if part.layers > 1 else []
        notes += [self._strip_words(part)] if part.strips > 1 and part.blank_width is not None else []
        notes += [words] if (words := shape_words(part, self.system)) else []
        item = self.labels[_item_of(name)] if len(self.cuts.items) > 1 else ""
        return CutRow(
            name, self.parts.numbers[name], part.says, item, on_one, on_one * times, self._blank(part),
            "" if part.thickness is None else self._long(part.thickness.value), self._finished(part),
            self._grain(part), self._edges(name), self._mark(name, part), "; ".join(notes), self._leads(name),
        )  # fmt: skip

    def _leads(self, name: str) -> bool:
        """Whether a part has no row yet."""
        leads = name not in self.led
        self.led.add(name)
        return leads

    def _strip_words(self, part: PartTaken) -> str:
        """Of how many strips a part is glued up, and how wide each is ripped, as the boards for it are reckoned."""
        assert part.blank_width is not None
        step = STEP_NM[self.system]
        ripped = -(-part.blank_width.value // (part.strips * step)) * step
        return f"glued up of {part.strips} strips, each ripped {self._long(ripped)} wide"

    def _finished_count(self, name: str) -> int:
        item = next(one for one in self.cuts.items if one.id == _item_of(name))
        return int(self.parts.taken[name].count.value * item.quantity.value)

    def _blanks(self, name: str) -> int:
        return self._finished_count(name) * self.parts.taken[name].layers

    def _blank(self, part: PartTaken) -> str:
        sizes: list[Fraction | int] = [part.blank_length.value]
        if part.blank_width is not None:
            sizes.append(part.blank_width.value)
        if part.rough_thickness is not None:
            sizes.append(part.rough_thickness)
        return self._by(sizes)

    def _finished(self, part: PartTaken) -> str:
        return self._by([part.length.value, *([part.width.value] if part.width is not None else [])])

    def _by(self, sizes: Sequence[Fraction | int]) -> str:
        *first, last = [int(size) for size in sizes]
        written = [format_length(size, self.system, with_unit=False) for size in first]
        return " × ".join([*written, format_length(last, self.system)])

    def _long(self, nm: Fraction | int) -> str:
        return format_length(int(nm), self.system)

    def _grain_of(self, part: PartTaken) -> Grain:
        """Which way the grain has to run; free where the stock has none, or can only be cut one way."""
        material = self.materials.get(part.material)
        without = part.kind is Kind.SHEET and material is not None and material.values.get("grain") != 1
        return "free" if without or part.kind is Kind.LENGTH else part.grain

    def _grain(self, part: PartTaken) -> str:
        return {"length": "grain along", "width": "grain across", "free": ""}[self._grain_of(part)]

    def _edges(self, name: str) -> str:
        banded = self.parts.banded[name]
        long = sum(1 for edge in banded if edge in ("low", "high"))
        ends = len(banded) - long
        said = [f"{long} long" if long else "", counted(ends, "end") if ends else ""]
        words = ", ".join(word for word in said if word)
        return f"band {words}" if words else ""

    def _mark(self, name: str, part: PartTaken) -> str:
        banded, grain = self.parts.banded[name], self._grain_of(part)
        words = ", ".join(said for said in (self._edges(name), self._grain(part)) if said)
        if not banded and grain == "free":
            return ""
        return piece_mark(banded, "" if grain == "free" else grain, words)


def _item_of(name: str) -> str:
    """The item of a part, whose own name holds no slash."""
    return name.rpartition("/")[0]


def _strips_called(names: Sequence[str]) -> str:
    """'Off the sheet', 'Strip A', 'Strips A and C, each', 'Strips A, B and D, each'."""
    if names[0] == "":
        return "Off the sheet"
    if len(names) == 1:
        return f"Strip {names[0]}"
    return f"Strips {', '.join(names[:-1])} and {names[-1]}, each"
