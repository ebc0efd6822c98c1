"""A receipt adds up to its total to the last coin, whoever's money it was; worked by hand, and drawn at random."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.costing.buying_list.list_case import TERMS, entry, line, making, offered
from webapp.costing.buying_list.entries import Said
from webapp.costing.buying_list.lines import ForJob, Terms
from webapp.costing.buying_list.settle import settle
from webapp.costing.receipts.prices import prices_on
from webapp.costing.receipts.reading import Known, TypedLine, TypedReceipt, read_typed_receipt
from webapp.costing.receipts.receipt import (
    RUNNING,
    STOCK,
    Listed,
    Receipt,
    ReceiptLine,
    receipt_of,
    whose_job,
    write_receipt,
)
from webapp.costing.receipts.reckoning import ListLine, reckon

DAY = date(2026, 11, 3)
#: Tax of 20 % that the shop reclaims, and tax of 8.25 % that it bears.
RECLAIMS, BEARS = TERMS, Terms("USD", 2, Fraction(33, 400), False, Fraction(15, 100))


def bought(what: str, paid: str, whose: str, count: int | None = None, offer: str = "") -> ReceiptLine:
    return ReceiptLine(what, None if count is None else Fraction(count), Decimal(paid), whose, offer)


def receipt(
    total: str, tax: str | None, *lines: ReceiptLine, terms: Terms = BEARS, hold_tax: bool = False,
    listed: tuple[Listed, ...] = (), whose: str = RUNNING,
) -> Receipt:  # fmt: skip
    return Receipt(
        "Brasslow Hardware", DAY, Decimal(total), None if tax is None else Decimal(tax), hold_tax, whose, lines, listed,
        terms,
    )  # fmt: skip


def amounts(found: tuple[tuple[str, object], ...]) -> dict[str, str]:
    return {whose: f"{float(figure.value):.2f}" for whose, figure in found}  # type: ignore[attr-defined]


def test_tax_apart_that_the_shop_bears_goes_to_those_who_bought() -> None:
    """By hand: 40.00 x 1.0825 = 43.30 and 12.50 x 1.0825 = 13.53125, so 13.53; 4.33 of tax."""
    found = reckon(receipt("56.83", "4.33", bought("Screws", "40.00", whose_job(2)), bought("Rags", "12.50", RUNNING)))
    assert amounts(found.went) == {"job:2": "43.30", RUNNING: "13.53"}
    assert not any((found.differs.value, found.reclaimed.value, found.left.value))


def test_tax_in_the_amounts_that_the_shop_reclaims_is_no_jobs() -> None:
    """By hand: 48.00 / 1.2 = 40.00 and 15.00 / 1.2 = 12.50; 63.00 - 52.50 = 10.50 of tax."""
    lines = bought("Screws", "48.00", whose_job(2)), bought("Glue", "15.00", STOCK)
    found = reckon(receipt("63.00", "10.50", *lines, terms=RECLAIMS, hold_tax=True))
    assert amounts(found.went) == {"job:2": "40.00", STOCK: "12.50"}
    assert found.reclaimed.value == Fraction("10.50")
    assert found.left.value == 0


@pytest.mark.parametrize(("terms", "hold_tax"), [(RECLAIMS, False), (BEARS, True)])
def test_amounts_that_are_costs_already_stay_as_printed(terms: Terms, hold_tax: bool) -> None:
    tax, total = ("2.00", "12.00") if not hold_tax else ("0.76", "10.00")
    found = reckon(receipt(total, tax, bought("Screws", "10.00", STOCK), terms=terms, hold_tax=hold_tax))
    assert amounts(found.went) == {STOCK: "10.00"}
    assert found.left.value == 0


def test_a_receipt_without_tax_holds_none_whatever_the_rate() -> None:
    found = reckon(receipt("10.00", None, bought("Boards from a neighbour", "10.00", STOCK)))
    assert amounts(found.went) == {STOCK: "10.00"}


def test_a_missing_line_is_said_by_how_much_and_never_lost() -> None:
    found = reckon(receipt("31.90", "0", bought("Screws", "9.40", whose_job(2)), terms=RECLAIMS))
    assert found.differs.value == Fraction("22.50")
    assert not found.is_rounding
    assert found.left.value == Fraction("22.50")


def test_cash_paid_in_fives_is_rounding() -> None:
    found = reckon(receipt("9.45", None, bought("Screws", "9.43", STOCK)))
    assert found.is_rounding
    assert found.left.value == Fraction("0.02")


def test_without_lines_all_of_it_is_for_one() -> None:
    found = reckon(receipt("60.00", "10.00", terms=RECLAIMS, hold_tax=True))
    assert amounts(found.went) == {RUNNING: "50.00"}
    assert found.reclaimed.value == 10
    assert found.left.value == 0


def test_all_of_a_receipt_at_mixed_rates_goes_by_the_tax_that_it_prints() -> None:
    """100.00 with 10.00 of tax, at the shop's 20 %: 90.00, whatever rates it was at."""
    found = reckon(receipt("100.00", "10.00", terms=RECLAIMS, hold_tax=True))
    assert amounts(found.went) == {RUNNING: "90.00"}
    assert not found.left.value


def test_a_list_that_told_without_tax_is_held_against_a_receipt_with_it() -> None:
    """20.00 without tax are 24.00 on a receipt that prints its prices with 20 %; the job pays 20.00."""
    one = line(1)
    found = settle((making(one),), (entry(1, one.id, 1, Said("loaded", Fraction(2), Decimal("20.00"))),))
    named = tuple(ListLine(Listed(4, each.id), each, TERMS) for each in found.lines)
    told = reckon(
        receipt("24.00", "4.00", terms=RECLAIMS, hold_tax=True, listed=tuple(each.named for each in named)), named
    )
    assert amounts(told.went) == {"job:7": "20.00"}
    assert not told.differs.value
    assert told.adds_up


def test_a_tax_that_no_line_explains_is_not_called_rounding() -> None:
    found = reckon(receipt("120.00", "20.00", bought("Screws", "100.00", STOCK), terms=RECLAIMS, hold_tax=True))
    assert not found.adds_up


def test_a_return_goes_back_to_the_job_that_bought_it() -> None:
    found = reckon(receipt("-43.30", "-3.30", bought("Screws", "-40.00", whose_job(2))))
    assert amounts(found.went) == {"job:2": "-43.30"}
    assert found.left.value == 0


def test_what_a_list_told_is_shared_as_the_list_shares_it() -> None:
    """By hand: 20.00 without tax, by 3 to 1: 15.00 and 5.00; what nobody knows is named and not counted."""
    jobs = ForJob(7, "Bench", Fraction(3)), ForJob(9, "Cart", Fraction(1))
    shared, untold = line(1, jobs=jobs), replace(line(2), expected=None, till=None)
    entries = (
        entry(1, shared.id, 1, Said("loaded", Fraction(2), Decimal("20.00"))),
        entry(2, untold.id, 2, Said("loaded", Fraction(2))),
    )
    found = settle((making(shared, untold),), entries)
    named = tuple(ListLine(Listed(4, one.id), one, TERMS) for one in found.lines)
    told = reckon(receipt("24.00", "4.00", terms=RECLAIMS, listed=tuple(one.named for one in named)), named)
    assert amounts(told.went) == {"job:7": "15.00", "job:9": "5.00"}
    assert told.untold == (untold.what,)
    assert told.reclaimed.value == 4
    assert told.left.value == 0


def test_what_was_ticked_without_a_price_stands_as_expected() -> None:
    """Two at 10.00 each were expected and one of them came: 10.00."""
    one = line(1)
    found = settle((making(one),), (entry(1, one.id, 1, Said("short", Fraction(1))),))
    named = tuple(ListLine(Listed(4, each.id), each, TERMS) for each in found.lines)
    told = reckon(receipt("12.00", "2.00", terms=RECLAIMS, listed=tuple(each.named for each in named)), named)
    assert amounts(told.went) == {"job:7": "10.00"}
    assert not told.untold
    assert not told.differs.value


money = st.decimals("-999.99", "999.99", places=2).filter(bool)
whose = st.sampled_from([STOCK, RUNNING, whose_job(1), whose_job(22), whose_job(3)])
terms = st.builds(
    Terms, st.just("USD"), st.just(2), st.fractions(0, Fraction(1, 4), max_denominator=400), st.booleans(),
    st.just(Fraction(15, 100)),
)  # fmt: skip


@given(
    st.builds(
        Receipt, st.just("Seller"), st.just(DAY), money, st.none() | money, st.booleans(), whose,
        st.lists(st.builds(ReceiptLine, st.just("Thing"), st.none(), money, whose), max_size=6).map(tuple),
        st.just(()), terms,
    )
)  # fmt: skip
def test_lines_tax_and_rounding_add_to_the_total_to_the_cent(one: Receipt) -> None:
    found = reckon(one)
    went = sum((figure.value for _, figure in found.went), Fraction(0))
    assert went + found.reclaimed.value + found.left.value == Fraction(one.total)
    assert found.printed.value + found.differs.value == Fraction(one.total)
    assert all((figure.value * 100).denominator == 1 for _, figure in found.went)
    assert receipt_of(write_receipt(one)) == one


KNOWN = Known(frozenset({2}), {"br-440": ("screws", "Screw 4 x 40 mm")})


def read(**typed: object) -> tuple[Receipt | None, dict[str, str]]:
    given_ = {"supplier": "Brasslow Hardware", "total": "12.00", "whose": "job:2", **typed}
    found, wrong = read_typed_receipt(TypedReceipt(**given_), RECLAIMS, DAY, KNOWN)  # type: ignore[arg-type]
    return found, dict(wrong)


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        ({"supplier": " "}, "supplier", "Say who was paid."),
        ({"total": ""}, "total", "Type the total that was paid"),
        ({"total": "-12"}, "total", "Where money came back, tick that it is a return."),
        ({"total": "twelve"}, "total", "“twelve” can't be read"),
        ({"tax": "13"}, "tax", "The tax, 13, is more than the total, 12.00."),
        ({"day": "2026-12-24"}, "day", "is still to come"),
        ({"whose": "job:3"}, "whose", "There is no job 3."),
        ({"whose": "everybody"}, "whose", "Choose whose money it was"),
        ({"whose": ""}, "whose", "Choose whose money it was"),
        ({"whose": "", "lines": (TypedLine("Rags", "", "12"),)}, "whose", "Choose whose money it was"),
        ({"lines": (TypedLine(paid="3"),)}, "line.1.what", "Say what was bought"),
        ({"lines": (TypedLine(), TypedLine("Rags", "", "0"))}, "line.2.paid", "leave the line out"),
        ({"lines": (TypedLine("Rags", "-3", "2"),)}, "line.1.count", "-3"),
        ({"lines": (TypedLine("Rags", "3"),)}, "line.1.paid", "Rags: type the amount"),
        ({"lines": (TypedLine("Rags", "", "3", "job:88"),)}, "line.1.whose", "There is no job 88."),
        ({"lines": (TypedLine("x", "", "1"),) * 61}, "lines", "at most 60 lines"),
    ],
)
def test_what_can_not_be_read_is_said_by_its_field(typed: dict[str, object], field: str, says: str) -> None:
    found, wrong = read(**typed)
    assert found is None
    assert says in wrong[field]
    assert len(wrong) == 1


def test_nobodys_money_is_guessed_and_what_each_line_says_is_enough() -> None:
    found, wrong = read(whose="", lines=(TypedLine("Rags", "", "12", STOCK),))
    assert not wrong
    assert found is not None
    assert found.lines[0].whose == STOCK


def test_a_code_is_the_offer_and_a_return_is_below_nothing() -> None:
    found, wrong = read(comes_back=True, lines=(TypedLine("BR-440", "1", "9.40"), TypedLine("Rags", "", "2.60", STOCK)))
    assert not wrong
    assert found is not None
    assert found.total == Decimal("-12.00")
    assert [(one.what, one.offer, one.paid, one.whose) for one in found.lines] == [
        ("Screw 4 x 40 mm", "screws", Decimal("-9.40"), "job:2"), ("Rags", "", Decimal("-2.60"), STOCK),
    ]  # fmt: skip


def test_a_line_of_an_offer_tells_its_price_and_one_that_jumps_is_asked_about() -> None:
    """Ten paid 10.00 each before; 22 for two is 10 % more, 24 for two is 20 % more, beyond the shop's 15 %."""
    offers = {"screws": offered("screws", "10.00")}
    for paid, jumps in (("22.00", False), ("24.00", True)):
        one = bought("Screws", paid, STOCK, 2, "screws")
        (price,) = prices_on(receipt(paid, None, one), offers, "receipt", "Mara")
        assert price.seen.amount == Decimal(paid) / 2
        assert (price.jump is not None) == jumps
    back = bought("Screws", "-20.00", STOCK, 2, "screws")
    assert prices_on(receipt("-20.00", None, back), offers, "receipt", "Mara") == ()
    assert prices_on(receipt("20.00", None, bought("Screws", "20.00", STOCK)), offers, "receipt", "Mara") == ()
