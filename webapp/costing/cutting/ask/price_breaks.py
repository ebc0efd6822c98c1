"""What whole sheets or lengths cost where the price of one hangs on how many are bought, or they come in packs.

Whoever buys one more to reach a lower price pays less; what is not cut goes to the rack.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from fractions import Fraction

from webapp.costing.cutting.ask.model import LengthPlan, LengthStock, PriceBreak, SheetPlan, SheetStock

Stock = SheetStock | LengthStock


def price_at(breaks: Iterable[PriceBreak], number: int) -> Fraction | None:
    """The price of one where so many are bought; None where nobody sells so few."""
    fitting = [price for least, price in breaks if least <= number]
    return fitting[-1] if fitting else None


def whole_purchase(stock: Stock, wanted: int) -> tuple[int, Fraction]:
    """How many are best bought where so many are cut, and what they cost; of equal sums the fewest are bought.

    No more are bought than there are, save where what is cut is more already: who judges that plan says so.
    """
    if not wanted or not hangs_on_number(stock):
        return wanted, stock.price * wanted
    numbers = {_in_packs(stock, number) for number in (wanted, *(n for n, _ in stock.breaks if n > wanted))}
    offered = [(price * number, number) for number in numbers if (price := _price_of_one(stock, number)) is not None]
    here = [one for one in offered if stock.available is None or one[1] <= stock.available]
    cost, number = min(here or offered)
    return number, cost


def hangs_on_number(stock: Stock) -> bool:
    """Whether so many of a stock cost anything else than so many times its price."""
    return stock.pack > 1 or any(
        least > 1 if not place else price != stock.price for place, (least, price) in enumerate(stock.breaks)
    )


def most_to_be_had(stock: Stock) -> int | None:
    """How many of a stock can be bought; None where as many as are wanted can."""
    if stock.available is None:
        return None
    most = stock.available // stock.pack * stock.pack
    return most if _price_of_one(stock, most) is not None else 0


def _in_packs(stock: Stock, number: int) -> int:
    return -(-number // stock.pack) * stock.pack


def _price_of_one(stock: Stock, number: int) -> Fraction | None:
    return price_at(stock.breaks, number) if stock.breaks else stock.price


def counts_cut(plan: SheetPlan | LengthPlan) -> Counter[str]:
    """How many of each stock a plan cuts."""
    counts: Counter[str] = Counter()
    for one in plan.sheets if isinstance(plan, SheetPlan) else plan.lengths:
        counts[one.stock] += one.count
    return counts


def counts_bought(stocks: Iterable[Stock], plan: SheetPlan | LengthPlan) -> dict[str, int]:
    """How many of each stock are bought for a plan, in the order of the stocks: those it cuts, and whole ones beyond
    them that a lower price makes worth having."""
    cut = counts_cut(plan)
    return {stock.id: whole_purchase(stock, cut[stock.id])[0] for stock in stocks if cut[stock.id]}


def price_of_cut(stocks: Iterable[Stock], cut: Counter[str]) -> Fraction:
    """What so many of each stock cost, bought as is best."""
    return sum((whole_purchase(stock, cut[stock.id])[1] for stock in stocks), Fraction(0))


def whole_beyond(stocks: Iterable[Stock], plan: SheetPlan | LengthPlan) -> dict[str, int]:
    """How many of each stock are bought and not cut, since the lower price is worth it."""
    cut = counts_cut(plan)
    bought = counts_bought(stocks, plan)
    return {name: number - cut[name] for name, number in bought.items() if number > cut[name]}
