"""The values of a design at chosen sizes, as figures; sizes as typed; sentences filled in."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

import pytest

from tests.design_form_case import MM, WALL_CABINET, changed, read, small
from webapp.costing.designs.formulas import dimension_words, formula_words, name_words, unit_of
from webapp.costing.designs.sentences import fill_sentence
from webapp.costing.designs.sizes import check_sizes
from webapp.costing.designs.values import Environment, evaluate
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.formula import read_expression
from webapp.costing.ledger.working import Working, rework
from webapp.design_text import read_text

SHEET = {"panel.thickness": Fraction(18 * MM)}


def with_values(**values: object) -> dict[str, Any]:
    """The small rack, closing to each of these values so that it needs them."""
    document = small()
    document["values"] |= values
    document["musts"] = {f"needs_{name}": {"that": f"{name} >= 0", "says": "No."} for name in values}
    return document


def environment(document: Mapping[str, object], **rest: Any) -> Environment:
    return evaluate(
        read(document), rest.pop("sizes", {}), rest.pop("choices", {}), rest.pop("properties", SHEET), **rest
    )


def test_the_wall_cabinet_comes_to_the_sizes_worked_by_hand() -> None:
    document, _ = read_text(WALL_CABINET.read_text(encoding="utf-8"))
    assert document is not None
    properties = {"carcass.thickness": Fraction("17.8") * MM, "thin.thickness": Fraction("5.8") * MM}
    found = environment(document, properties=properties)
    assert not found.problems
    by_hand = {
        "carcass_depth": "304.4", "inner_width": "724.4", "inner_height": "684.4", "shelf_length": "722.4",
        "shelf_depth": "294.4", "door_height": "717", "door_width": "377",
    }  # fmt: skip
    assert {name: found.names[name] / MM for name in by_hand} == {
        name: Fraction(value) for name, value in by_hand.items()
    }


def test_two_values_may_need_the_same_third() -> None:
    """That is no circle, whichever of the three is asked for first."""
    found = environment(with_values(left="width - base - raised", raised="base + gap", base="2 * gap"))
    assert found.problems == ()
    assert found.names["left"] == found.names["width"] - 5 * found.names["gap"]


def test_every_value_is_a_figure_that_works_out_again() -> None:
    working = Working()
    document = with_values(
        half="whole_up(width / pitch) / 2",
        least_of="least(width, pitch, 300 * gap)",
        weighed="weight * 2",
        deep="gap + panel.thickness",
        covered="patch + width * gap",
    )
    found = environment(
        document, working=working, prefix="item/one/", materials={"panel": "Plywood 18"}, choices={"back": "full_back"}
    )
    assert not found.problems
    assert working["item/one/value/gap"].source == "the design"
    assert working["item/one/value/gap"].value == 2 * MM
    assert working["item/one/stock/panel/thickness"].source == "catalogue: Plywood 18"
    assert working["item/one/size/width"].source == "the size chosen"
    pitch = working["item/one/value/pitch"]
    assert (pitch.value, pitch.unit, pitch.words) == (Fraction(400 * MM), "nm", "width / (shelves - 1)")
    assert pitch.inputs == (("width", "item/one/size/width"), ("shelves", "item/one/size/shelves"))
    assert working["item/one/value/covered"].unit == "nm2"
    assert working["item/one/value/covered"].value == Fraction(10**18, 2) + 1600 * MM * MM
    assert working["item/one/value/weighed"].unit == "kg"
    for figure in working.figures.values():
        assert rework(figure, working.figures) == figure.value


def test_a_value_follows_the_answer() -> None:
    document = with_values(far="setback + gap")
    assert environment(document).names["far"] == 2 * MM
    assert environment(document, choices={"back": "full_back"}).names["far"] == 20 * MM


def test_an_entry_belongs_to_its_answer() -> None:
    design = read(small())
    assert not evaluate(design, {}, {}, SHEET).active(design.parts["back_panel"])
    assert evaluate(design, {}, {"back": "full_back"}, SHEET).active(design.parts["back_panel"])
    assert evaluate(design, {}, {}, SHEET).active(design.parts["leg"])


def test_number_counts_the_pieces_in_a_place() -> None:
    found = environment(small())
    place = found.design.parts["shelf"].at["z"]
    assert [found.value(place, number) for number in (1, 2, 3)] == [0, 400 * MM, 800 * MM]
    with pytest.raises(FormulaError, match="'number'"):
        found.value(place)


def test_what_cannot_be_worked_out_is_named_and_the_rest_stands() -> None:
    document = with_values(gone="width / (shelves - 3)", after="gone + gap", fine="width * 2")
    found = environment(document)
    assert [(problem.field, problem.message) for problem in found.problems] == [
        ("values.gone", "The value 'gone' can't be worked out: the formula 'width / (shelves - 3)' divides by nothing.")
    ]
    assert found.names["fine"] == 1600 * MM
    with pytest.raises(FormulaError, match="'gone' can't be worked out"):
        found.value(read_expression("after * 2"))


def test_a_value_that_nothing_needs_is_not_worked_out() -> None:
    document = small()
    document["values"]["idle"] = "width / (shelves - 3)"
    assert not environment(document).problems


def test_a_material_that_does_not_state_a_property_is_named() -> None:
    found = environment(with_values(deep="gap + panel.thickness"), properties={}, materials={"panel": "Plywood 18"})
    assert [(problem.field, problem.message) for problem in found.problems] == [
        ("stock.panel", "The material Plywood 18, chosen for panel, states no thickness as measured.")
    ]


def test_a_long_chain_of_values_is_worked_out() -> None:
    chain = {f"v{number}": f"v{number + 1} + gap" for number in range(389)}
    found = environment({**with_values(v0="v1 + gap"), "values": {**small()["values"], **chain, "v389": "gap"}})
    assert found.names["v0"] == 390 * 2 * MM


def test_values_that_grow_without_end_are_refused() -> None:
    growing = {f"v{number}": f"v{number - 1} * v{number - 1}" for number in range(1, 300)}
    for start in ("shelves * 1000", "1 / shelves"):
        document = with_values(v299="v298 * v298")
        document["values"] |= {**growing, "v0": start}
        found = environment(document)
        assert len(found.problems) == 1
        assert found.problems[0].field.startswith("values.v")
        assert "too large" in found.problems[0].message or "more digits" in found.problems[0].message


def test_a_figure_of_a_field_works_out_again() -> None:
    working = Working()
    found = environment(small(), working=working)
    length = found.figure("part/shelf/length", "Shelf, length", "nm", found.design.parts["shelf"].length)
    assert (length.value, length.words) == (Fraction(796 * MM), "width - 2 x gap")
    assert rework(length, working.figures) == length.value
    width = found.figure("part/shelf/width", "Shelf, width", "nm", read_expression("300000000"))
    assert (width.value, width.source) == (Fraction(300 * MM), "the design")


def test_sizes_are_read_in_the_shop_s_unit() -> None:
    design = read(small())
    sizes, problems = check_sizes(design, {"width": "30", "shelves": "4"}, "inch")
    assert not problems
    assert sizes == {"width": Fraction(762 * MM), "shelves": Fraction(4)}
    assert check_sizes(design, {}, "metric") == ({"width": Fraction(800 * MM), "shelves": Fraction(3)}, ())


def test_sizes_out_of_their_limits_are_named_with_them() -> None:
    design = read(small())
    sizes, problems = check_sizes(design, {"width": "3 m", "shelves": "2.5", "depth": "4", "": "1"}, "metric")
    assert sizes == {"width": Fraction(1016 * MM), "shelves": Fraction(3)}
    assert [(problem.field, problem.message) for problem in problems] == [
        ("sizes.width", "Width: “3 m” is out of its limits; it can be from 400 mm to 1016 mm."),
        ("sizes.shelves", "Shelves: “2.5” is no whole number."),
        ("sizes.depth", "Small rack has no size “depth”."),
        ("sizes.", "Small rack has no size “”."),
    ]
    _, problems = check_sizes(design, {"width": "2 in", "shelves": "9"}, "inch")
    assert [problem.message for problem in problems] == [
        "Width: “2 in” is out of its limits; it can be from 15 3/4 in to 40 in.",
        "Shelves: “9” is out of its limits; it can be from 2 to 6.",
    ]
    _, problems = check_sizes(design, {"width": "18 in by 2"}, "inch")
    assert [problem.field for problem in problems] == ["sizes.width"]
    assert "18 in by 2" in problems[0].message


def test_a_sentence_is_filled_in_the_shop_s_unit() -> None:
    found = environment(
        changed("scope", "{width}, {shelves}, {back}, {panel}, {weight}, {patch}, {panel.thickness}"),
        materials={"panel": "Ply"},
    )
    assert fill_sentence(found.design.scope, found, "metric") == "800 mm, 3, open back, Ply, 30 kg, 0.5 m², 18 mm"
    assert fill_sentence("{width}", found, "inch") == "31 1/2 in"


def test_a_name_without_a_value_leaves_a_question_mark() -> None:
    document = with_values(gone="width / (shelves - 3)")
    document["scope"] = "So wide: {gone}."
    found = environment(document)
    assert fill_sentence(found.design.scope, found, "metric") == "So wide: ?."


@pytest.mark.parametrize(
    ("formula", "words"),
    [
        ("a_b - (c - d)", "a b - (c - d)"),
        ("a - c - d", "a - c - d"),
        ("a * (b + c) / d", "a x (b + c) / d"),
        ("a / (b * c)", "a / (b x c)"),
        ("-(a + b)", "-(a + b)"),
        ("least(a, role.thickness)", "the least of (a, thickness of role)"),
        ("whole_up(a / b)", "rounded up (a / b)"),
        ("a >= b", "a is at least b"),
    ],
)
def test_formulas_are_said_in_words(formula: str, words: str) -> None:
    assert formula_words(formula) == words


def test_dimensions_have_words_and_units() -> None:
    assert dimension_words((2, 0)) == "an area"
    assert dimension_words((-1, 1)) == "length to the power -1 times weight to the power 1"
    assert unit_of((1, 0)) == "nm"
    assert unit_of((-1, 1)) == "nm^-1 kg^1"
    assert name_words("panel.thickness") == "thickness of panel"
