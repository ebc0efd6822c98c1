"""The design form: what a good one comes to, and what is said of one that is wrong in several ways."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from tests.design_form_case import MM, WALL_CABINET, changed, read, small
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.canonical import canonical_json, document_digest
from webapp.costing.errors import Problem
from webapp.design_text import read_text


def test_the_wall_cabinet_reads_whole() -> None:
    document, problems = read_text(WALL_CABINET.read_text(encoding="utf-8"))
    assert not problems
    assert document is not None
    design = read(document)
    assert list(design.parts) == ["side", "top_bottom", "shelf", "door", "back_panel", "rail"]
    assert design.sizes["width"].usual == 760 * MM
    assert design.values["plate"].dimension == (1, 0)
    assert design.parts["door"].band == ("left", "right", "top", "bottom")
    assert design.parts["door"].band_stock == "edge_band"
    assert design.joints["hinge_screws"].touches is False
    assert design.joints["rails_held"].bites == "solid"
    assert design.spans["shelf_span"].load == Fraction("0.292")
    assert design.operations["slot_biscuits"].of == ("corners",)
    assert design.digest == document_digest(document)


def test_a_small_design_has_what_its_text_says() -> None:
    design = read(small())
    assert design.sizes["width"].most == 1016 * MM
    assert not design.sizes["shelves"].is_length
    assert design.roles["leg_wood"].kind is Kind.BOARD
    assert {name: value.dimension for name, value in design.values.items()} == {
        "gap": (1, 0), "weight": (0, 1), "patch": (2, 0), "share": (0, 0), "setback": (1, 0), "pitch": (1, 0),
    }  # fmt: skip
    assert design.values["share"].formulas[""].text == "1/10"
    assert design.values["setback"].formulas["full_back"].names == ("panel.thickness",)
    assert design.parts["rail"].width is None
    assert design.parts["leg"].at["x"].text == "0"
    assert design.parts["back_panel"].when == "full_back"
    assert design.joints["shelf_screws"].source == "shelf"


def test_one_mistake_is_said_once() -> None:
    for path, value in (
        ("values/gap", "18 mmm"),
        ("stock/panel/kind", "plank"),
        ("sizes/width/usual", "wide"),
        ("parts/leg/length", "7 x"),
        ("values/pitch", "width * width"),
    ):
        _, problems = read_design(changed(path, value))
        assert len(problems) == 1, (path, problems)


def test_everything_wrong_is_said_at_once() -> None:
    document = small()
    document["values"]["gap"] = "lenght + 1"
    document["parts"]["leg"]["colour"] = "red"
    del document["closes"]["z"]
    document["joints"]["glued"]["into"] = "nothing"
    _, problems = read_design(document)
    assert [problem.field for problem in problems] == [
        "values.gap",
        "parts.leg.colour",
        "joints.glued.into",
        "closes.z",
    ]
    assert problems[1] == Problem("parts.leg.colour", "Part leg has a field 'colour', which there isn't.")


def test_a_circle_is_refused_with_the_names_in_it() -> None:
    document = small()
    document["values"] |= {"a": "b + gap", "b": "width - c", "c": "a / 2", "outside": "c + gap", "d": "d + gap"}
    _, problems = read_design(document)
    assert [problem.message for problem in problems] == [
        "The values go round in a circle: a needs b, b needs c, c needs a.",
        "The values go round in a circle: d needs d.",
    ]


def test_a_circle_through_the_answers_of_a_choice_is_found() -> None:
    document = small()
    document["values"] |= {"a": {"open_back": "gap", "full_back": "b"}, "b": "a + gap"}
    _, problems = read_design(document)
    assert any("a needs b, b needs a" in problem.message for problem in problems)


def test_values_may_stand_in_any_order() -> None:
    document = small()
    document["values"] = {"third": "second * 2", "second": "first * width", "first": "2", **document["values"]}
    assert read(document).values["third"].dimension == (1, 0)


def test_a_bare_nothing_fits_any_dimension() -> None:
    document = small()
    document["values"] |= {"none": "0", "at_least_nothing": "greatest(0, width - gap)", "sum": "2"}
    _, problems = read_design(document)
    assert [problem.field for problem in problems] == ["values.sum"]
    del document["values"]["sum"]
    design = read(document)
    assert design.values["none"].dimension == (0, 0)
    assert design.values["at_least_nothing"].dimension == (1, 0)


def test_the_digest_follows_the_content_and_not_the_order() -> None:
    document = small()
    turned: dict[str, Any] = {key: document[key] for key in reversed(document)}
    turned["parts"] = {key: document["parts"][key] for key in reversed(document["parts"])}
    assert read(turned).digest == read(document).digest
    turned["choices"]["back"]["answers"].reverse()
    assert read(turned).digest != read(small()).digest
    assert canonical_json({"b": "é", "a": ["x"]}) == '{"a":["x"],"b":"é"}'


def test_the_design_keeps_a_copy_of_its_document() -> None:
    document = small()
    design = read(document)
    document["parts"].clear()
    assert read(design.document).digest == design.digest


def test_too_much_of_anything_is_refused() -> None:
    document = small()
    document["values"] |= {f"v{number}": "2" for number in range(401)}
    _, problems = read_design(document)
    assert any(problem.field == "values" and "400 are the most" in problem.message for problem in problems)
