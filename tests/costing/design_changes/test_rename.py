"""A name changed wherever it stands: the design is the same but for the name, and jobs follow."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.costing.short_form.rack import RACK
from tests.design_form_case import WALL_CABINET, changed, read, small
from tests.harness.examples import examples
from webapp.costing.design_changes.places import places_of
from webapp.costing.design_changes.rename import rename, renamed_in_job, section_of, under_new_names
from webapp.costing.design_changes.typed_units import write_units_in
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.values import evaluate
from webapp.costing.errors import FormulaError
from webapp.design_text import read_text


def cabinet() -> dict[str, Any]:
    document, problems = read_text(WALL_CABINET.read_text(encoding="utf-8"))
    assert document is not None, problems
    return document


CABINET = cabinet()
NAMED = [
    (section, name)
    for section in ("sizes", "stock", "choices", "values", "parts", "joints", "hardware", "surfaces", "finish")
    for name in CABINET.get(section, {})
]


def texts(value: object) -> list[str]:
    """Every name and text of a document."""
    if isinstance(value, dict):
        return [one for key, inner in value.items() for one in (str(key), *texts(inner))]
    return [one for inner in value for one in texts(inner)] if isinstance(value, list) else [str(value)]


@given(st.lists(st.sampled_from(NAMED), min_size=1, max_size=4, unique=True))
@examples(60)
def test_any_name_is_followed_and_back(chosen: list[tuple[str, str]]) -> None:
    document = CABINET
    for section, name in chosen:
        document = rename(document, section, name, f"other_{name}"[:40].rstrip("_"))
    design, problems = read_design(document)
    assert design is not None, problems
    before = read(CABINET)
    properties = {"carcass.thickness": Fraction(18_000_000), "thin.thickness": Fraction(6_000_000)}
    renamed = dict(chosen)
    now = {
        f"other_{name.partition('.')[0]}{name[len(name.partition('.')[0]) :]}"
        if name.partition(".")[0] in [one for section, one in chosen if section in ("sizes", "stock", "values")]
        else name: value
        for name, value in evaluate(before, {}, {}, properties).names.items()
    }
    stock = {
        f"other_{role}.thickness" if ("stock", role) in chosen else f"{role}.thickness": value
        for role, value in (("carcass", Fraction(18_000_000)), ("thin", Fraction(6_000_000)))
    }
    assert renamed
    assert evaluate(design, {}, {}, stock).names == now
    for section, name in reversed(chosen):
        document = rename(document, section, f"other_{name}"[:40].rstrip("_"), name)
    assert {key: held for key, held in document.items() if key != "renamed"} == CABINET


def test_a_size_is_followed_into_formulas_sentences_and_pairs() -> None:
    document = changed("parts/shelf/width", "2 * width - 3 mm | width / 2 - width_over")
    document["values"]["width_over"] = "1 in"
    document["scope"] = "{width} wide, {width_over} over, {panel.thickness} thick."
    document["musts"] = {"wide": {"that": "width >= 2*width_over", "says": "{width} is too little."}}
    found = rename(document, "sizes", "width", "long_side")
    assert found["parts"]["shelf"]["width"] == "2 * long_side - 3 mm | long_side / 2 - width_over"
    assert found["scope"] == "{long_side} wide, {width_over} over, {panel.thickness} thick."
    assert found["musts"]["wide"] == {"that": "long_side >= 2*width_over", "says": "{long_side} is too little."}
    assert list(found["sizes"]) == ["long_side", "shelves"]
    assert found["renamed"] == {"sizes": {"width": "long_side"}}
    assert document["sizes"].keys() == {"width", "shelves"}
    assert read_design(found)[1] == ()


def test_a_role_is_followed_to_all_that_is_cut_from_it() -> None:
    document = small()
    document["stock"]["tape"] |= {"follows": "panel", "needs": {"least": {"width": "panel.thickness"}}}
    document["operations"] = {"cut": {"says": "Cut", "driver": "parts", "of": ["panel", "leg"]}}
    found = rename(document, "stock", "panel", "board")
    assert found["stock"]["tape"] == {
        **small()["stock"]["tape"], "follows": "board", "needs": {"least": {"width": "board.thickness"}},
    }  # fmt: skip
    assert found["values"]["setback"]["full_back"] == "board.thickness"
    assert found["parts"]["shelf"]["stock"] == "board"
    assert found["operations"]["cut"]["of"] == ["board", "leg"]
    band = rename(small(), "stock", "tape", "edging")["parts"]["shelf"]["band"]
    assert band == {"with": "edging", "edges": ["front"]}


def test_a_part_is_followed_to_joints_and_lists_and_not_into_formulas() -> None:
    document = small()
    document["values"]["legs_apart"] = "width / 2"
    document["operations"] = {"cut": {"says": "Cut", "driver": "parts", "of": ["leg"]}}
    found = rename(document, "parts", "leg", "post")
    assert found["joints"]["shelf_screws"]["into"] == "post"
    assert found["operations"]["cut"]["of"] == ["post"]
    assert [place.text for place in places_of(found)] == [place.text for place in places_of(document)]
    assert read_design(found)[1] == ()


@pytest.mark.parametrize(
    ("section", "old", "new", "said"),
    [
        ("sizes", "wdith", "wide", "no size 'wdith'"),
        ("cupboards", "width", "wide", "no entry 'width'"),
        ("sizes", "width", "Wide", "'Wide' is no name for a size"),
        ("sizes", "width", "a" * 41, "is no name for a size"),
        ("sizes", "width", "gap", "'gap' is a value of the design already"),
        ("sizes", "width", "panel", "'panel' is a stock role of the design already"),
        ("sizes", "width", "least", "'least' has a meaning of its own"),
        ("sizes", "width", "full_back", "'full_back' is an answer"),
        ("parts", "leg", "shelf", "'shelf' is a part of the design already"),
        ("sizes", "width", "leg", "'leg' is a part of the design already"),
        ("operations", "draw", "plan", "goes by the shop's own name"),
    ],
)
def test_what_can_not_be_a_name_is_refused(section: str, old: str, new: str, said: str) -> None:
    document = small()
    document["operations"] = {"draw": {"says": "Draw", "driver": "items"}}
    with pytest.raises(FormulaError) as refused:
        rename(document, section, old, new)
    assert said in refused.value.reason


def test_a_formula_that_can_not_be_read_is_named() -> None:
    with pytest.raises(FormulaError) as refused:
        rename(changed("values/pitch", "width / ("), "sizes", "width", "wide")
    assert "“values.pitch” can't follow the new name" in refused.value.reason


def test_a_list_that_may_mean_either_is_named() -> None:
    document = small()
    document["parts"]["panel"] = document["parts"].pop("leg")
    document["operations"] = {"cut": {"says": "Cut", "driver": "parts", "of": ["panel"]}}
    with pytest.raises(FormulaError) as refused:
        rename({**document, "form": "2"}, "stock", "panel", "board")
    assert "'panel' is a stock role and a part" in refused.value.reason


def test_where_a_name_stands() -> None:
    document = small()
    document["parts"]["gap"] = {}
    assert section_of(document, "width") == ("sizes", "width")
    assert section_of(document, "parts.gap") == ("parts", "gap")
    assert section_of(document, "nothing") == ("", "nothing")
    with pytest.raises(FormulaError, match=r"stands in values and parts: write it as values\.gap"):
        section_of(document, "gap")


def test_what_was_changed_is_gathered_over_versions() -> None:
    first = small()
    second = rename(first, "sizes", "width", "wide")
    third = rename(second, "sizes", "wide", "broad")
    assert third["renamed"] == {"sizes": {"width": "broad", "wide": "broad"}}
    fourth = rename(third, "stock", "panel", "board")
    assert fourth["renamed"] == {"sizes": {"width": "broad", "wide": "broad"}, "stock": {"panel": "board"}}
    back = rename(third, "sizes", "broad", "width")
    assert back["renamed"] == {"sizes": {"wide": "width", "broad": "width"}}
    with pytest.raises(FormulaError, match="'width' was the name of 'wide' in an earlier version"):
        rename(second, "sizes", "shelves", "width")


def test_a_job_s_item_follows() -> None:
    first = small()
    second = rename(rename(first, "sizes", "width", "wide"), "stock", "panel", "board")
    third = rename(rename(second, "choices", "back", "rear"), "sizes", "wide", "broad")
    item = {
        "id": "rack", "sizes": {"width": "900 mm", "shelves": "4", "odd_one": "1"}, "choices": {"back": "full_back"},
        "materials": {"panel": "ply_18", "tape": "band"}, "quantity": "2",
    }  # fmt: skip
    wanted = {
        **item, "sizes": {"broad": "900 mm", "shelves": "4", "odd_one": "1"}, "choices": {"rear": "full_back"},
        "materials": {"board": "ply_18", "tape": "band"},
    }  # fmt: skip
    assert renamed_in_job(item, first, third) == wanted
    assert renamed_in_job(item, {}, third) == wanted
    assert renamed_in_job(renamed_in_job(item, first, second), second, third) == wanted
    assert renamed_in_job(wanted, third, third) == wanted
    assert list(renamed_in_job(item, first, third)["sizes"]) == ["broad", "shelves", "odd_one"]
    both = {"sizes": {"width": "900 mm", "wide": "800 mm"}}
    assert renamed_in_job(both, first, second) == {"sizes": {"wide": "800 mm"}}


def test_a_job_s_form_follows_its_designs() -> None:
    second = rename(small(), "sizes", "width", "wide")
    form = {"form": "1", "items": [{"id": "a", "sizes": {"width": "1"}}, {"id": "b", "sizes": {"width": "2"}}, "odd"]}
    found = under_new_names(form, {"a": second})
    assert found["items"] == [{"id": "a", "sizes": {"wide": "1"}}, {"id": "b", "sizes": {"width": "2"}}, "odd"]
    assert under_new_names(found, {"a": second}) is found
    assert under_new_names({}, {"a": second}) == {}


@pytest.mark.parametrize(
    ("record", "field", "said"),
    [
        ("width", "renamed", "told by section"),
        ({"drawers": {"a": "b"}}, "renamed.drawers", "has to be a section"),
        ({"sizes": ["a"]}, "renamed.sizes", "has to be a section"),
        ({"sizes": {"shelves": "width"}}, "renamed.sizes.shelves", "'shelves' was the size 'width' in an earlier"),
    ],
)
def test_a_record_that_makes_no_sense_is_refused(record: object, field: str, said: str) -> None:
    _, problems = read_design({**small(), "renamed": record})
    assert [(problem.field, said in problem.message) for problem in problems] == [(field, True)]


def test_a_record_of_what_is_gone_does_no_harm() -> None:
    document = {**small(), "renamed": {"sizes": {"old": "gone"}}}
    assert read_design(document)[1] == ()
    assert renamed_in_job({"sizes": {"old": "1"}}, {}, document) == {"sizes": {"old": "1"}}


def rack() -> dict[str, Any]:
    document, problems = read_text(RACK)
    assert document is not None, problems
    return document


def test_a_part_is_followed_in_words_formulas_sentences_and_finishes() -> None:
    document = rack()
    document["parts"]["shelf"]["at"]["z"] = "on bottom plus side.width / 4"
    document["musts"] = {"light": {"that": "side.mass <= 9 kg", "says": "A side weighs {side.mass}."}}
    for old, new in (("side", "flank"), ("bottom", "floor"), ("shelf", "plank")):
        document = rename(document, "parts", old, new)
    parts = document["parts"]
    assert list(parts) == ["flank", "floor", "plank"]
    assert parts["plank"]["at"] == {"x": "between flank", "z": "on floor plus flank.width / 4"}
    assert document["joints"]["bottom_in"]["from"] == "flank"
    assert document["joints"]["bottom_in"]["into"] == "floor"
    assert document["finish"]["oiled"]["on"] == ["flank", "plank faces and long edges"]
    assert document["musts"]["light"] == {"that": "flank.mass <= 9 kg", "says": "A side weighs {flank.mass}."}
    assert document["renamed"] == {"parts": {"side": "flank", "bottom": "floor", "shelf": "plank"}}
    assert read_design(document)[1] == ()


def test_a_size_is_followed_in_words_and_a_part_of_its_name_keeps_its_own() -> None:
    document = rack()
    document["sizes"]["side"] = {"says": "A measure", "usual": "100 mm", "least": "50 mm", "most": "200 mm"}
    document["parts"]["shelf"]["at"] = {"x": "between side", "y": "1 evenly from side to 300 mm + side", "z": "side"}
    at = rename(document, "sizes", "side", "gap")["parts"]["shelf"]["at"]
    assert at == {"x": "between side", "y": "1 evenly from gap to 300 mm + gap", "z": "gap"}
    role = rename(document, "stock", "board", "plywood")
    assert role["parts"]["side"]["at"]["x"] == "0 mm and plywood.thickness + width"
    assert role["parts"]["side"]["stock"] == "plywood"


def test_bare_lengths_among_words_get_the_shops_unit_and_counts_stay_counts() -> None:
    document = rack()
    document["parts"]["shelf"]["at"] = {"x": "between side", "z": "3 evenly from 100 to height"}
    document["parts"]["bottom"]["at"] = {
        "x": "left and right inset 20", "y": "2 from 10 every 40", "z": "bottom.top + 5",
    }  # fmt: skip
    written, changes = write_units_in(document, "metric")
    assert written["parts"]["shelf"]["at"]["z"] == "3 evenly from 100 mm to height"
    assert written["parts"]["bottom"]["at"] == {
        "x": "left and right inset 20 mm", "y": "2 from 10 mm every 40 mm", "z": "bottom.top + 5 mm",
    }  # fmt: skip
    assert len(changes) == 4


#: Fields of every sort that hold names of parts, stock, hardware and values; the design need not be one that is sound.
EVERYWHERE: Any = {
    "form": "2", "design": "all", "name": "All", "says": "All.", "scope": "{lean}, {post.top} and {peg.length}.",
    "stock": {"peg": {"says": "Peg", "kind": "fastener", "usual": "dowel"}},
    "values": {"lean": "8", "high": "900 mm | 35 in"},
    "parts": {
        "post": {"splayed": "lean degrees from the front, 2 * lean ° from the side"},
        "brace": {"leans": "lean degrees to the right", "cut": "square at the start, against post at the end"},
        "strut": {"cut": "against post and brace", "four_corners": "inset high / 9"},
    },
    "holes": {"bores": {"part": "post", "diameter": "8 mm", "clear": "high / 90", "takes": "peg", "step": "peg"}},
    "openings": {"slot": {"part": "post", "length": "high / 3", "width": "high", "takes": "runner", "ledge": "high"}},
    "joinery": {"housed": {"sort": "housing", "part": "brace", "into": "post", "deep": "high / 99"}},
    "moves": {"door": {"parts": ["post", "brace"], "way": "front", "on": "runner", "travel": "high"}},
    "holds": {"jar": {"tall": "high", "part": "post", "within": "brace"}},
    "hardware": {"runner": {"stock": "peg", "under_each": "post", "into": "brace", "at": {"z": "on post plus high"}}},
    "loads": {"jars": {"kilograms": "lean * 1 kg", "on": "post"}},
    "spans": {"bar": {"part": "post", "load": "post.mass / 2"}, "top": {"part": "brace", "load": "0.3 N/mm"}},
    "remarks": {"parts.post": ["Stands.", "Leans."]},
}  # fmt: skip


def test_every_field_that_holds_names_follows() -> None:
    document = EVERYWHERE
    for section, old, new in (
        ("parts", "post", "leg"), ("parts", "brace", "stay"), ("values", "lean", "tilt"), ("values", "high", "tall"),
        ("hardware", "runner", "rail"), ("stock", "peg", "pin"),
    ):  # fmt: skip
        document = rename(document, section, old, new)
    assert document["scope"] == "{tilt}, {leg.top} and {pin.length}."
    assert document["parts"] == {
        "leg": {"splayed": "tilt degrees from the front, 2 * tilt ° from the side"},
        "stay": {"leans": "tilt degrees to the right", "cut": "square at the start, against leg at the end"},
        "strut": {"cut": "against leg and stay", "four_corners": "inset tall / 9"},
    }
    assert document["holes"]["bores"] == {
        "part": "leg", "diameter": "8 mm", "clear": "tall / 90", "takes": "pin", "step": "peg",
    }  # fmt: skip
    assert document["openings"]["slot"] == {
        "part": "leg", "length": "tall / 3", "width": "tall", "takes": "rail", "ledge": "tall",
    }  # fmt: skip
    assert document["joinery"]["housed"] == {"sort": "housing", "part": "stay", "into": "leg", "deep": "tall / 99"}
    assert document["moves"]["door"] == {"parts": ["leg", "stay"], "way": "front", "on": "rail", "travel": "tall"}
    assert document["holds"]["jar"] == {"tall": "tall", "part": "leg", "within": "stay"}
    assert document["hardware"] == {
        "rail": {"stock": "pin", "under_each": "leg", "into": "stay", "at": {"z": "on leg plus tall"}}
    }
    assert document["loads"]["jars"] == {"kilograms": "tilt * 1 kg", "on": "leg"}
    assert document["spans"] == {
        "bar": {"part": "leg", "load": "leg.mass / 2"}, "top": {"part": "stay", "load": "0.3 N/mm"},
    }  # fmt: skip
    assert document["remarks"] == {"parts.leg": ["Stands.", "Leans."]}


def test_what_goes_in_may_not_mean_two_things() -> None:
    document = {**EVERYWHERE, "hardware": {"peg": {"stock": "peg"}}}
    with pytest.raises(FormulaError) as refused:
        rename(document, "stock", "peg", "pin")
    assert "'peg' is a stock role and a piece of hardware, and “holes.bores.takes” names both" in refused.value.reason
