"""The cut request as a document: exact numbers in, exact numbers out, and a sentence for everything wrong."""

from __future__ import annotations

import json
from copy import deepcopy
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from webapp.costing.cutting.ask.form import CutFormError, read_cut_request, write_cut_plan
from webapp.costing.cutting.sheets.plan import plan_sheets

GOOD: dict[str, Any] = {
    "units": "in",
    "kerf": Decimal("0.125"),
    "method": "saw",
    "stocks": [
        {
            "id": "sheet",
            "length": 96,
            "width": 48,
            "trim": Decimal("0.25"),
            "price": Decimal("41.95"),
            "available": None,
        }
    ],
    "pieces": [{"id": "side", "length": Decimal("30.015625"), "width": 12, "count": 3, "may_turn": False}],
}


def changed(path: str, value: object) -> dict[str, Any]:
    """The good request with one thing in it replaced."""
    document = deepcopy(GOOD)
    *way, last = path.split(".")
    place: Any = document
    for step in way:
        place = place[int(step)] if step.isdigit() else place[step]
    place[int(last) if last.isdigit() else last] = value
    return document


def sentences(document: object) -> list[str]:
    with pytest.raises(CutFormError) as caught:
        read_cut_request(document)
    return [problem.message for problem in caught.value.problems]


def test_sizes_are_made_whole_without_rounding() -> None:
    request, scale = read_cut_request(GOOD)
    assert scale == 1_000_000
    assert request.kerf == 125_000
    assert request.pieces[0].length == 30_015_625
    assert request.stocks[0].price == Fraction(4195, 100)
    assert request.stocks[0].available is None


def test_sheets_sold_in_packs_are_bought_so() -> None:
    assert read_cut_request(GOOD)[0].stocks[0].pack == 1
    request, _ = read_cut_request(changed("stocks.0.pack", 5))
    plan = plan_sheets(request)
    assert sum(sheet.count for sheet in plan.sheets) == 1
    assert plan.price == plan.bound == 5 * Fraction(4195, 100)


def test_floats_are_read_as_they_are_written() -> None:
    request, scale = read_cut_request(json.loads(json.dumps(GOOD, default=float)))
    assert (request, scale) == read_cut_request(GOOD)


def test_a_plan_is_written_exactly_in_the_units_of_the_request() -> None:
    request, scale = read_cut_request(GOOD)
    written = json.loads(json.dumps(write_cut_plan(plan_sheets(request), scale, 0.1234)), parse_float=Decimal)
    assert set(written) == {"sheets", "unplaced", "price", "bound", "seconds"}
    assert written["price"] == written["bound"] == Decimal("41.95")
    (sheet,) = written["sheets"]
    assert (sheet["stock"], sheet["count"]) == ("sheet", 1)
    assert all(set(placement) == {"piece", "x", "y", "turned"} for placement in sheet["placements"])
    assert {placement["x"] for placement in sheet["placements"]} <= {
        Decimal("0.25"),
        Decimal("30.390625"),
        Decimal("60.53125"),
    }


def test_what_the_shop_sets_is_read_in_the_units_of_the_request() -> None:
    document = changed("method", "router")
    document |= {"smallest_strip": 2, "most_turns": Decimal(3)}
    document["pieces"][0]["together"] = "fronts"
    document["stocks"][0]["trim"] = {"start": 1, "end": 0, "low": Decimal("0.5"), "high": 2}
    request, scale = read_cut_request(document)
    assert (request.method, request.smallest_strip, request.most_turns) == ("router", 2 * scale, 3)
    assert request.pieces[0].together == "fronts"
    assert request.stocks[0].trim == (scale, 0, scale // 2, 2 * scale)


def test_what_is_not_set_binds_nothing() -> None:
    document = changed("most_turns", None)
    document["pieces"][0]["together"] = None
    assert read_cut_request(document) == read_cut_request(GOOD)


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        ("units", "furlong", "must be one of mm, cm, m, in, ft"),
        ("units", None, "must be one of"),
        ("method", "laser", "'laser' is not known"),
        ("kerf", -1, "The kerf is -1; it must be 0 or more."),
        ("kerf", float("nan"), "The kerf is 'nan', which is not a number."),
        ("kerf", float("inf"), "not a number"),
        ("kerf", "3", "not a number"),
        ("kerf", True, "not a number"),
        ("kerf", 50, "as wide as the stock 'sheet'"),
        ("kerf", Decimal("1e999999"), "the most is 100,000"),
        ("kerf", 10**400, "a number of more than 18 digits"),
        ("kerf", Decimal("0.0000000001"), "at most 9 decimal places"),
        ("stocks", [], "The list of stocks is empty."),
        ("stocks", {"id": "a"}, "must be a list"),
        ("stocks", [7], "must be a set of named fields"),
        ("stocks.0.length", 0, "The stock 'sheet': the length is 0; it must be more than 0."),
        ("stocks.0.trim", 24, "leaves nothing to cut"),
        ("stocks.0.trim", {"start": 1, "end": 1, "low": 1}, "The stock 'sheet': the trim has no 'high'."),
        ("stocks.0.trim", {"start": -1, "end": 1, "low": 1, "high": 1}, "the trim 'start' is -1; it must be 0 or more"),
        ("stocks.0.trim", {"start": 90, "end": 6, "low": 1, "high": 1}, "leaves nothing to cut"),
        ("smallest_strip", -2, "The smallest strip is -2; it must be 0 or more."),
        ("smallest_strip", "wide", "The smallest strip is 'wide', which is not a number."),
        ("most_turns", -1, "The number of turns is -1; it must be from 0"),
        ("most_turns", 1.5, "The number of turns is '1.5', which is not a whole number."),
        ("pieces.0.together", 4, "The piece 'side': together is '4'; it must be the name of a group"),
        ("stocks.0.price", -3, "The stock 'sheet': the price is -3"),
        ("stocks.0.price", None, "The stock 'sheet': the price is 'None', which is not a number."),
        ("stocks.0.available", 1.5, "not a whole number"),
        ("stocks.0.available", -1, "must be from 0"),
        ("stocks.0.pack", 0, "The stock 'sheet' is sold in packs of 0; it must be from 1 to 20,000."),
        ("stocks.0.pack", 2.5, "The stock 'sheet': the number in a pack is '2.5', which is not a whole number."),
        ("stocks.0.id", "", "a text of 1 to 200"),
        ("stocks.0.id", 5, "a text of 1 to 200"),
        ("stocks.0.colour", "red", "a field 'colour' that is not known"),
        ("pieces.0.width", -2, "The piece 'side': the width is -2; it must be more than 0."),
        ("pieces.0.count", -1, "The piece 'side': the count is -1"),
        ("pieces.0.count", 2.5, "not a whole number"),
        ("pieces.0.count", 20_001, "There are 20,001 pieces"),
        ("pieces.0.may_turn", "yes", "must be true or false"),
        ("pieces", [GOOD["pieces"][0] | {"count": 501, "together": "set"}], "together as 'set' are 501; the most"),
        ("pieces", [GOOD["pieces"][0], GOOD["pieces"][0]], "The piece 'side' is listed more than once."),
        ("pieces", [GOOD["pieces"][0]] * 10_000, "10,000 entries"),
        ("notes", "", "a field 'notes' that is not known"),
    ],
)
def test_bad_input_is_named_in_a_sentence(path: str, value: object, said: str) -> None:
    assert any(said in sentence for sentence in sentences(changed(path, value)))


@pytest.mark.parametrize("document", [None, [], "cut", 3])
def test_a_document_that_is_no_request_is_refused(document: object) -> None:
    assert "must be a set of named fields" in sentences(document)[0]


def test_missing_fields_are_all_named() -> None:
    assert sentences({"stocks": [{}], "pieces": [{}]})[:3] == [
        "The request has no 'units'.",
        "The request has no 'kerf'.",
        "The request has no 'method'.",
    ]
    assert "The piece number 1 has no 'may_turn'." in sentences({"stocks": [{}], "pieces": [{}]})


def test_several_problems_come_together() -> None:
    document = changed("kerf", -1)
    document["pieces"][0]["length"] = 0
    document["stocks"][0]["price"] = "dear"
    assert len(sentences(document)) == 3
