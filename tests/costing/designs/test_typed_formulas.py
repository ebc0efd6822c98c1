"""Formulas as a person types them: measures and fractions within, sines and roots, a choice, a pair for two systems."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.design_form_case import MM, changed, read, small
from tests.harness.examples import examples
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.formulas import (
    FUNCTIONS,
    Dimension,
    dimension_words,
    find_dimension,
    formula_words,
    judged_as_measured,
    read_formula,
    sides,
)
from webapp.costing.designs.values import Environment, evaluate
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.formula import names_needed, work_out
from webapp.costing.ledger.working import Working, rework

IN = 25_400_000
F = Fraction
NAMES: dict[str, Dimension | None] = {
    "height": (1, 0), "board.thickness": (1, 0), "tilt": (0, 0), "n": (0, 0), "top": (2, 0), "weight": (0, 1),
}  # fmt: skip
VALUES = {
    "height": F(900 * MM), "board.thickness": F(18 * MM), "tilt": F(15), "n": F(3), "top": F(10**18), "weight": F(12),
}  # fmt: skip


def value(text: str) -> Fraction:
    return work_out(read_formula(text), VALUES, FUNCTIONS)


@pytest.mark.parametrize(
    ("text", "comes_to", "dimension"),
    [
        ("height - 125 mm", 775 * MM, "a length"),
        ("height-18mm", 882 * MM, "a length"),
        ("2 * (1 1/2 in + board.thickness)", 2 * (3 * IN // 2 + 18 * MM), "a length"),
        ("3/4 in + 0 mm", 3 * IN // 4, "a length"),
        ("2 * 3/4 in", 3 * IN // 2, "a length"),
        ("½ in + 1½ in", 2 * IN, "a length"),
        ("6 ft", 72 * IN, "a length"),
        ("3 ft 4 1/2 in + 1 in", 83 * IN // 2, "a length"),
        ("3' 4\" + 1 in", 41 * IN, "a length"),
        ("height - .5 m", 400 * MM, "a length"),
        ("12 kg * 2", 24, "a weight"),
        ("0.5 m2 + top", 15 * 10**17, "an area"),
        ("height / 3 in", F(900 * MM, 3 * IN), "a plain number"),
        ("height * 10 %", 90 * MM, "a length"),
        ("1 1/2 * height", 1350 * MM, "a length"),
        ("root(top)", 10**9, "a length"),
        ("root(2 1/4)", F(3, 2), "a plain number"),
        ("sin(30) * height", 450 * MM, "a length"),
        ("cos(60 degrees) + tan(45°)", F(3, 2), "a plain number"),
        ("whole(5 / 2) + whole(-5 / 2)", 1, "a plain number"),
        ("if(n = 3, 18 mm, height)", 18 * MM, "a length"),
        ("if(n == 3, 1, 2)", 1, "a plain number"),
        ("if(height >= 3 ft, 2 in, 1 in)", IN, "a length"),
        ("if(odd(n), 1 mm, 1 / 0 * height)", MM, "a length"),
        ("if(even(n), 1 mm, if(n < 4, 2 mm, 3 mm))", 2 * MM, "a length"),
        ("odd(n) + 2 * even(n)", 1, "a plain number"),
        ("if(n < 2, height, 0)", 0, "a length"),
    ],
)
def test_a_formula_comes_to_what_a_person_means(text: str, comes_to: Fraction, dimension: str) -> None:
    assert value(text) == comes_to
    found = find_dimension(read_formula(text), NAMES)
    assert found is not None
    assert dimension_words(found) == dimension
    assert read_formula(text).text == text


@pytest.mark.outside(source="Machinery's Handbook (2012), table of natural trigonometric functions", kind="from memory")
def test_a_leg_at_fifteen_degrees_is_as_long_as_the_table_says() -> None:
    """720 mm high, splayed 15 degrees: 720 / 0.96593 = 745.4 mm long, and 720 x 0.26795 = 192.9 mm out at the foot."""
    assert abs(value("720 mm / cos(tilt)") - 745_400_000) < 50_000
    assert abs(value("720 mm * tan(tilt)") - 192_920_000) < 10_000


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("height/4 in", "'/4 in', which is unclear"),
        ("6/3/4 in", "'/3/4 in', which is unclear"),
        ("height - 1-1/2 in", "'1-1/2 in', which is unclear: write '1 1/2 in'"),
        ("3 ft-4 in", "'ft-4 in', which is unclear: leave the dash out"),
        ("least(height, 12,5 mm)", "',5 mm', which is unclear: decimals have a point"),
        ("height - 12,5", "holds a comma outside a function; decimals have a point"),
        ("height - 12 min", "holds '12 min', and formulas know lengths, areas, weights and numbers"),
        ("height - 125 mmm", "holds '125 mmm'"),
        ("18 mm mm", "holds '18 mm mm'"),
        ("1/128 in + height", "“1/128 in” can't be measured exactly"),
        ("3 mm 4 in", "mixes inches and millimetres"),
        ("2 3 mm", "look for a missing sign"),
        ("3 mm.", "lacks a sign after '3 mm'"),
        ("height - 125", "a length and a plain number can't be subtracted"),
        ("sin(height)", "'sin(height)': a length is no angle"),
        ("odd(height)", "a length is neither odd nor even"),
        ("root(height)", "'root(height)': a length has no root here"),
        ("root(weight)", "a weight has no root here"),
        ("whole(height)", "a length can't be made whole"),
        ("sin(1, 2)", "gives sin 2 values; it takes 1"),
        ("if(n, 1, 2)", "asks if of something that is no condition"),
        ("if(n < 2, 1)", "gives if 2 values"),
        ("if(n = 2 = 3, 1, 2)", "something other than names"),
        ("if(n < height, 1, 2)", "'n < height': a plain number and a length can't be compared"),
        ("if(n < 2, 1, height)", "can't stand in one place"),
        ("n = 3", "something other than names"),
        ("n if n else 2", "something other than names"),
        ("if", "look for a missing sign"),
        ("log(n)", "'log', which is none of the functions least"),
        ("1 " * 30 + "mm", "look for a missing sign"),
        ("9" * 40 + " mm", "is too large a number"),
    ],
)
def test_what_is_unclear_is_refused_with_what_to_write(text: str, said: str) -> None:
    with pytest.raises(FormulaError) as refused:
        find_dimension(read_formula(text), NAMES)
    assert said in refused.value.reason


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("tan(90)", "takes the tangent of 90 degrees, and a right angle has none"),
        ("tan(tilt * 18)", "takes the tangent of 270 degrees"),
        ("root(-4)", "takes the root of something below zero"),
        ("odd(n / 2)", "asks whether 3/2 is odd or even, and only a whole number is"),
        ("if(n > 2, n / (n - 3), 1)", "divides by nothing"),
        ("if(n > 2, missing, 1)", "uses 'missing', which nothing defines"),
    ],
)
def test_what_has_no_value_is_said(text: str, said: str) -> None:
    with pytest.raises(FormulaError) as refused:
        value(text)
    assert said in refused.value.reason
    assert refused.value.reason.startswith(f"The formula '{text}'")


def test_only_the_branch_that_is_taken_needs_its_names() -> None:
    chosen = read_formula("if(n > 4, gone, height)")
    assert names_needed(chosen, VALUES, FUNCTIONS) == ("n", "height")
    assert work_out(chosen, VALUES, FUNCTIONS) == 900 * MM


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("height - 125 mm", "height - 125 mm"),
        ("2 * (1 1/2 in + board.thickness)", "2 x (1 1/2 in + thickness of board)"),
        ("if(odd(n), 1 mm, height)", "1 mm if n is odd, otherwise height"),
        ("2 * if(n = 3, 1, tilt + 2)", "2 x (1 if n is 3, otherwise tilt + 2)"),
        ("height / cos(tilt)", "height / the cosine of (tilt)"),
        ("root(top)", "the root of (top)"),
        ("lower_on_ribs_spacing_", "lower on ribs spacing"),
    ],
)
def test_it_is_said_in_words(text: str, words: str) -> None:
    assert formula_words(text) == words


def test_whole_numbers_are_judged_as_measured_with_measures_within() -> None:
    judged = judged_as_measured(read_formula("whole_up((height - 2 in) / 3 1/2 in) + n"), NAMES)
    assert judged.text == "whole_up(((height - 2 in - measuring_step_ / 2)) / 3 1/2 in) + n"
    at = {**VALUES, "measuring_step_": F(100_000), "height": F(9 * IN) + 40_000}
    assert work_out(judged, at, FUNCTIONS) == 5


def test_a_rule_has_two_sides() -> None:
    left, right = sides(read_formula("height - 2 in >= 28 in", comparisons=True))
    assert (left.text, right.text) == ("height - 2 in", "28 in")
    with pytest.raises(ValueError, match="compares nothing"):
        sides(read_formula("height"))


NUMBERS = st.sampled_from(["18", "0.5", "3/4", "1 1/2", "125"])
UNITS = st.sampled_from([("mm", 10**6), ("cm", 10**7), ("in", IN), ("ft", 12 * IN)])


@given(NUMBERS, UNITS, st.sampled_from(["+", "-"]), NUMBERS, UNITS)
@examples(150)
def test_a_sum_of_measures_is_the_sum_of_each(
    one: str, of_one: tuple[str, int], sign: str, other: str, of_other: tuple[str, int]
) -> None:
    first, second = (
        sum(F(part) for part in number.split()) * factor for number, (_, factor) in ((one, of_one), (other, of_other))
    )
    text = f"({one} {of_one[0]} {sign} {other}{of_other[0]})"
    assert value(text) == (first + second if sign == "+" else first - second)
    assert value(f"2 * {text} / 2") == value(text)


@given(
    st.lists(st.sampled_from([*"0123456789./ -+*()',\"½|=<>°%", "mm", "in", "if(", "n", " ft "]), max_size=24).map(
        "".join
    )
)
@examples(300)
def test_no_text_gives_anything_but_a_value_or_a_sentence(text: str) -> None:
    said = ""
    try:
        found = value(text)
    except FormulaError as error:
        said = error.reason.strip()
    assert said.endswith((".", "?")) if said else isinstance(found, Fraction)


# Pairs, and formulas in a whole design.


def worked(document: dict[str, Any], **rest: Any) -> tuple[Environment, Working]:
    working = Working()
    found = evaluate(read(document), {}, {}, {"panel.thickness": F(18 * MM)}, working=working, **rest)
    for figure in working.figures.values():
        assert rework(figure, working.figures) == figure.value
    return found, working


def test_a_pair_in_a_field_is_a_value_of_its_own() -> None:
    document = changed("parts/shelf/width", "width - 20 mm | width - 1 in")
    metric, working = worked(document)
    inch, _ = worked(document, system="inch")
    width = metric.design.parts["shelf"].width
    assert width is not None
    assert metric.value(width) == 780 * MM
    assert inch.value(width) == 800 * MM - IN
    figure = working["value/shelf_width_"]
    assert (figure.label, figure.unit, figure.words) == ("Shelf width", "nm", "width - 20 mm")


def test_pairs_stand_in_values_sizes_and_overall_sizes() -> None:
    document = changed("values/gap", "2 mm | 1/16 in")
    document["sizes"]["width"]["usual"] = "800 mm|30 in"
    document["closes"]["y"] = "300 mm | 12 in"
    metric, _ = worked(document)
    inch, _ = worked(document, system="inch")
    assert [metric.names["gap"], metric.names["width"]] == [F(2 * MM), F(800 * MM)]
    assert [inch.names["gap"], inch.names["width"]] == [F(IN, 16), F(30 * IN)]
    assert inch.value(inch.design.closes["y"]) == 12 * IN


def test_two_fields_of_one_name_have_a_value_each() -> None:
    document = small()
    document["hardware"] = {"shelf": {"says": "Pin", "stock": "screw", "count": "4 | 5"}}
    document["parts"]["shelf"]["count"] = "2 | 3"
    design = read(document)
    assert {"shelf_count_", "hardware_shelf_count_"} <= design.values.keys()


@pytest.mark.parametrize(
    ("path", "value", "field", "said"),
    [
        ("parts/shelf/width", "12 in | 300 mm", "parts.shelf.width", "stands the wrong way round"),
        ("parts/shelf/width", "300 mm |", "parts.shelf.width", "is no pair"),
        ("parts/shelf/width", "1 mm | 1 in | 1 ft", "parts.shelf.width", "is no pair"),
        ("parts/shelf/width", "300 mm | 3 kg", "parts.shelf.width", "a length for metric, a weight for inch"),
        ("parts/shelf/width", "3 kg | 7 lb", "parts.shelf.width", "is a weight, and a length is needed"),
        ("parts/shelf/at/z", "number * 2 mm | 1 in", "parts.shelf.at.z", "means something only in 'at'"),
        ("values/gap", "2 mm |", "values.gap", "is no pair"),
        ("values/gap", {"open_back": "2 mm | 1 in", "full_back": "2 mm"}, "values.gap.open_back", "one text is needed"),
        ("sizes/width/usual", "30 in | 800 mm", "sizes.width.usual", "stands the wrong way round"),
        ("sizes/width/usual", "800 mm | 30", "sizes.width", "all lengths with a unit"),
        ("sizes/width/usual", "800 mm | 60 in", "sizes.width.usual", "'60 in' does not lie between"),
    ],
)
def test_a_pair_that_is_none_is_refused(path: str, value: object, field: str, said: str) -> None:
    _, problems = read_design(changed(path, value))
    assert any(problem.field == field and said in problem.message for problem in problems), problems


def test_a_design_that_asks_for_the_system_itself_takes_no_pair() -> None:
    document = changed("parts/shelf/width", "300 mm | 12 in")
    document["choices"]["scale"] = {"says": "Scale", "answers": ["metric", "inch"], "usual": "metric"}
    _, problems = read_design(document)
    assert any("answers of this design" in problem.message for problem in problems)


def test_a_value_in_the_branch_not_taken_may_have_no_value() -> None:
    document = small()
    document["values"]["step"] = "width / (shelves - 3)"
    document["values"]["pitch"] = "if(shelves = 3, width / 2, step)"
    found, working = worked(document)
    assert found.problems == ()
    assert found.names["pitch"] == 400 * MM
    assert working["value/pitch"].inputs == (("shelves", "size/shelves"), ("width", "size/width"))
    again = evaluate(read(document), {"shelves": F(4)}, {}, {"panel.thickness": F(18 * MM)})
    assert again.names["pitch"] == 800 * MM


def test_the_pieces_of_a_part_may_stand_by_turns() -> None:
    document = changed("parts/shelf/at/z", "if(odd(number), 0 mm, 32 mm) + pitch")
    found, _ = worked(document)
    place = found.design.parts["shelf"].at["z"]
    assert [found.value(place, number) for number in (1, 2, 3)] == [400 * MM, 432 * MM, 400 * MM]


def test_the_first_form_keeps_its_names_and_its_dashes() -> None:
    document = small()
    document["values"] |= {"root": "3 ft - 4 in", "even": "root - 2 in"}
    found = evaluate(read(document), {}, {}, {"panel.thickness": F(18 * MM)})
    found.need("even")
    assert found.names["even"] == 38 * IN
    problems = read_design({**document, "form": "2"})[1]
    assert any("'root' has a meaning of its own" in problem.message for problem in problems)
    assert any("“3 ft - 4 in” is unclear" in problem.message for problem in problems)
