"""Glue, finish, boards and prices by the number against what is published of them, through the whole estimate."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.reference.published_case import BOARD, FOOT, board, made, material, of, shop, stock, with_stock, wood
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.measures.written import parse_quantity

F = Fraction
outside = pytest.mark.outside

GRAMS_PER_POUND = F("453.59237")
STICK = (wood(), {"length": 10 * FOOT}, {1: "1"})


# ---- glue ----------------------------------------------------------------------------------------------------------


@outside(
    source="Forest Products Laboratory Technical Note 255 (about 1952): 50 lb of glue on 1000 sq ft, 75 ft of 2 in"
)
@pytest.mark.parametrize(("width", "pounds"), [("1.5 in", "0.46875"), ("2 in", "0.625")])
def test_glue_for_75_feet_of_two_inch_stock(width: str, pounds: str) -> None:
    """A spread that is stated for a glue line holds what squeezes out: nothing comes on top."""
    values = {"spread": parse_quantity("50 lb/1000 ft2", "spread", "inch"), "grams_per_litre": 1100}
    sections = f"""
joints:
  edge: {{says: Edge, from: plank, into: plank, touches: no, glue: glue, glue_width: {width}, run: 75 ft, rows: 1}}
"""
    glue = (material("glue", Kind.LIQUID, **values), {"litres": 1}, {1: "10"})
    found = made(with_stock(glue="liquid") + sections, shop(), stock(STICK, glue))
    assert float(of(found, "glue").required.value * 1100 / GRAMS_PER_POUND) == pytest.approx(float(F(pounds)), rel=1e-9)


# ---- finish --------------------------------------------------------------------------------------------------------


@outside(source="Painting Instructions for Army Materiel, TM 43-0139 (undated copy), par. 3-9, table 3-2")
@pytest.mark.parametrize(
    ("first", "second"),
    [
        pytest.param(350, 450, id="weathered wood"),
        pytest.param(450, 550, id="repainted wood"),
        pytest.param(400, 475, id="light steel"),
        pytest.param(500, 550, id="sheet steel"),
    ],
)
def test_a_first_coat_takes_more_and_the_second_does_not(first: int, second: int) -> None:
    """Square feet to the gallon, mid values, of first and second coat: 1000 sq ft take so many gallons of either."""
    values = {"coverage": parse_quantity(f"{second} ft2/gal", "coverage", "inch"), "coverage_is_practical": 1}
    sections = """
values: {long: 1000 ft, wide: 1 ft}
surfaces: {face: {area: long * wide}}
finish: {coats: {says: Coats, stock: paint, coats: 2, on: [face]}}
"""
    paint = (material("paint", Kind.LIQUID, **values), {"litres": 1}, {1: "10"})
    found = made(with_stock(paint="liquid") + sections, shop(raw_first_coat=f"{second}/{first}"), stock(STICK, paint))
    gallons = of(found, "paint").required.value / parse_quantity("1 gal", "volume", "inch")
    assert gallons == F(1000, first) + F(1000, second)


# ---- boards --------------------------------------------------------------------------------------------------------


@outside(source="US Army subcourse EN0069, Frame Structures, edition A (undated), lesson 4: 15 % waste of boards")
def test_boards_are_bought_by_their_usable_share() -> None:
    """106 in of boards 5 1/2 in wide are 106 / 5.5 / 0.85 in the course: 23 whole boards."""
    one_board = F(55, 12)  # board feet of 1 x 5 1/2 in by 10 ft
    catalogue = stock((board(**{"yield": "0.85"}), {"rough_thickness": FOOT // 12, "step": one_board}, {1: "1"}))
    found = made(BOARD.format(length="10 ft", width="106 in"), shop(), catalogue)
    bought = of(found, "wood")
    assert found.figures[f"buy/{bought.key}/gross"].value / one_board == F(106) / F("5.5") / F("0.85")
    assert found.figures[f"buy/{bought.key}/to_buy"].value == 23 * one_board


# ---- prices by the number ------------------------------------------------------------------------------------------

#: Needed in a year, what an order costs, what is held for a year costs of its price; prices, each from a number on.
EXERCISES = {
    "800 a year": (800, 60, "0.30", {1: "53", 50: "51.50", 100: "49.50", 200: "48", 500: "47"}),
    "5000 a year": (5000, 49, "0.20", {1: "5.00", 1000: "4.90", 2000: "4.85"}),
    "15 000 a year": (15_000, 110, "0.20", {1: "30", 251: "28", 501: "26", 751: "25"}),
    "2000 a year": (2000, 20, "0.20", {1: "2.50", 200: "2.40", 300: "2.25", 1000: "2.00"}),
}


@outside(source="teaching exercises on price breaks: what a year costs by the size of an order", kind="common practice")
@pytest.mark.parametrize(
    ("exercise", "order", "a_year"),
    [
        ("800 a year", 79, "42417.9"), ("800 a year", 100, "40822.5"), ("800 a year", 200, "40080"),
        ("800 a year", 500, "41221"), ("5000 a year", 700, "25700"), ("5000 a year", 1000, "25235"),
        ("5000 a year", 2000, "25342.50"), ("15 000 a year", 812, "379062.02"), ("2000 a year", 1000, "4240"),
        ("2000 a year", 422, "4689.74"),
    ],
)  # fmt: skip
def test_an_order_is_bought_at_the_price_of_its_number(exercise: str, order: int, a_year: str) -> None:
    """What an order costs to buy is the program's; a year of such orders then comes to what the exercise states."""
    needed, an_order, held, breaks = EXERCISES[exercise]
    sections = f"\nhardware: {{knobs: {{says: Knobs, stock: knob, count: {order}}}}}\n"
    knobs = (material("knob", Kind.PIECE), {"count": 1}, breaks)
    found = made(with_stock(knob="piece") + sections, shop(), stock(STICK, knobs))
    bought = of(found, "knob")
    assert [one.packs for one in bought.purchases] == [order]
    orders = F(needed, order)
    year = orders * bought.bought.value + orders * an_order + F(held) * bought.bought.value / 2
    assert float(year) == pytest.approx(float(a_year), abs=0.06)
