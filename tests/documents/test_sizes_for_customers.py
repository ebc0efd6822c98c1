"""Sizes as a customer is told them: in the unit they were typed in, and else as a tape is read aloud."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.measures.currencies import CURRENCIES
from webapp.costing.measures.written import System
from webapp.costing.settings.table import default_rates
from webapp.documents.quotes.customers_words import aloud
from webapp.documents.quotes.frozen import write_papers
from webapp.documents.quotes.quote import Issue, QuotePaper
from webapp.persistence.settings.shop import Shop
from webapp.seed import load_catalogue, load_designs
from webapp.starters import SOLD_IN_INCHES, usual_size

DAY = date(2026, 11, 2)
SHOP = Shop("Test Bench Shop", "1 Sawdust Row", "555 0100", "USD", 2, "inch", "UTC", "Letter")
INCH = 25_400_000


def quoted(sizes: dict[str, str], system: System, shop: Shop = SHOP, **job: Any) -> QuotePaper:
    design = next(one for one in load_designs() if one["design"] == "trestle_bench")
    form = {"form": "1", "job": "Bench", "items": [{"id": "one", "design": "trestle_bench", "sizes": sizes}], **job}
    inputs = Inputs(form, {"one": design}, load_catalogue(DAY), default_rates(), system, 2, {})
    issue = Issue(1, 1, DAY, DAY)
    return write_papers(inputs, estimate_inputs(inputs), replace(shop, length_system=system), issue, 1, "A4").quote


def test_a_size_typed_in_millimetres_stays_so_in_an_inch_shop() -> None:
    line = quoted({"length": "1800 mm", "width": "30 in"}, "inch").lines[0]
    assert "1800 mm long, 30 in wide and 29 in high" in line.scope
    assert "1800 mm" in line.picture
    assert "/64" not in line.scope + line.picture


def test_a_size_typed_in_inches_stays_so_in_a_metric_shop() -> None:
    line = quoted({"length": '72"', "width": "760"}, "metric").lines[0]
    assert "72 in long, 760 mm wide" in line.scope
    assert "1828.8" not in line.scope + line.picture


def test_a_size_typed_to_a_sixteenth_is_said_to_a_sixteenth() -> None:
    assert "71 5/16 in long" in quoted({"length": "71 5/16 in"}, "inch").lines[0].scope


@pytest.mark.parametrize(
    ("nm", "system", "said"),
    [
        (1_800_000_000, "inch", "71 in"), (880_000_000, "inch", "34 1/2 in"), (36 * INCH, "inch", "36 in"),
        (300_000_000, "inch", "11 3/4 in"), (18_000_000, "inch", "3/4 in"), (INCH // 16, "inch", "1/16 in"),
        (914_400_000, "metric", "914 mm"), (17_800_000, "metric", "18 mm"), (1_500_000, "metric", "1.5 mm"),
        (1_800_000_000, "metric", "1800 mm"),
    ],
)  # fmt: skip
def test_what_nobody_typed_is_read_aloud(nm: int, system: System, said: str) -> None:
    assert aloud(nm, system) == said


def test_tax_stands_by_its_name_and_number_where_the_shop_has_given_them() -> None:
    plain = quoted({}, "inch", settings={"tax_goods": {"value": "20 %", "why": "here"}})
    assert "Price without tax" in {one.words for one in plain.sums}
    assert not any("number" in line for line in (*plain.from_lines, *plain.to_lines))
    named = replace(SHOP, tax_name="VAT", tax_number="XX 123")
    told = quoted(
        {}, "inch", named, settings={"tax_goods": {"value": "20 %", "why": "here"}},
        customer={"name": "Sliphollow", "tax_number": "YY 9"},
    )  # fmt: skip
    words = [one.words for one in told.sums]
    assert words[0] == "Price without VAT"
    assert words[1].startswith("VAT, 20 % on ")
    assert told.from_lines[-1] == "VAT number XX 123"
    assert told.to_lines == ("Sliphollow", "VAT number YY 9")


@pytest.mark.outside(source="common practice: panels of 4 by 8 ft and 5 by 5 ft", kind="common practice")
def test_an_inch_shop_begins_with_sheets_as_they_are_sold_there() -> None:
    there, here = usual_size("birch_plywood_18", "inch"), usual_size("birch_plywood_18", "metric")
    assert [int(there[side]) for side in ("length", "width")] == [96 * INCH, 48 * INCH]
    assert [int(here[side]) for side in ("length", "width")] == [2_440_000_000, 1_220_000_000]
    catalogue = load_catalogue(DAY)
    for code in catalogue.materials:
        size = usual_size(code, "inch")
        for name in {"length", "width"} & size.keys():
            assert (size[name] / INCH).denominator == 1, (code, name)
    assert all((value / (12 * INCH)).denominator == 1 for value in SOLD_IN_INCHES.values())


@pytest.mark.outside(source="ISO 4217, list one (2026)")
def test_currencies_are_those_in_circulation_with_their_decimals() -> None:
    gone = {"DEM", "FRF", "ITL", "HRK", "BGN", "ANG", "ZWL", "SLL", "CUC", "EEK", "LTL", "VEF", "BYR", "MRO", "STD"}
    no_money = {"XAU", "XAG", "XPT", "XPD", "XTS", "XXX", "XDR", "XSU", "XUA", "XBA", "CHE", "CHW", "CLF", "COU", "BOV"}
    no_money |= {"MXV", "USN", "UYI", "UYW", "XAD"}
    assert not (gone | no_money) & CURRENCIES.keys()
    assert len(CURRENCIES) == 154
    assert {code for code, places in CURRENCIES.items() if places == 0} == {
        "BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "VND", "VUV", "XAF", "XOF", "XPF",
    }  # fmt: skip
    assert {code for code, places in CURRENCIES.items() if places == 3} == {
        "BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND",
    }  # fmt: skip
    assert {"USD", "EUR", "GBP", "CAD", "AUD", "NZD", "CHF", "SEK", "XCG", "ZWG", "SLE"} <= CURRENCIES.keys()
