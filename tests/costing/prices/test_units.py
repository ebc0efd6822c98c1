"""Prices for a square metre, a metre, a kilogram, a hundred and more, for what the shop's offer sells."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final

import pytest

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material, Offer
from webapp.costing.prices.file import Telling, read_price_file
from webapp.costing.prices.layout import Layout, LayoutRefused, read_discount
from webapp.costing.prices.units import AS_SOLD, Basis, basis_of, for_offer, held_by, read_basis
from webapp.costing.tables.sheets import Sheet, SheetRow

MM: Final = 10**6
SHEET: Final = Material("s", "Sheet", Kind.SHEET, {"thickness": Fraction(18 * MM), "density": Fraction(680)})
BIG: Final = Offer("1", "s", "x", {"length": Fraction(2440 * MM), "width": Fraction(1220 * MM)})
BOARD: Final = Material("b", "Oak", Kind.BOARD)
STEP: Final = Offer("2", "b", "x", {"rough_thickness": Fraction(52 * MM), "step": Fraction(1)})
SCREW: Final = Material("f", "Screw", Kind.FASTENER)
TWO_HUNDRED: Final = Offer("3", "f", "x", {"count": Fraction(200)})
TIN: Final = Offer("4", "l", "x", {"litres": Fraction(5, 2)})
GLUE: Final = Material("l", "Glue", Kind.LIQUID)


def test_what_is_sold_of_an_offer_holds_so_much() -> None:
    assert held_by("m2", SHEET, BIG) == Fraction("2.9768")
    assert held_by("m3", SHEET, BIG) == Fraction("0.0535824")
    assert held_by("kg", SHEET, BIG) == Fraction("36.436032")  # 0.0535824 m3 at 680 kg/m3
    assert held_by("L", GLUE, TIN) == Fraction("2.5")
    assert held_by("piece", SCREW, TWO_HUNDRED) == 200
    assert held_by("m", SHEET, BIG) is None
    assert held_by("kg", SCREW, TWO_HUNDRED) is None


@pytest.mark.outside(
    source="NIST SP 811 (2008), appendix B.8: a board foot is 2.359 737 E-03 cubic metres", kind="from memory"
)
def test_a_board_foot_is_0_002359737_cubic_metres() -> None:
    held = held_by("m3", BOARD, STEP)
    assert held is not None
    assert round(float(held), 9) == 0.002359737


@pytest.mark.parametrize(
    ("told", "key", "material", "offer", "comes_to"),
    [
        ("21.40", "m2", SHEET, BIG, "63.70"),  # 21.40 x 2.9768 = 63.7035
        ("4.155", "100 piece", SCREW, TWO_HUNDRED, "8.31"),
        ("0.0416", "piece", SCREW, TWO_HUNDRED, "8.32"),
        ("41.55", "1000 piece", SCREW, TWO_HUNDRED, "8.31"),
        ("9.20", "L", GLUE, TIN, "23.00"),
        ("64", "sold", SHEET, BIG, "64"),
        ("64", "piece", SHEET, BIG, "64"),
        ("6.89", "ft2", SHEET, BIG, "220.77"),  # 2.9768 m2 are 32.04201 square feet of 0.09290304 m2
    ],
)
def test_a_price_comes_to(told: str, key: str, material: Material, offer: Offer, comes_to: str) -> None:
    assert for_offer(Decimal(told), basis_of(key), material, offer, 2)[0] == Decimal(comes_to)


def test_another_pack_is_reckoned_by_the_piece_and_what_is_not_known_is_said() -> None:
    assert for_offer(Decimal(25), Basis("pack"), SCREW, TWO_HUNDRED, 2, 500)[0] == Decimal(10)
    assert for_offer(Decimal(25), Basis("sold"), SCREW, TWO_HUNDRED, 2, 500) == (Decimal("10.00"), "25.00 for 500")
    assert for_offer(Decimal(8), Basis("pack"), SCREW, TWO_HUNDRED, 2)[0] == Decimal(8)
    amount, said = for_offer(Decimal(3), Basis("kg"), SCREW, TWO_HUNDRED, 2)
    assert amount is None
    assert said.startswith("A price a kilogram can't be reckoned for Screw: its weight is not known")
    in_tens = Offer("1", "s", "x", {**BIG.size, "pack": Fraction(10)})
    assert for_offer(Decimal(600), Basis("pack"), SHEET, in_tens, 2)[0] == Decimal(60)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("St.", "piece"), ("100 Stück", "100 piece"), ("je 100", "100 piece"), ("%", "100 piece"), ("C", "100 piece"),
        ("per 1000", "1000 piece"), ("m²", "m2"), ("qm", "m2"), ("lfm", "m"), ("100 m", "100 m"), ("kg", "kg"),
        ("Board Foot", "BF"), ("MBF", "1000 BF"), ("m³", "m3"), ("Ltr.", "L"), ("VE", "pack"), ("szt.", "piece"),
        ("50", "50 piece"), ("0", None), ("", None), ("bundle", None),
    ],
)  # fmt: skip
def test_what_a_price_is_for_is_known_by_many_words(text: str, key: str | None) -> None:
    found = read_basis(text)
    assert (found.key if found else None) == key
    if found is not None:
        assert basis_of(found.key) == found


@pytest.mark.parametrize("key", ["1e-999999999 m2", "1e999999999 m2", "0 m2", "1/0 m2", "-1 m2", "m2 m2", "", "sold"])
def test_a_key_that_no_form_gives_is_as_sold_at_once(key: str) -> None:
    assert basis_of(key) == AS_SOLD


@pytest.mark.parametrize("told", ["2.5 m2", "100 piece", "piece", "0.5 kg"])
def test_what_a_price_is_for_is_known_by_its_key(told: str) -> None:
    basis = read_basis(told)
    assert basis is not None
    assert basis_of(basis.key) == basis


@pytest.mark.parametrize("typed", ["1e-999999999", "1e1", "1_0", "nan", "Infinity", "1/3", "9" * 100_000, "--5"])
def test_a_discount_is_digits_and_a_sign_at_most(typed: str) -> None:
    with pytest.raises(LayoutRefused, match="is no discount"):
        read_discount(typed)


@pytest.mark.parametrize(
    ("typed", "comes_to"), [("12.5", "12.5"), ("12,5 %", "12.5"), (" 7%", "7"), ("", "0"), (".5", "0.5")]
)
def test_a_discount_is_read_as_it_is_typed(typed: str, comes_to: str) -> None:
    assert read_discount(typed) == Fraction(comes_to)


def test_a_discount_is_rounded_once_for_what_is_sold() -> None:
    five_hundred = Offer("5", "f", "x", {"count": Fraction(500)})
    layout = Layout(("code", "text", "price"), ("article", "words", "price"), Basis("piece"), discount=Fraction(7))
    rows = (SheetRow(1, ("Code", "Text", "Price")), SheetRow(2, ("A", "Screw", "3.33")))
    telling = Telling("EUR", 2, date(2026, 11, 30))
    (line,) = read_price_file((Sheet("", rows),), layout, telling).lines
    assert line.net is not None
    told = for_offer(line.net, line.basis, SCREW, five_hundred, 2)
    assert told == (Decimal("1548.45"), "3.0969 a piece")  # 500 x 3.33 less 7 %
    (line,) = read_price_file((Sheet("", rows),), replace(layout, basis=AS_SOLD), telling).lines
    assert line.net is not None
    assert for_offer(line.net, line.basis, SCREW, five_hundred, 2) == (Decimal("3.10"), "")
