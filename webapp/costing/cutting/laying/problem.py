"""A request for sheets made ready to pack: kerf folded into the sizes, equal pieces gathered, prices as whole numbers.

Adding the kerf to each piece and once to the trimmed sheet is exact for cuts from edge to edge: n pieces side by side
need n - 1 cuts, and the cut beyond the last one may run off the sheet. It is as exact for a router's spacing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from math import gcd
from typing import Final

from webapp.costing.cutting.ask.model import SheetPiece, SheetRequest, SheetStock, Unplaced
from webapp.costing.cutting.ask.price_breaks import most_to_be_had
from webapp.costing.cutting.ask.saw_rules import ANY_TURNS, UNCUT, Made, SawRules
from webapp.costing.cutting.ask.sold import Offered, Sold, offered_in_units, price_of
from webapp.costing.cutting.ask.unplaceable import why_no_block, why_no_place
from webapp.costing.cutting.laying.grain_groups import Block, blocks_of
from webapp.costing.cutting.laying.tables import Tables, tables_of

NO_RULES: Final = SawRules()

Usable = list[tuple[int, int]]
"""The sheets at hand, trimmed and with one kerf added, along and across."""


@dataclass(frozen=True, slots=True)
class Owner:
    """A requested piece behind a kind; `flipped` when the kind's along is the piece's width."""

    piece: SheetPiece
    flipped: bool


@dataclass(frozen=True, slots=True)
class Kind:
    """Pieces of one size, kerf added; `along` lies along the sheet unless turned, and is the longer if it may be.

    `shapes` are the ways in which one may lie, each as along and across; a laid piece names its shape by its place.
    A group of pieces kept together is one such piece: `blocks` then has the layout behind each shape, and `area` is
    that of its pieces alone. `rules` are the saw's.
    """

    along: int
    across: int
    may_turn: bool
    count: int
    area: int
    owners: tuple[Owner, ...]
    shapes: tuple[tuple[int, int], ...]
    blocks: tuple[Block, ...] = ()
    rules: SawRules = NO_RULES

    def fits(self, along: int, across: int) -> bool:
        """Whether one such piece can be had from an empty sheet of this size."""
        for shape, (one_along, one_across) in enumerate(self.shapes):
            if one_along <= along and one_across <= across:
                if not self.rules.bind():
                    return True
                ways = self.rules.freeing(one_along, one_across, along, across, UNCUT)
                if any(self.parts(shape, way.piece) for way in ways):
                    return True
        return False

    def parts(self, shape: int, made: Made) -> bool:
        """Whether the piece, once freed in the given way, can be parted further where it is a block."""
        return not self.blocks or self.blocks[shape].parts(self.rules, made)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet(Sold):
    """What is offered of one size, `stock` the first of it, trimmed and with one kerf added, and how it is sold."""

    stock: SheetStock
    offered: Offered[SheetStock]
    along: int
    across: int
    area: int


@dataclass(frozen=True, slots=True)
class SheetProblem:
    """Kinds, sheets, the size of one unit in the request's unit, and how many price units make one.

    `rules` are the saw's, in this problem's unit; with `by_router` pieces need not part from edge to edge.
    """

    kinds: tuple[Kind, ...]
    sheets: tuple[Sheet, ...]
    unit: int
    price_unit: Fraction
    kerf: int
    count: int
    rules: SawRules = NO_RULES
    by_router: bool = False
    tables: Tables = field(init=False, compare=False, repr=False)
    """The same for the compiled laying."""

    def __post_init__(self) -> None:
        tables = tables_of(self.kinds, self.sheets, self.rules, by_router=self.by_router)
        object.__setattr__(self, "tables", tables)

    def piece_area(self, kind: int) -> int:
        """The area of one piece itself, or of a group's pieces, without kerf, in the request's unit."""
        wanted = self.kinds[kind]
        if wanted.blocks:
            return sum(owner.piece.length * owner.piece.width * owner.piece.count for owner in wanted.owners)
        return (wanted.along * self.unit - self.kerf) * (wanted.across * self.unit - self.kerf)

    def price_of(self, bought: Iterable[int]) -> int:
        """What sheets cost together, each told by its place."""
        return price_of(self.sheets, Counter(bought))

    @property
    def costs_hang_on_number(self) -> bool:
        """Whether so many of some sheet cost anything else than so many times its price."""
        return any(sheet.costs for sheet in self.sheets)

    @property
    def has_groups(self) -> bool:
        """Whether any kind is a group of pieces kept together."""
        return any(kind.blocks for kind in self.kinds)


def pose_sheet_problem(request: SheetRequest, *, grouped: bool = True) -> tuple[SheetProblem, tuple[Unplaced, ...]]:
    """The packing problem of a request, and the pieces left out because no sheet can hold even one of them.

    With `grouped` false the pieces of a group may lie apart: what bounds that problem's price, bounds the price with
    groups as well. The same pieces are left out either way.
    """
    kerf = request.kerf
    rules = NO_RULES
    if request.method == "saw":
        least = request.smallest_strip + kerf if request.smallest_strip else 0
        rules = SawRules(least, ANY_TURNS if request.most_turns is None else request.most_turns)
    stocks = [stock for stock in request.stocks if most_to_be_had(stock) != 0]
    usable = [_usable(stock, kerf) for stock in stocks]
    left_out: list[Unplaced] = []
    gathered: dict[tuple[int, int, bool], list[Owner]] = {}
    groups: list[tuple[list[SheetPiece], list[Block]]] = []
    together = _together(request)
    lost: set[str] = set()
    for name, members in together.items():
        blocks = [one for one in blocks_of(tuple(members), kerf, tuple(usable)) if _can_be_had(one, usable, rules)]
        if blocks:
            groups.append((members, blocks))
        else:
            lost.add(name)
            why = why_no_block(name, members, usable, kerf, rules)
            left_out += [Unplaced(piece.id, piece.count, why) for piece in members]
    for piece in request.pieces:
        if piece.count == 0 or piece.together in lost or (grouped and piece.together in together):
            continue
        along, across = piece.length + kerf, piece.width + kerf
        may_turn = piece.may_turn and along != across
        why_not = why_no_place(piece, usable, kerf, rules)
        if why_not:
            left_out.append(Unplaced(piece.id, piece.count, why_not))
            continue
        flipped = may_turn and across > along
        key = (across, along, may_turn) if flipped else (along, across, may_turn)
        gathered.setdefault(key, []).append(Owner(piece, flipped))
    sizes = [size for key in gathered for size in key[:2]]
    sizes += [size + kerf for members, _ in groups for piece in members for size in (piece.length, piece.width)]
    unit = gcd(*sizes, *(size for sides in usable for size in sides)) or 1
    rules = SawRules(-(-rules.least // unit), rules.most_turns)
    kinds = [
        _kind(along // unit, across // unit, may_turn, tuple(owners), rules)
        for (along, across, may_turn), owners in gathered.items()
    ]
    if grouped:
        kinds += [_group(members, [block.in_units(unit) for block in blocks], rules) for members, blocks in groups]
    count = sum(kind.count for kind in kinds)
    offers, price_unit = offered_in_units(
        stocks, count, lambda stock: (stock.length, stock.width, stock.trim, stock.full)
    )
    sheets = tuple(_sheet(one, kerf, unit) for one in offers)
    by_router = request.method == "router"
    posed = SheetProblem(tuple(kinds), sheets, unit, price_unit, kerf, count, rules, by_router)
    return posed, tuple(left_out)


def _together(request: SheetRequest) -> dict[str, list[SheetPiece]]:
    """The groups of more than one piece, by name."""
    found: dict[str, list[SheetPiece]] = {}
    for piece in request.pieces:
        if piece.together and piece.count:
            found.setdefault(piece.together, []).append(piece)
    return {name: members for name, members in found.items() if sum(piece.count for piece in members) > 1}


def _can_be_had(block: Block, usable: Usable, rules: SawRules) -> bool:
    """Whether some sheet can give the block within the rules."""
    if not rules.bind():
        return True
    for along, across in usable:
        if block.along <= along and block.across <= across:
            ways = rules.freeing(block.along, block.across, along, across, UNCUT)
            if any(block.parts(rules, way.piece) for way in ways):
                return True
    return False


def _kind(along: int, across: int, may_turn: bool, owners: tuple[Owner, ...], rules: SawRules) -> Kind:
    shapes = ((along, across), (across, along)) if may_turn else ((along, across),)
    return Kind(
        along,
        across,
        may_turn,
        sum(owner.piece.count for owner in owners),
        along * across,
        owners,
        shapes,
        rules=rules,
    )


def _group(members: list[SheetPiece], blocks: list[Block], rules: SawRules) -> Kind:
    return Kind(
        blocks[0].along,
        blocks[0].across,
        False,
        1,
        sum(member.along * member.across for member in blocks[0].members),
        tuple(Owner(piece, False) for piece in members),
        tuple((block.along, block.across) for block in blocks),
        tuple(blocks),
        rules,
    )


def _sheet(offered: Offered[SheetStock], kerf: int, unit: int) -> Sheet:
    sold, stock = offered.sold, offered.stocks[0]
    along, across = (size // unit for size in _usable(stock, kerf))
    return Sheet(
        price=sold.price,
        limit=sold.limit,
        costs=sold.costs,
        stock=stock,
        offered=offered,
        along=along,
        across=across,
        area=along * across,
    )


def _usable(stock: SheetStock, kerf: int) -> tuple[int, int]:
    trim = stock.trim
    return stock.length - trim.start - trim.end + kerf, stock.width - trim.low - trim.high + kerf
