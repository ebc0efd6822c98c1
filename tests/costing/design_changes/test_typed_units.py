"""Units written in where a bare number stands and a length is meant, and nowhere else."""

from __future__ import annotations

import copy
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.design_form_case import changed, small
from tests.harness.examples import examples
from webapp.costing.design_changes.typed_units import write_units_in
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.values import evaluate
from webapp.costing.measures.quantities import System


def written(document: dict[str, Any], system: System = "metric") -> dict[str, tuple[str, str]]:
    """What is written in: by path, the text before and after."""
    before = copy.deepcopy(document)
    after, changes = write_units_in(document, system)
    assert document == before
    # What was written in once is a length ever after, in a shop of either kind.
    assert write_units_in(after, system) == (after, ())
    if changes:
        assert write_units_in(after, "inch" if system == "metric" else "metric") == (after, ())
    return {one.path: (one.before, one.after) for one in changes}


def test_a_design_without_bare_lengths_stays_as_it_is() -> None:
    assert written(small()) == {}


@pytest.mark.parametrize(
    ("path", "typed", "metric", "inch"),
    [
        ("parts/leg/length", "700", "700 mm", "700 in"),
        ("parts/leg/length", "27 1/2", None, "27 1/2 in"),
        ("parts/leg/length", "27.5", "27.5 mm", "27.5 in"),
        ("parts/leg/length", "700 | 27 1/2", "700 mm | 27 1/2 in", "700 mm | 27 1/2 in"),
        ("parts/leg/length", "700|27", "700 mm|27 in", "700 mm|27 in"),
        ("parts/shelf/length", "width - 2 * gap", None, None),
        ("parts/shelf/length", "width - 3/4", None, "width - 3/4 in"),
        ("parts/shelf/length", "width - 3 / 4", "width - 3 mm / 4", "width - 3 in / 4"),
        ("parts/shelf/length", "width / 2 - 12", "width / 2 - 12 mm", "width / 2 - 12 in"),
        ("parts/shelf/length", "2 * (width - 125)", "2 * (width - 125 mm)", "2 * (width - 125 in)"),
        ("parts/shelf/length", "least(width, 900)", "least(width, 900 mm)", "least(width, 900 in)"),
        ("parts/shelf/length", "if(shelves > 3, width, 900)", "if(shelves > 3, width, 900 mm)",
         "if(shelves > 3, width, 900 in)"),
        ("parts/shelf/length", "if(width > 600, 1, 2) * width", "if(width > 600 mm, 1, 2) * width",
         "if(width > 600 in, 1, 2) * width"),
        ("parts/shelf/length", "root(width * width + 9 * 9)", None, None),
        ("parts/shelf/length", "width * cos(15)", None, None),
        ("parts/shelf/at/z", "(number - 1) * 400", "(number - 1) * 400 mm", "(number - 1) * 400 in"),
        ("parts/shelf/at/z", "number * pitch - 5", "number * pitch - 5 mm", "number * pitch - 5 in"),
        ("parts/shelf/at/z", "-5", "-5 mm", "-5 in"),
        ("parts/shelf/at/z", "0", None, None),
        ("parts/shelf/count", "shelves + 2", None, None),
        ("parts/shelf/count", "whole_up(width / 400) + 1", "whole_up(width / 400 mm) + 1",
         "whole_up(width / 400 in) + 1"),
        ("joints/shelf_screws/rows", "2", None, None),
        ("joints/shelf_screws/spacing", "150", "150 mm", "150 in"),
        ("closes/y", "300", "300 mm", "300 in"),
        ("musts/wide", {"that": "width >= 700", "says": "No."}, "width >= 700 mm", "width >= 700 in"),
        ("musts/wide", {"that": "shelves >= 2", "says": "No."}, None, None),
        ("musts/wide", {"that": "2 * width <= pitch + 12", "says": "No."}, "2 * width <= pitch + 12 mm",
         "2 * width <= pitch + 12 in"),
        ("stock/panel/needs", {"least": {"thickness": "18"}}, "18 mm", "18 in"),
        # What could be read in two ways is left to be refused.
        ("parts/shelf/length", "width - 1-1/2", None, None),
        ("parts/shelf/length", "least(width, 12,5)", None, None),
        ("parts/leg/length", "1,030", None, None),
        ("parts/leg/length", "700 kg", None, None),
    ],
)  # fmt: skip
def test_a_unit_is_written_in_where_only_a_length_makes_sense(
    path: str, typed: Any, metric: str | None, inch: str | None
) -> None:
    document = changed(path, typed)
    wanted_in: dict[System, str | None] = {"metric": metric, "inch": inch}
    for system, wanted in wanted_in.items():
        found = written(document, system)
        assert [after for _, after in found.values()] == ([] if wanted is None else [wanted])
        assert all(one.startswith(path.replace("/", ".")) for one in found)


def test_the_amounts_of_a_size_get_the_unit_that_one_of_them_has() -> None:
    document = small()
    document["sizes"]["width"] |= {"usual": "80 cm", "least": "40", "most": "101.6"}
    assert written(document, "inch") == {
        "sizes.width.least": ("40", "40 cm"), "sizes.width.most": ("101.6", "101.6 cm"),
    }  # fmt: skip


def test_a_size_without_any_unit_is_a_length_where_a_formula_needs_one() -> None:
    document = small()
    document["sizes"] |= {
        "deep": {"says": "Deep", "usual": "300", "least": "200", "most": "600"},
        "pins": {"says": "Pins", "usual": "4", "least": "2", "most": "9"},
    }
    document["parts"]["shelf"]["width"] = "deep - 5"
    document["values"] |= {"spare": "0", "pairs": "2 * pins", "thin": "7", "reach": "2 * thin + edge", "edge": "5"}
    document["parts"]["leg"]["count"] = "pairs"
    document["parts"]["leg"]["width"] = "reach + spare"
    assert written(document) == {
        "sizes.deep.usual": ("300", "300 mm"),
        "sizes.deep.least": ("200", "200 mm"),
        "sizes.deep.most": ("600", "600 mm"),
        "values.spare": ("0", "0 mm"),
        "values.edge": ("5", "5 mm"),
        "values.thin": ("7", "7 mm"),
        "parts.shelf.width": ("deep - 5", "deep - 5 mm"),
    }
    after, _ = write_units_in(document, "metric")
    assert read_design(after)[1] == ()


@pytest.mark.parametrize(
    "said",
    [{"hardware": {"pull": {"count": "drawers"}}}, {"parts": {"front": {"at": {"z": "drawers from 0 every 9 mm"}}}}],
)
def test_what_counts_pieces_is_a_number_though_a_formula_takes_it_for_a_length(said: dict[str, Any]) -> None:
    """The formula is what is wrong, and stays for the reader to refuse."""
    sizes = {"width": {"usual": "900 mm"}, "drawers": {"usual": "3", "least": "2"}}
    document = {"form": "2", "sizes": sizes, "values": {"inner": "width - drawers"}, **said}
    assert not {path for path in written(document) if path.startswith("sizes.drawers")}


def test_a_long_chain_of_values_is_followed_to_its_end() -> None:
    document = small()
    document["values"] |= {f"v{number}": f"v{number + 1} + 2" for number in range(200)} | {"v200": "18"}
    document["parts"]["leg"]["width"] = "v0"
    after, changes = write_units_in(document, "metric")
    assert after["values"]["v200"] == "18 mm"
    assert after["values"]["v7"] == "v8 + 2 mm"
    assert len(changes) == 201
    assert read_design(after)[1] == ()


def test_what_is_said_for_one_system_gets_the_unit_of_that() -> None:
    document = small()
    document["sizes"]["width"]["usual"] = {"metric": "800", "inch": "30"}
    document["values"]["gap"] = {"metric": "2", "inch": "1/16"}
    assert [after for _, after in written(document, "inch").values()] == ["800 mm", "30 in", "2 mm", "1/16 in"]


BARE = [
    ("values", "gap"), ("parts", "shelf", "width"), ("parts", "leg", "length"), ("parts", "leg", "width"),
    ("parts", "leg", "thickness"), ("closes", "y"), ("closes", "z"), ("joints", "shelf_screws", "run"),
    ("joints", "shelf_screws", "spacing"), ("joints", "shelf_screws", "end"),
]  # fmt: skip


@given(st.sets(st.sampled_from(BARE), min_size=1), st.sampled_from([("mm", "metric"), ("in", "inch")]))
@examples(60)
def test_a_unit_that_is_left_out_comes_back(ways: set[tuple[str, ...]], unit: tuple[str, System]) -> None:
    """A design whose lengths are all in the shop's unit is the same one with any of these units left out."""
    whole = small()
    for way in BARE:
        place: Any = whole
        for key in way[:-1]:
            place = place[key]
        place[way[-1]] = f"{place[way[-1]].removesuffix(' mm')} {unit[0]}"
    bare = copy.deepcopy(whole)
    for way in ways:
        place = bare
        for key in way[:-1]:
            place = place[key]
        place[way[-1]] = place[way[-1]].split()[0]
    after, changes = write_units_in(bare, unit[1])
    assert after == whole
    assert {one.path for one in changes} == {".".join(way) for way in ways}
    design, problems = read_design(after)
    assert design is not None, problems
    assert evaluate(design, {}, {}, {"panel.thickness": Fraction(18 * 10**6)}).problems == ()


@given(
    st.recursive(
        st.text(max_size=12) | st.sampled_from(["900", "width - 3", "1 | 2", "metric"]),
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(
                st.sampled_from(
                    ["sizes", "values", "parts", "width", "at", "usual", "length", "needs", "least", "stock"]
                )
                | st.text(max_size=4),
                inner,
                max_size=4,
            )
        ),
        max_leaves=12,
    ).map(lambda held: held if isinstance(held, dict) else {"parts": held})
)
@examples(150)
def test_no_document_is_too_odd(document: dict[str, Any]) -> None:
    after, changes = write_units_in(document, "metric")
    assert bool(changes) == (after != document)
