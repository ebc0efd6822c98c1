"""A material's cut plan as a page: each sheet drawn, what it comes to, and the piece in hand with where it could go."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.price_state import MISSING
from webapp.costing.cutting.ask.model import CutSheet, LengthPlan, SheetPiece, SheetPlan, SheetRequest, SheetStock
from webapp.costing.cutting.hand.judging import Fault, Judged, Words, boxes_of, extent, judge_sheet_plan
from webapp.costing.cutting.hand.moves import Free, Trial, free_places, largest_offcut
from webapp.costing.measures.written import as_shown, format_length, on_grid, write_quantity
from webapp.costing.plans.requests import NO_PRICE
from webapp.documents.plans.drawings import CutParts
from webapp.pages.shown.plan_trial import Hand
from webapp.pictures.hand_plan import HandPiece, HandPlace, hand_plan
from webapp.showing import Reader, counted

#: With more pieces a plan is looked at and pinned whole.
MOST_BY_HAND: Final = 400
Options = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class PieceListed:
    """A piece in the list of a sheet: what pressing it sends, its words, and how it stands."""

    act: str
    words: str
    chosen: bool
    faulty: bool


@dataclass(frozen=True, slots=True)
class SheetShown:
    """A sheet, or several alike, drawn."""

    title: str
    words: str
    svg: str
    pieces: tuple[PieceListed, ...]


@dataclass(frozen=True, slots=True)
class InHand:
    """The chosen piece: where it lies, where it could go as (number, act, words), and the fields to say it exactly."""

    words: str
    lies: str
    places: tuple[tuple[int, str, str], ...]
    sheets: Options
    to_sheet: str
    from_left: str
    from_top: str
    turned: bool
    may_turn: bool
    swaps: Options
    swap_with: str
    nudge_by: str
    problems: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Shown:
    """The plan in hand as it is shown."""

    facts: tuple[tuple[str, str], ...]
    faults: tuple[str, ...]
    sheets: tuple[SheetShown, ...]
    in_hand: InHand | None


def gap_words(plan: SheetPlan | LengthPlan, reader: Reader) -> str:
    """How near to the least possible price a plan is known to be."""
    if plan.proved or not plan.price:
        return "proved cheapest"
    if not plan.bound:
        return "no bound yet"
    return f"within {reader.percent((plan.price - plan.bound) / plan.price)} of the least possible"


def priced(request: SheetRequest, plan: SheetPlan) -> bool:
    """Whether every sheet of a plan has a price."""
    used = {sheet.stock for sheet in plan.sheets}
    return all(
        stock.price > NO_PRICE * stock.length * stock.width or not stock.price
        for stock in request.stocks
        if stock.id in used
    )


class PlanShower:
    """Shows one material's plan in the way its shop reads it."""

    def __init__(self, bought: MaterialBought, parts: CutParts, reader: Reader) -> None:
        assert isinstance(bought.request, SheetRequest)
        assert isinstance(bought.plan, SheetPlan)
        self.one, self.request, self.plan, self.parts, self.reader = bought, bought.request, bought.plan, parts, reader
        self.pieces = {piece.id: piece for piece in self.request.pieces}
        self.stocks = {stock.id: stock for stock in self.request.stocks}
        self.words = Words(self.piece_named, self.stock_words, self.length)

    def length(self, nm: int) -> str:
        """A length as the shop reads it; exact, since a distance that is missing may be small."""
        system = self.reader.system
        if on_grid(nm, system):
            return format_length(nm, system)
        return as_shown(write_quantity(Fraction(nm), "length", system))

    def sides(self, length: int, width: int) -> str:
        """Two sides in one piece: 30 × 12 in."""
        system = self.reader.system
        return f"{format_length(length, system, with_unit=False)} × {format_length(width, system)}"

    def stock_words(self, stock: str) -> str:
        """A sheet by its size."""
        found = self.stocks.get(stock)
        return self.sides(found.length, found.width) if found is not None else "of another size"

    def piece_named(self, piece: str) -> str:
        """A piece by its number in the cut list and its name."""
        name = self.one.pieces[int(piece)]
        return f"{self.parts.numbers[name]} “{self.parts.taken[name].says}”"

    def piece_words(self, piece: str) -> str:
        """A piece by its number, its name and its blank."""
        asked, name = self.pieces[piece], self.one.pieces[int(piece)]
        return f"{self.parts.numbers[name]} {self.parts.taken[name].says}, {self.sides(asked.length, asked.width)}"

    def counted(self) -> str:
        """The sheets of the plan in use: 2 of 96 × 48 in."""
        return _counted(self.plan.sheets, self)

    def judged(self, trial: Trial) -> Judged:
        """The plan in hand judged, against the bound of what the cutting room found."""
        known = self.one.found_plan
        return judge_sheet_plan(
            self.request, trial.cut_sheets(), known if isinstance(known, SheetPlan) else None, self.words
        )

    def show(self, hand: Hand, judged: Judged, money: bool, acts: bool) -> Shown:
        """The plan in hand; with `money` what it costs, with `acts` the buttons that move its pieces."""
        free = free_places(self.request, hand.trial, hand.chosen) if acts and hand.picked else ()
        places = tuple((number, place) for number, place in enumerate(free, 1))
        return Shown(
            self._facts(hand, judged, money),
            tuple(fault.sentence for fault in judged.faults),
            tuple(self._sheets(hand, judged.faults, places, acts)),
            self._in_hand(hand, places) if acts and hand.picked else None,
        )

    def _facts(self, hand: Hand, judged: Judged, money: bool) -> tuple[tuple[str, str], ...]:
        before, now = self.plan, judged.plan
        rows = [
            ("In use now", f"{'pinned by hand' if self.one.pinned else 'as planned'}, {gap_words(before, self.reader)}")
        ]
        if money:
            known = self.one.price_state != MISSING and priced(self.request, now)
            rows.append(("Sheets cost", self.reader.money(now.price) if known else "a price is missing"))
            if hand.steps and known:
                rows.append(("Against the plan in use", _difference(now.price - before.price, self.reader)))
        if hand.steps and not judged.faults:
            rows.append(("This plan is", gap_words(now, self.reader)))
        rows.append(("Sheets", _counted(now.sheets, self)))
        rows.append(("Filled", ", ".join(dict.fromkeys(self.reader.percent(share) for _, share in now.fill))))
        offcut, was = largest_offcut(self.request, now.sheets), largest_offcut(self.request, before.sheets)
        changed = f" (was {self.sides(*was)})" if hand.steps and offcut != was else ""
        rows.append(("Largest offcut", f"{self.sides(*offcut) if all(offcut) else 'none'}{changed}"))
        if not judged.faults:
            rows.append(("Cuts", f"{now.cuts}, together {self.reader.text(Fraction(now.cut_length, 10**9), 'm')}"))
        return tuple(rows)

    def _sheets(
        self, hand: Hand, faults: Sequence[Fault], places: Sequence[tuple[int, Free]], acts: bool
    ) -> list[SheetShown]:
        trial, sheets = hand.trial, hand.trial.cut_sheets()
        wrong: defaultdict[int, set[int]] = defaultdict(set)
        for fault in faults:
            if fault.sheet is not None:
                wrong[fault.sheet] |= set(fault.pieces)
        chosen_on = trial.lying[hand.chosen].sheet if hand.picked else -1
        shown: list[SheetShown] = []
        at = 0
        while at < len(sheets):
            last = at
            single = at == chosen_on or any(place.sheet == at for _, place in places)
            while not single and last + 1 < len(sheets) and last + 1 != chosen_on and sheets[last + 1] == sheets[at]:
                last += 1
            shown.append(self._sheet(hand, at, last, sheets[at], wrong[at], places, acts))
            at = last + 1
        return shown

    def _sheet(
        self, hand: Hand, at: int, last: int, sheet: CutSheet, wrong: set[int],
        places: Sequence[tuple[int, Free]], acts: bool,
    ) -> SheetShown:  # fmt: skip
        stock, numbers = self.stocks[sheet.stock], hand.trial.on(at)
        named = f"Sheet {at + 1}" if last == at else f"Sheets {at + 1} to {last + 1}, alike"
        title = f"{named}: {self.stock_words(sheet.stock)}" + ("" if numbers else ", empty, so it is not bought")
        drawn, listed = [], []
        for place, (number, put, box) in enumerate(
            zip(numbers, sheet.placements, boxes_of(self.request, sheet.placements), strict=True)
        ):
            name = self.one.pieces[int(put.piece)]
            words, chosen, faulty = self.piece_words(put.piece), number == hand.chosen, place in wrong
            words += ", grain-matched" if self.pieces[put.piece].together else ""
            act = f"choose:{number}" if acts else ""
            says = f"Choose {words}" if acts else words
            drawn.append(
                HandPiece(self.parts.numbers[name], self.parts.taken[name].says, says, box, chosen, faulty, act)
            )
            listed.append(PieceListed(act, words, chosen, faulty))
        marks = [
            HandPlace(number, f"Put it here: {self._place_words(free)}", self._box(hand, free), _act_of(free, stock))
            for number, free in places
            if free.sheet == at
        ]
        trim = stock.trim
        usable = (trim.start, trim.low, stock.length - trim.end, stock.width - trim.high)
        pieces = f"{counted(len(numbers), 'piece')}, drawn to scale"
        return SheetShown(
            title, pieces, hand_plan(stock.length, stock.width, usable, drawn, marks, title), tuple(listed)
        )

    def _box(self, hand: Hand, free: Free) -> tuple[int, int, int, int]:
        along, across = extent(self._piece_in(hand), free.turned)
        return free.x, free.y, free.x + along, free.y + across

    def _piece_in(self, hand: Hand) -> SheetPiece:
        return self.pieces[hand.trial.lying[hand.chosen].piece]

    def _place_words(self, free: Free, new: bool = False) -> str:
        where = f"a new sheet, {self.stock_words(free.stock)}" if new else f"sheet {free.sheet + 1}"
        said = f"{where}, {self.length(free.x)} from the left, {self.length(free.y)} from the top"
        return f"{said}, turned" if free.turned else said

    def _in_hand(self, hand: Hand, places: Sequence[tuple[int, Free]]) -> InHand:
        trial, typed = hand.trial, hand.typed
        now, piece = trial.lying[hand.chosen], self._piece_in(hand)
        there = len(trial.sheets)
        sizes = {(stock.length, stock.width): stock for stock in self.request.stocks}
        sheets = [(str(sheet), f"{sheet + 1}: {self.stock_words(name)}") for sheet, name in enumerate(trial.sheets)]
        sheets += [
            (f"{stock.length}x{stock.width}", f"a new one, {self.stock_words(stock.id)}") for stock in sizes.values()
        ]
        others = [
            (str(number), f"{self.piece_words(one.piece)}, on sheet {one.sheet + 1}")
            for number, one in enumerate(trial.lying)
            if one.piece != now.piece
        ]
        step = "1/16 in" if self.reader.system == "inch" else "1 mm"
        return InHand(
            words=self.piece_words(now.piece),
            lies=self._place_words(Free(now.sheet, trial.sheets[now.sheet], now.x, now.y, now.turned)),
            places=tuple(
                (number, _act_of(free, self.stocks[free.stock], free.sheet == there),
                 self._place_words(free, free.sheet == there))
                for number, free in places
            ),
            sheets=tuple(sheets),
            to_sheet=typed.get("to_sheet", str(now.sheet)),
            from_left=typed.get("from_left", self.length(now.x)),
            from_top=typed.get("from_top", self.length(now.y)),
            turned=typed.get("turned") == "yes" if "from_left" in typed else now.turned,
            may_turn=piece.may_turn,
            swaps=(("", "a piece …"), *others),
            swap_with=typed.get("swap_with", ""),
            nudge_by=typed.get("nudge_by", step),
            problems={name: hand.problems.get(name, "") for name in FIELDS},
        )  # fmt: skip


#: The fields beside which something may be said.
FIELDS: Final = ("to_sheet", "from_left", "from_top", "swap_with", "nudge_by", "steps")


def _act_of(free: Free, stock: SheetStock, new: bool = False) -> str:
    spot = f"{free.x} {free.y} {int(free.turned)}"
    return f"new:{stock.length}x{stock.width} {spot}" if new else f"put:{free.sheet} {spot}"


def _difference(amount: Fraction, reader: Reader) -> str:
    if not amount:
        return "the same"
    return f"{reader.money(abs(amount))} {'more' if amount > 0 else 'less'}"


def _counted(sheets: Sequence[CutSheet], shower: PlanShower) -> str:
    """How many of which size: 2 × 96 × 48 in."""
    counts: defaultdict[str, int] = defaultdict(int)
    for sheet in sheets:
        counts[shower.stock_words(sheet.stock)] += sheet.count
    return "; ".join(f"{count} of {words}" for words, count in counts.items())
