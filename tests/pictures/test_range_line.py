"""A size's range as a dimension line: where its usual value, its limits and its hatches stand."""

from __future__ import annotations

import re
from fractions import Fraction
from xml.etree import ElementTree

from webapp.costing.sweep.limits import SizeRange, Span
from webapp.pictures.range_line import LEFT, RIGHT, done_line, range_line


def of(*spans: Span) -> SizeRange:
    """From 100 to 500, usually 200."""
    return SizeRange("depth", Fraction(100), Fraction(200), Fraction(500), spans)


def across(value: float) -> float:
    return LEFT + (RIGHT - LEFT) * (value - 100) / 400


def strokes(svg: str, name: str) -> list[list[float]]:
    """The points of what is drawn under a name, x and y in turn, a list for each path."""
    paths = re.findall(rf'class="{name}" d="([^"]*)"', svg)
    return [[float(one) for one in re.findall(r"-?\d+(?:\.\d+)?", path)] for path in paths]


def test_it_says_in_words_what_it_shows_and_is_whole() -> None:
    svg = range_line(of(), "Depth: 100 to 500 & more")
    assert ElementTree.fromstring(svg)[0].text == "Depth: 100 to 500 & more"
    assert "size-fault" not in svg
    assert "size-refused" not in svg


def test_the_pointer_stands_at_the_usual_value() -> None:
    (pointer,) = strokes(range_line(of(), ""), "drawn-ink-fill")
    assert pointer[0] == round(across(200), 2)


def test_a_stretch_is_bounded_between_the_last_value_that_holds_and_the_first_that_does_not() -> None:
    span = Span(Fraction(302), Fraction(500), Fraction(300), None, "refused", ("must/low",))
    svg = range_line(of(span), "")
    *_, bounds = strokes(svg, "size-refused")
    # One stroke alone: to the right it goes to the end of the size.
    assert bounds == [round(across(301), 2), 6, round(across(301), 2), 22]
    hatch = strokes(svg, "size-refused")[1]
    assert min(hatch[::2]) >= across(301) - 0.01
    assert max(hatch[::2]) <= RIGHT + 1


def test_a_failure_is_hatched_more_densely_and_crosswise() -> None:
    ends = (Fraction(300), Fraction(400), Fraction(299), Fraction(401))
    refused, fault = (
        strokes(range_line(of(Span(*ends, verdict, ())), ""), f"size-{verdict}")[1]
        for verdict in ("refused", "fault")
    )  # fmt: skip
    assert len(fault) > 3 * len(refused)
    slants = {(fault[place] < fault[place + 2]) for place in range(0, len(fault), 4)}
    assert slants == {True, False}


def test_a_size_of_one_value_has_its_pointer_in_the_middle() -> None:
    only = SizeRange("depth", Fraction(100), Fraction(100), Fraction(100), ())
    (pointer,) = strokes(range_line(only, ""), "drawn-ink-fill")
    assert pointer[0] == (LEFT + RIGHT) / 2


def test_how_far_it_is_stands_on_the_line() -> None:
    svg = done_line(30, 120, "30 of 120")
    thin, thick, *_ = strokes(svg, "drawn-ink")
    assert (thin[0], thin[2]) == (LEFT, RIGHT)
    assert thick[2] == LEFT + (RIGHT - LEFT) / 4
    assert strokes(done_line(0, 0, ""), "drawn-ink")[1][2] == LEFT
