"""Sheets of past jobs as shops keep them: each row is a job or is set aside with its reason."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Final

import pytest
from hypothesis import given
from hypothesis import strategies as some

from tests.harness.workbooks import Cell, workbook
from webapp.costing.earlier_jobs.earlier_job import EarlierJob
from webapp.costing.earlier_jobs.layout import (
    ROLES,
    EarlierLayout,
    LayoutRefused,
    check_pointed,
    find_jobs_table,
    guessed_roles,
)
from webapp.costing.earlier_jobs.reading import EarlierLine, lines_to_keep, read_earlier_jobs, read_when
from webapp.costing.measures.currencies import CURRENCIES
from webapp.costing.measures.manner import DayOrder, DecimalSign, Manner, writing_as
from webapp.costing.tables.sheets import Headed, SheetRow
from webapp.sent_tables import read_table

TODAY: Final = date(2026, 11, 30)
GERMAN: Final = """Auftragsbuch;;;;;;
;;;;;;
Nr.;Datum;Kunde;Bezeichnung;Maße;Netto;Std.
101;04.03.2024;Töpferei Sliphof;Glasurbank mit Ablage;1800 x 750 mm;1.240,50 €;18,5
102;11.2024;Schule Querfurt;Werkbank;2,0 m;890,-;12:30
103;;Schule Querfurt;Gestell;600;;4
;;;Summe;;2.130,50;35
""".encode("cp1252")
AMERICAN: Final = b"""Date,Item,Client,Price,Hours
3/25/2024,Wedging table 72" x 30",Sliphollow,"$1,150.00",14
12/1/2027,Cart,Sliphollow,$300,3
4/2/2024,Drying rack,,"ask Tom",5
4/2/2024,Drying rack,,$240,a day or so
2023,Stool,,-5,
"""


def read(content: bytes, currency: str, **told: object) -> tuple[EarlierLine, ...]:
    found = find_jobs_table(read_table(content).sheets)
    assert found is not None
    layout = replace(EarlierLayout(found[1].names, guessed_roles(found[1]), with_tax=False), **told)  # type: ignore[arg-type]
    return read_earlier_jobs(found[1], layout, currency, CURRENCIES[currency], TODAY)


def test_a_german_order_book_is_read_by_its_headings_alone() -> None:
    first, second, third, total = read(GERMAN, "EUR")
    assert first.job == EarlierJob(
        "Glasurbank mit Ablage", "Töpferei Sliphof", date(2024, 3, 4), "day", Decimal("1240.50"), False,
        Fraction(1110), None, "101", "1800 x 750 mm", "",
    )  # fmt: skip
    assert second.job is not None
    assert (second.job.day, second.job.told, second.job.minutes) == (date(2024, 11, 1), "month", Fraction(750))
    assert third.problem == "It does not say what was taken for it."
    assert (total.job, total.problem) == (None, "It adds up the others.")


def test_an_american_list_has_its_month_first_and_each_fault_is_named() -> None:
    first, *others = read(AMERICAN, "USD")
    assert first.job is not None
    assert (first.job.day, first.job.price, first.job.minutes) == (date(2024, 3, 25), Decimal("1150.00"), Fraction(840))
    said = [line.problem for line in others]
    assert "is yet to come" in said[0]
    assert said[1].startswith("What was taken: “ask Tom”")
    assert said[2].startswith("Hours: ")
    assert "is below zero" in said[3]


def test_a_workbook_has_its_numbers_and_days_as_they_are() -> None:
    rows: list[list[Cell]] = [
        ["What", "Date", "Total", "Cost", "Hours"],
        ["Glaze bench", (45_355.0, "day"), 1240.5, 610.25, 18.5],
        ["Bare day", 45_355.0, 200.0, None, None],
    ]
    first, second = read(workbook({"Jobs": rows}), "USD")
    assert first.job is not None
    assert (first.job.day, first.job.price, first.job.cost) == (date(2024, 3, 4), Decimal("1240.5"), Decimal("610.25"))
    assert second.job is not None
    assert second.job.day == date(2024, 3, 4)


@pytest.mark.parametrize(("here", "sign"), [(".", "."), (",", ",")])
def test_where_nobody_knows_the_decimal_sign_a_price_has_no_more_decimals_than_the_currency(
    here: DecimalSign, sign: DecimalSign
) -> None:
    content = f"Job;Price\nBench;1{sign}250\n".encode()
    other: DecimalSign = "," if sign == "." else "."
    with writing_as(Manner(here, "")):
        (line,) = read(content, "EUR")
        assert line.job is None
        assert line.problem.startswith(f"What was taken: “1{sign}250” has more decimals than the currency")
        (known,) = read(content, "EUR", decimal=sign)
        (told,) = read(content, "EUR", decimal=other)
        (parted,) = read(content.replace(sign.encode(), other.encode()), "EUR")
    prices = [line.job and line.job.price for line in (known, told, parted)]
    assert prices == [Decimal("1.25"), 1250, 1250]


def test_a_reckoned_number_of_a_workbook_is_rounded_to_what_can_be_paid() -> None:
    rows: list[list[Cell]] = [["Job", "Price", "Cost"], ["Bench", 1050.42016807, 512.605], ["Stool", 40.0, None]]
    first, second = read(workbook({"Jobs": rows}), "EUR")
    assert first.job is not None
    assert second.job is not None
    assert (first.job.price, first.job.cost) == (Decimal("1050.42"), Decimal("512.61"))
    assert second.job.price == 40


def test_hours_kept_as_a_clock_in_a_workbook_are_hours() -> None:
    rows: list[list[Cell]] = [
        ["Job", "Price", "Hours"], ["Bench", 900, (1.3125, "elapsed")], ["Stool", 40, (0.25, "clock")],
        ["Rack", 40, (0.020833333333333332, "minutes")],
    ]  # fmt: skip
    assert [line.job and line.job.minutes for line in read(workbook({"Jobs": rows}), "EUR")] == [
        Fraction(1890), Fraction(360), Fraction(30),
    ]  # fmt: skip


def test_a_heading_in_another_currency_is_named_in_each_row_that_has_such_an_amount() -> None:
    content = b"Job,Price (USD),Cost EUR\nBench,500.00,20.50\n"
    (line,) = read(content, "EUR")
    assert line.problem == "What was taken: its heading says USD, but this shop reckons in EUR."
    first, second = read(b"Job,Price,Cost $\nBench,500.00,20.50\nStool,40.00,\n", "EUR")
    assert first.problem == "What it cost: its heading says $, but this shop reckons in EUR."
    assert second.job is not None


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("24-03-15", "year month day", date(2024, 3, 15)), ("24/3/5", "year month day", date(2024, 3, 5)),
        ("2024-03-15", "day month year", date(2024, 3, 15)), ("15.3.2024", "year month day", date(2024, 3, 15)),
        ("15-03-24", "day month year", date(2024, 3, 15)), ("1.1.1949", "day month year", None),
        ("1902", "day month year", None), ("0024-03", "day month year", None), ("18010", "day month year", None),
        ("1951", "day month year", date(1951, 1, 1)),
    ],
)  # fmt: skip
def test_days_are_read_in_the_order_that_was_chosen(text: str, order: DayOrder, day: date | None) -> None:
    found = read_when(text, order)
    assert (found and found[0]) == day


def test_a_shop_that_writes_the_year_first_reads_its_short_days_so() -> None:
    content = b"Job,Date,Price\nBench,24-03-15,500.00\n"
    (chosen,) = read(content, "EUR", days="year month day")
    with writing_as(Manner(".", "", "year month day")):
        (usual,) = read(content, "EUR")
        (dotted,) = read(content.replace(b"24-03-15", b"15.03.24"), "EUR")
    days = [line.job and line.job.day for line in (chosen, usual, dotted)]
    assert days == [date(2024, 3, 15)] * 3


def test_columns_are_pointed_at_once_each() -> None:
    with pytest.raises(LayoutRefused, match="Point at the column that says what was taken"):
        check_pointed(("name", "customer"))
    with pytest.raises(LayoutRefused, match="Two columns are “when”"):
        check_pointed(("name", "price", "day", "day"))
    check_pointed(("name", "name", "price"))


def test_a_sheet_that_is_brought_twice_brings_nothing_twice() -> None:
    lines = read(AMERICAN, "USD")
    there = frozenset(line.job for line in lines if line.job)
    again = lines_to_keep(lines, there)
    assert not [line for line in again if line.job]
    assert again[0].problem == "It is kept already."
    doubled = lines_to_keep((*lines, *lines), frozenset())
    assert sum(line.job is not None for line in doubled) == len(there)
    assert doubled[len(lines)].problem == "It stands further up too."


CELLS: Final = some.one_of(
    some.text(max_size=30),
    some.sampled_from(["12,50", "1.030", "$5", "31.12.2024", "2024", "5:30", "2 h", "Total", "=A1", "1e9", "99999:99"]),
)


@given(some.lists(some.lists(CELLS, max_size=6), max_size=6), some.permutations([role for role, _ in ROLES]))
def test_no_row_is_lost_whatever_stands_in_it(rows: list[list[str]], roles: list[str]) -> None:
    beneath = tuple(SheetRow(number, tuple(cells)) for number, cells in enumerate(rows, 2))
    layout = EarlierLayout(("",) * 6, tuple(roles[:6]), with_tax=True)
    lines = read_earlier_jobs(Headed(("",) * 6, (), beneath), layout, "USD", 2, TODAY)
    assert [line.number for line in lines] == [row.number for row in beneath]
    for line in lines:
        assert (line.job is None) == bool(line.problem)
        if line.job is not None:
            assert line.job.price > 0
            assert line.job.name
            assert line.job.day is None or line.job.day <= TODAY
