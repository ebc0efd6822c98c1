"""Tenons, housings and rebates said in one entry: blanks, counts and metres by hand, and what is checked of them."""

from __future__ import annotations

import pytest

from tests.costing.short_form.rack import MM, changed, check_of, refused, take
from webapp.costing.design_lines.lines import entry_of, line_of


def with_joinery(line: str, *further: tuple[str, str]) -> str:
    """The rack with a piece of joinery."""
    return changed(("joints:\n", f"joinery:\n  cut: {line}\njoints:\n"), *further)


@pytest.mark.parametrize(
    "line",
    [
        "40 mm x 12 mm tenons at both ends of rail into leg",
        "40 mm x 12 mm tenons at one end of rail",
        "shelf housed 6 mm in side",
        "Back groove; back housed 6 mm in side at both edges",
        "10 mm x 6 mm rebate in side along back, top",
    ],
)
def test_a_line_says_the_same_again(line: str) -> None:
    fields, wrong = entry_of("joinery", line)
    assert not wrong
    assert line_of("joinery", fields) == line


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("Cut; sort tenon; part shelf; deep 30 mm", "a tenon needs it"),
        ("Cut; sort housing; part shelf; deep 6 mm", "a housing needs it"),
        ("10 mm x 6 mm rebate in side along rear", "'rear' is none of"),
        ("30 mm x 6 mm tenons at the ends of shelf", "'the ends' is none of both ends"),
        ("shelf housed 6 mm in leg", "'leg' is no part"),
    ],
)
def test_what_makes_no_joinery_is_said(line: str, said: str) -> None:
    assert any(said in sentence for sentence in refused(with_joinery(line)).values())


def test_a_housed_shelf_has_a_longer_blank_and_housings_by_the_metre() -> None:
    found = take(with_joinery("Shelf in the sides; shelf housed 6 mm in side"))
    shelf = next(one for one in found.parts if one.name == "shelf")
    assert shelf.length.value == 500 * MM
    assert shelf.blank_length.value == 512 * MM
    # It meets two sides over its 300 of width.
    assert float(found.drivers["cut_housings"].value) == 0.6
    depth = check_of(found, "joinery/cut/depth")
    assert (depth.outcome, "17.8 mm there; 8.9 mm at most" in depth.sentence) == ("pass", True)


@pytest.mark.parametrize(("deep", "outcome"), [("8.9 mm", "pass"), ("9 mm", "warning"), ("17.8 mm", "failure")])
def test_a_housing_takes_half_of_a_side_at_most(deep: str, outcome: str) -> None:
    assert check_of(take(with_joinery(f"shelf housed {deep} in side")), "joinery/cut/depth").outcome == outcome


def test_what_its_blank_is_longer_by_may_be_typed() -> None:
    typed = ("z 400 mm\n", "z 400 mm; joint length 10 mm\n")
    found = take(with_joinery("shelf housed 6 mm in side", typed))
    assert next(one for one in found.parts if one.name == "shelf").blank_length.value == 510 * MM


def test_parts_that_do_not_touch_have_no_housing() -> None:
    found = take(with_joinery("shelf housed 6 mm in bottom"))
    assert ["they don't touch" in one.message for one in found.problems if one.field == "joinery.cut"] == [True]


def test_tenons_are_counted_with_their_mortises() -> None:
    found = take(with_joinery("Rails; 12 mm x 6 mm tenons at both ends of shelf into side"))
    assert found.drivers["cut_mortise_tenon"].value == 2
    assert next(one for one in found.parts if one.name == "shelf").blank_length.value == 524 * MM
    # 17.8 thick: from 4.45 to 8.9.
    assert check_of(found, "joinery/cut/tenon").outcome == "pass"
    assert check_of(found, "joinery/cut/mortise").outcome == "pass"
    thin = take(with_joinery("Rails; 20 mm x 4 mm tenons at both ends of shelf into side"))
    assert check_of(thin, "joinery/cut/tenon").outcome == "warning"
    mortise = check_of(thin, "joinery/cut/mortise")
    assert mortise.outcome == "failure"
    assert "its tenons are 20.0 mm long, in “Side”, 17.8 mm there" in mortise.sentence


def test_a_rebate_goes_along_the_edges_named() -> None:
    # Two sides of 800 by 300: along the back 800, along the top 300.
    found = take(with_joinery("Rebate; 10 mm x 6 mm rebate in side along back, top"))
    assert float(found.drivers["cut_housings"].value) == 2.2
    assert check_of(found, "joinery/cut/depth").outcome == "pass"
    broad = take(with_joinery("Rebate; 10 mm x 6 mm rebate in side along left"))
    assert ["is a broad face of “Side” and no edge" in one.message for one in broad.problems] == [True]


@pytest.mark.parametrize(
    ("line", "step", "sort", "amount"),
    [
        ("Shelf in the sides; shelf housed 6 mm in side", "cut_housings", "housed", "“Shelf in the sides”, 0.6 m, are"),
        ("Tenons; 40 mm x 6 mm tenons at both ends of shelf into side", "cut_mortise_tenon", "tenoned", "“Tenons”, 2,"),
    ],
)
def test_joinery_that_no_step_counts_is_named_unless_a_step_includes_it(
    line: str, step: str, sort: str, amount: str
) -> None:
    assert check_of(take(with_joinery(line)), "counted").outcome == "pass"
    # Of a shelf 300 mm deep between two sides: two housings of 300, or a tenon at each of its two ends.
    off = ("scope:", f"operations:\n  {step}: off\nscope:")
    left = check_of(take(with_joinery(line, off)), f"counted/{sort}")
    assert (left.outcome, amount in left.sentence, "are cut by no step" in left.sentence) == ("failure", True, True)
    within = ("scope:", f"operations:\n  {step}: off\n  draw: Draw; by items; includes cut\nscope:")
    assert check_of(take(with_joinery(line, within)), "counted").outcome == "pass"
