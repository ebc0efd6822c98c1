"""A fitting follows its stock: a frame of 40 mm tube takes plugs for 40 mm, and what does not fit is said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.costing.designs.test_schema import complaints
from tests.harness.examples import examples
from tests.reference.short_forms import form_1_document
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material, Offer, PriceSeen
from webapp.costing.catalogue.tags import read_tags
from webapp.costing.design_form.reader import read_design
from webapp.costing.design_form.schema import json_schema
from webapp.costing.designs.fitting import fill_roles, judge, needed_words
from webapp.costing.designs.model import Design, Role
from webapp.costing.designs.needs import Limit, Needs
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs, read_catalogue_snapshot, write_catalogue
from webapp.costing.estimate.whole_form import whole_form
from webapp.costing.settings.table import default_rates
from webapp.design_text import read_text, write_design_text
from webapp.seed import load_catalogue, load_designs

F = Fraction
MM = 10**6
TODAY = date(2026, 11, 2)
STEP = 100_000
PLUG = Role("plug", "Plugs", Kind.PIECE, "plug_50", "tube", Needs(("tube_plug",), (
    Limit("fits_width", "equal", of="width"), Limit("fits_thickness", "equal", of="thickness"),
    Limit("wall_to", "least", of="wall"), Limit("wall_from", "most", of="wall"),
)))  # fmt: skip


@cache
def starter(code: str) -> Mapping[str, Any]:
    return next(one for one in load_designs() if one["design"] == code)


@cache
def stock() -> Catalogue:
    return load_catalogue(TODAY)


def estimated(catalogue: Catalogue | None = None, code: str = "tube_frame_bench", **materials: str) -> Estimate:
    form = {"form": "1", "job": "Bench", "items": [{"id": "1", "design": code, "materials": materials}]}
    return estimate_inputs(Inputs(form, {"1": starter(code)}, catalogue or stock(), default_rates(), "metric", 2, {}))


def bought(estimate: Estimate) -> set[str]:
    return {one.material.code for one in estimate.bought}


def failures(estimate: Estimate) -> list[str]:
    return [one.message for one in estimate.problems if one.severity == "failure"]


def test_plugs_follow_a_tube_that_is_changed_from_50_to_40_mm() -> None:
    assert "tube_plug_50" in bought(estimated())
    found = estimated(tube="steel_tube_40")
    assert "tube_plug_40" in bought(found)
    assert "tube_plug_50" not in bought(found)
    assert failures(found) == []
    assert found.items[0].take_off.fit_notes["plug_stock"] == "Taken to fit “Square steel tube 40 x 40 x 2 mm”."
    # A wall of 3 mm is within what the plugs for 50 mm take, so they stay.
    assert "tube_plug_50" in bought(estimated(tube="steel_tube_50_3"))
    assert "tube_plug_60_30" in bought(estimated(tube="steel_tube_60_30"))


def test_plugs_that_a_job_chose_itself_stay_and_are_said_not_to_fit() -> None:
    found = estimated(tube="steel_tube_40", plug_stock="tube_plug_50")
    assert failures(found)[0] == (
        "“Threaded plug for 50 mm square tube” (tube_plug_50), chosen for “Threaded plugs”, does not fit "
        "there with “Square steel tube 40 x 40 x 2 mm”: “For a tube as wide as” is 50 mm, where 40 mm is needed and "
        "“For a tube as thick as” is 50 mm, where 40 mm is needed."
    )
    assert not found.complete


def test_where_none_fits_it_is_said_what_is_needed() -> None:
    without = {code: one for code, one in stock().materials.items() if code != "tube_plug_40"}
    found = estimated(replace(stock(), materials=without), tube="steel_tube_40")
    assert failures(found)[0] == (
        "No material is known to fit “Threaded plugs” with “Square steel tube 40 x 40 x 2 mm”: needed is a "
        "material of the kind piece, tagged tube plug, with “For a tube as wide as” 40 mm, with “For a tube as thick "
        "as” 40 mm, with “For a tube whose wall is up to” at least 2 mm and with “For a tube whose wall is from” at "
        "most 2 mm. Add one to the materials, or choose one for this job."
    )
    assert not found.complete


def test_what_nobody_said_is_told_with_what_to_type_and_is_no_failure() -> None:
    bare = {code: replace(one, tags=(), values={"mass": F(1, 20)} if "plug" in code else one.values)
            for code, one in stock().materials.items()}  # fmt: skip
    found = estimated(replace(stock(), materials=bare))
    assert failures(found) == []
    doubts = {one.name: one for one in found.items[0].take_off.checks if one.outcome == "unknown"}
    assert doubts["fits/tube"].sentence == (
        "Not known whether “Square steel tube 50 x 50 x 2 mm” (steel_tube_50) fits “Frame, square tube”: no tag says "
        "what it is. Type “steel tube” under its tags if it is a steel tube."
    )
    plug = doubts["fits/plug_stock"]
    assert "no tag says what it is and it says nothing of “For a tube as wide as”, “For a tube" in plug.sentence
    assert "under its tags if it is a tube plug and type its “For a tube as wide as”" in plug.sentence
    # Places that the answers leave empty are not asked after.
    assert "fits/top_wood" not in doubts
    assert found.totals.price.value == estimated().totals.price.value


def test_timber_is_no_edge_band() -> None:
    found = estimated(code="bench_cabinet", edge_band="softwood_1x4")
    assert failures(found)[0] == (
        "“Edge band on plywood” takes an edge band; “Softwood 4 by 1” is softwood. Besides, its “Section thickness” is "
        "19.1 mm, where at most 5 mm is needed."
    )


def test_an_old_snapshot_has_no_tags_and_reads_as_not_known() -> None:
    document = write_catalogue(stock(), {"edge_band_1"})
    assert read_catalogue_snapshot(document).materials["edge_band_1"].tags == ("edge_band",)
    materials: Any = document["materials"]
    for one in materials:
        del one["tags"]
    assert read_catalogue_snapshot(document).materials["edge_band_1"].tags == ()


def test_a_form_with_all_said_leaves_what_follows_to_follow() -> None:
    form = {"form": "1", "job": "B", "items": [{"id": "1", "design": "tube_frame_bench"}]}
    whole = whole_form(form, {"1": starter("tube_frame_bench")}, "metric")
    assert whole["items"][0]["materials"]["tube"] == "steel_tube_50"
    assert "plug_stock" not in whole["items"][0]["materials"]


# ---- the form ------------------------------------------------------------------------------------------------------


def with_plug(**fields: object) -> dict[str, Any]:
    return plugged(starter("tube_frame_bench"), fields)


def plugged(design: Mapping[str, Any], fields: Mapping[str, object]) -> dict[str, Any]:
    document, problems = read_text(write_design_text(design))
    assert document is not None, problems
    stock_section: Any = document["stock"]
    stock_section["plug_stock"] |= fields
    return document


def test_the_text_reads_back_and_the_schema_takes_it() -> None:
    document = with_plug()
    assert document == starter("tube_frame_bench")
    written_out = form_1_document("tube_frame_bench")
    assert complaints(json_schema(), plugged(written_out, {})) == []
    assert complaints(json_schema(), plugged(written_out, {"needs": {"about": {"mass": "1 kg"}}})) != []


@pytest.mark.parametrize(
    ("fields", "path", "said"),
    [
        ({"follows": "tubes"}, "stock.plug_stock.follows", "is no other stock role; did you mean 'tube'?"),
        ({"follows": "plug_stock"}, "stock.plug_stock.follows", "is no other stock role"),
        ({"needs": {"tags": ["Tube Plug"]}}, "stock.plug_stock.needs.tags", "lower-case words"),
        ({"needs": {"equal": {"fits": "3 mm"}}}, "stock.plug_stock.needs.equal.fits", "has no such property"),
        ({"needs": {"most": {"mass": "3 mm"}}}, "stock.plug_stock.needs.most.mass", "“3 mm” is a length"),
        ({"needs": {"most": {"mass": "tube.width"}}}, "stock.plug_stock.needs.most.mass", "is no mass that 'tube' has"),
        (
            {"needs": {"equal": {"fits_width": "wire.width"}}},
            "stock.plug_stock.needs.equal.fits_width",
            "is no measure",
        ),
        ({"needs": {"tags": ["plug"]}}, "stock.plug_stock.needs", "none of its measures is one of 'tube'"),
        ({"needs": {}}, "stock.plug_stock.needs", "are needed in curly brackets"),
    ],
)
def test_what_is_wrong_with_a_place_is_said(fields: dict[str, object], path: str, said: str) -> None:
    design, problems = read_design(with_plug(**fields))
    assert design is None
    assert any(one.field == path and said in one.message for one in problems), problems


def test_tags_are_typed_as_words() -> None:
    assert read_tags(" Edge-band, birch , edge band") == (("birch", "edge_band"), "")
    assert read_tags("") == ((), "")
    assert read_tags("3 mm")[1].startswith("“3 mm”: a tag is words")
    assert read_tags(", ".join(f"tag {'abcdefghijklmn'[n]}" for n in range(13)))[1].startswith("There are 13 tags")


# ---- any catalogue --------------------------------------------------------------------------------------------------


def design_with(role: Role) -> Design:
    design, _ = read_design(starter("tube_frame_bench"))
    assert design is not None
    tube = Role("tube", "Tube", Kind.LENGTH, "tube_50")
    return replace(design, roles={"plug": role, "tube": tube})


def tube(width: int, wall: int) -> Material:
    return Material(f"tube_{width}", f"Tube {width}", Kind.LENGTH, {
        "width": F(width * MM), "thickness": F(width * MM), "wall": F(wall * MM),
    })  # fmt: skip


PLUGS = st.lists(
    st.tuples(st.sampled_from((30, 40, 50)), st.integers(1, 3), st.integers(1, 4), st.booleans(),
              st.none() | st.integers(1, 9), st.booleans()),
    max_size=8,
)  # fmt: skip


@examples(100)
@given(PLUGS, st.sampled_from((30, 40, 50)), st.integers(1, 4))
def test_the_least_dear_that_fits_is_taken_whatever_the_order(
    plugs: list[tuple[int, int, int, bool, int | None, bool]], width: int, wall: int
) -> None:
    """Against the rule said again in plain words over the list that was drawn."""
    materials = {"tube_50": tube(50, 2), f"tube_{width}": tube(width, wall)}
    offers: dict[str, tuple[Offer, ...]] = {}
    prices: dict[str, tuple[PriceSeen, ...]] = {}
    good = []
    for number, (fits, wall_from, wall_to, tagged, price, retired) in enumerate(plugs):
        code = f"p{number}"
        materials[code] = Material(code, code, Kind.PIECE, {
            "fits_width": F(fits * MM), "fits_thickness": F(fits * MM), "wall_from": F(wall_from * MM),
            "wall_to": F(wall_to * MM),
        }, tags=("tube_plug",) if tagged else (), retired=retired)  # fmt: skip
        if price is not None:
            offers[code] = (Offer(code, code, "s", {"count": F(1)}),)
            prices[code] = (PriceSeen(code, Decimal(price), "USD", TODAY, "list"),)
        if fits == width and wall_from <= wall <= wall_to and not retired:
            good.append((not tagged, price is None, price or 0, code))
    turned = dict(reversed(materials.items()))
    taken = []
    for held in (materials, turned):
        catalogue = Catalogue(held, offers, prices, "USD", TODAY)
        filled = fill_roles(design_with(PLUG), {"tube": f"tube_{width}"}, catalogue, "metric", STEP)
        taken.append((filled.codes["plug"], "plug" in filled.refused))
    assert taken[0] == taken[1]
    assert taken[0] == ((min(good)[3], False) if good else ("plug_50", True))


def test_a_measure_is_judged_within_what_the_shop_can_measure() -> None:
    plug = Material("plug", "Plug", Kind.PIECE, {
        "fits_width": F(50 * MM + 40_000), "fits_thickness": F(50 * MM), "wall_from": F(MM), "wall_to": F(3 * MM),
    }, tags=("tube_plug",))  # fmt: skip
    assert judge(PLUG, plug, tube(50, 2), "metric", STEP).fit == "fits"
    wide = replace(plug, values={**plug.values, "fits_width": F(50 * MM + 60_000)})
    assert judge(PLUG, wide, tube(50, 2), "metric", STEP).fit == "misfit"
    assert needed_words(PLUG, None, "metric") == "a material of the kind piece, tagged tube plug"
