"""What the cut plans of a job leave over that is worth keeping, by the shop's least sizes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.catalogue.materials import Material
from webapp.costing.cutting.ask.model import LengthPlan, LengthRequest, SheetPlan, SheetRequest, SheetStock
from webapp.costing.cutting.ask.price_breaks import whole_beyond
from webapp.costing.cutting.saw.sequence import offcuts, sawn_sheet
from webapp.costing.settings.rates import Rates


@dataclass(frozen=True, slots=True)
class Rest:
    """So many equal rests, lengths in nm; a sheet's length lies along the sheet's, a length has a width of 0."""

    material: Material
    length: int
    width: int
    count: int


def rests_worth_keeping(bought: tuple[MaterialBought, ...], rates: Rates) -> tuple[Rest, ...]:
    """The rests that the cuts of a job leave, by material, the largest first."""
    found = []
    for one in bought:
        if not one.purchases:
            continue
        counted: dict[tuple[int, int], int] = {}
        for size, count in _rests(one, rates):
            counted[size] = counted.get(size, 0) + count
        sizes = sorted(counted, key=lambda size: (-size[0] * max(size[1], 1), size))
        found += [Rest(one.material, *size, counted[size]) for size in sizes]
    return tuple(found)


def _rests(bought: MaterialBought, rates: Rates) -> Iterator[tuple[tuple[int, int], int]]:
    """Length, width and number of each rest that is worth keeping, whole ones that were bought for a price among it."""
    if bought.request is not None and bought.plan is not None:
        whole = {stock.id: stock for stock in bought.request.stocks}
        for name, count in whole_beyond(bought.request.stocks, bought.plan).items():
            stock = whole[name]
            yield (stock.length, stock.width if isinstance(stock, SheetStock) else 0), count
    if isinstance(bought.plan, SheetPlan) and isinstance(bought.request, SheetRequest):
        keep = (int(rates["offcut_length"]), int(rates["offcut_width"]))
        for sheet in bought.plan.sheets:
            for left, low, right, high in offcuts(sawn_sheet(bought.request, sheet, keep)):
                yield (right - left, high - low), sheet.count
    elif isinstance(bought.plan, LengthPlan) and isinstance(bought.request, LengthRequest):
        stocks = {stock.id: stock for stock in bought.request.stocks}
        sizes = {piece.id: piece.length for piece in bought.request.pieces}
        sizes |= {part.id: part.length for part in bought.plan.parts}
        for cut in bought.plan.lengths:
            stock = stocks[cut.stock]
            last = max((at + sizes[piece] for piece, at in cut.pieces), default=0)
            # The far end is left as it came: its trim is lost only when the rest is cut in its turn.
            rest = stock.length - last - bought.request.kerf
            if rest - stock.trim >= rates["offcut_length"]:
                yield (rest, 0), cut.count
