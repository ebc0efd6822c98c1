"""What so many of a stock cost, worked out by hand: in runs, beyond what is bought, in a unit in which all is whole."""

from __future__ import annotations

from fractions import Fraction

from webapp.costing.cutting.ask.model import LengthStock
from webapp.costing.cutting.ask.sold import Run, Sold, beyond, offered_in_units

#: One at 60, from five on at 45: four cost as much as five.
BROKEN = Sold(45, 8, (0, 60, 120, 180, 225, 225, 270, 315, 360))


def _bar(name: str, price: str, *breaks: tuple[int, str], pack: int = 1) -> LengthStock:
    prices = tuple((least, Fraction(each)) for least, each in breaks)
    return LengthStock(name, 100, 0, Fraction(price), None, Fraction(0), prices, pack)


def test_the_numbers_worth_buying_come_in_runs() -> None:
    assert BROKEN.worthwhile() == [0, 1, 2, 3, 5, 6, 7, 8]
    assert BROKEN.runs() == [Run(1, 60, 1, 60, 2), Run(5, 225, 1, 45, 3)]
    assert [BROKEN.most_for(money) for money in (0, 59, 60, 224, 225, 1_000)] == [0, 0, 1, 3, 5, 8]


def test_who_has_bought_pays_what_more_cost_beyond_that() -> None:
    # After three for 180: the fourth and fifth together 45, then 45 each.
    assert beyond(BROKEN, 3, 4) == Sold(22, 4, (0, 45, 45, 90, 135))
    # After four, which were paid as five: the next is free.
    assert beyond(BROKEN, 4, 2).costs == (0, 0, 45)
    assert beyond(Sold(7, 10), 4, 9) == Sold(7, 6)


def test_all_costs_and_the_least_price_of_one_are_whole_in_one_unit() -> None:
    # Packs of three at 50.00 each; four at most are used, so the fourth has to bear a whole second pack.
    (packs,), unit = offered_in_units([_bar("packs", "50", pack=3)], 4, lambda stock: stock.length)
    assert [cost * unit for cost in packs.sold.costs] == [0, 150, 150, 150, 300]
    assert packs.sold.price * unit == 50
    # One at 90; five at 45 are 225, less than three or four at 90. Of four that is 56.25 each.
    (broken,), unit = offered_in_units([_bar("broken", "90", (1, "90"), (5, "45"))], 4, lambda stock: stock.length)
    assert [cost * unit for cost in broken.sold.costs] == [0, 90, 180, 225, 225]
    assert broken.sold.price * unit == Fraction(225, 4)


def test_stocks_of_one_size_are_shared_at_the_least_cost() -> None:
    stocks = [_bar("rising", "80", (1, "80"), (6, "90")), _bar("other", "85")]
    (pooled,), unit = offered_in_units(stocks, 9, lambda stock: stock.length)
    # Five at 80 and four at 85; at 90 each six of the one would be 540.
    assert pooled.sold.costs[9] * unit == 740
    assert sorted(pooled.named(9)) == ["other"] * 4 + ["rising"] * 5
    assert pooled.named(2) == ["rising"] * 2
    apart, _ = offered_in_units([_bar("one", "80"), _bar("other", "85")], 9, lambda stock: stock.length)
    assert [one.sold.costs for one in apart] == [(), ()]
