"""Every place of every starter: what it usually holds fits, something else of the same kind fails in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from fractions import Fraction
from functools import cache
from typing import Any

import pytest

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Catalogue, Material
from webapp.costing.catalogue.tags import TAGS, is_tagged, one_of, read_tags, tag_words, unknown_words, what_it_is
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.fitting import fill_roles, fit_words, judge
from webapp.costing.designs.model import Design
from webapp.costing.errors import Problem
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.costing.measures.manner import Manner, writing_as
from webapp.costing.settings.table import default_rates
from webapp.demo_jobs import JOBS
from webapp.seed import load_catalogue, load_designs

TODAY = date(2026, 11, 2)
STEP = 100_000
#: What is of no use in a place of its kind, and the shop says what it is: a steel bar is sold by the length as tube and
#: timber are, a block of plastic by volume as timber is.
PLANTED: Mapping[Kind, Material] = {
    one.kind: one
    for one in (
        Material("acrylic", "Acrylic sheet", Kind.SHEET, {}, tags=("plastic",)),
        Material("plastic_block", "Polyethylene block", Kind.BOARD, {}, tags=("plastic",)),
        Material("bar_8", "Round steel bar 8 mm", Kind.LENGTH, {}, tags=("steel_bar",)),
        Material("nail_40", "Nail 40 mm", Kind.FASTENER, {}, tags=("nail",)),
        Material("door_hinge", "Door hinge", Kind.PIECE, {}, tags=("hinge",)),
        Material("argon", "Gas for stainless steel", Kind.LIQUID, {}, tags=("shielding_gas",)),
        Material("spool", "Spool of wire", Kind.AREA, {}, tags=("welding_wire",)),
        Material("knife_work", "Knives ground", Kind.SERVICE, {}, tags=("sharpening",)),
    )
}
#: For the places that take just that.
PLANTED_ELSE: Mapping[str, Material] = {
    "gas": Material("glue", "Glue", Kind.LIQUID, {}, tags=("wood_glue",)),
    "wire": Material("disc", "Disc", Kind.AREA, {"grit": Fraction(150)}, tags=("sanding_disc",)),
}


@cache
def catalogue() -> Catalogue:
    known = load_catalogue(TODAY)
    planted = (*PLANTED.values(), *PLANTED_ELSE.values())
    return replace(known, materials={**known.materials, **{one.code: one for one in planted}})


@cache
def designs() -> Mapping[str, Design]:
    found = {}
    for document in load_designs():
        design, problems = read_design(document)
        assert design is not None, problems
        found[design.code] = design
    return found


PLACES = [(code, name) for code, design in designs().items() for name in design.roles]


def estimated(code: str, known: Catalogue | None = None, **materials: str) -> Estimate:
    document: Any = next(one for one in load_designs() if one["design"] == code)
    form = {"form": "1", "job": "Bench", "items": [{"id": "1", "design": code, "materials": materials}]}
    return estimate_inputs(Inputs(form, {"1": document}, known or catalogue(), default_rates(), "metric", 2, {}))


def said(estimate: Estimate, severity: str = "failure") -> list[str]:
    return [one.message for one in estimate.problems if one.severity == severity]


def test_every_place_of_every_starter_says_what_it_takes_in_a_tag_that_is_known() -> None:
    assert len(PLACES) == 181
    for code, name in PLACES:
        needs = designs()[code].roles[name].needs
        assert needs.tags, (code, name)
        assert set(needs.tags) <= set(TAGS), (code, name)


def test_every_common_material_is_tagged_with_words_that_are_known() -> None:
    for material in load_catalogue(TODAY).materials.values():
        assert material.tags, material.code
        assert set(material.tags) <= set(TAGS), material.code


@pytest.mark.parametrize(("code", "name"), PLACES)
def test_what_a_place_usually_holds_fits_and_something_else_of_its_kind_fails_in_words(code: str, name: str) -> None:
    role = designs()[code].roles[name]
    usual = catalogue().materials[role.usual]
    followed = catalogue().materials[designs()[code].roles[role.follows].usual] if role.follows else None
    assert judge(role, usual, followed, "metric", STEP).fit == "fits"
    wrong = PLANTED_ELSE.get(name.rpartition("_")[2], PLANTED[role.kind])
    filled = fill_roles(designs()[code], {name: wrong.code}, catalogue(), "metric", STEP)
    assert filled.refused[name] == Problem(
        f"materials.{name}",
        f"“{role.says}” takes {' and '.join(map(one_of, role.needs.tags))}; “{wrong.name}” is "
        f"{' and '.join(what_it_is(wrong.tags))}.",
    )
    assert list(filled.refused) == [name]


@pytest.mark.parametrize(("code", "name"), PLACES)
def test_of_what_nobody_tagged_it_is_said_that_it_is_not_known_and_what_to_type(code: str, name: str) -> None:
    role = designs()[code].roles[name]
    bare = replace(catalogue().materials[role.usual], tags=())
    known = replace(catalogue(), materials={**catalogue().materials, bare.code: bare})
    filled = fill_roles(designs()[code], {name: bare.code}, known, "metric", STEP)
    doubt = filled.unknown[name]
    assert doubt.startswith(f"Not known whether “{bare.name}” ({bare.code}) fits “{role.says}”: no tag says")
    assert f"Type “{tag_words(role.needs.tags[0])}” under its tags if it is " in doubt
    assert filled.refused == {}


@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.name)
def test_no_place_of_a_demo_job_is_refused_or_in_doubt(job: Any) -> None:
    for item in job.form["items"]:
        filled = fill_roles(designs()[item["design"]], item.get("materials", {}), catalogue(), "metric", STEP)
        assert (filled.refused, filled.unknown) == ({}, {})


def test_a_tube_frame_of_edge_band_fails() -> None:
    found = estimated("tube_frame_bench", tube="edge_band_1")
    assert said(found)[0] == "“Frame, square tube” takes a steel tube; “Birch edge band 22 x 1 mm” is an edge band."
    assert not found.complete


def test_a_cart_on_shelf_pegs_fails() -> None:
    found = estimated("ware_cart", swivel_castor="shelf_peg")
    assert said(found)[0] == "“Swivel castors with brake” takes a swivel castor; “Shelf peg 5 mm” is a shelf peg."
    assert not found.complete
    assert said(estimated("ware_cart", fixed_castor="castor_100"))[:1] == []  # all four swivel unless it is asked for


def test_a_swivel_castor_is_no_fixed_one_and_too_light_a_one_says_what_it_carries() -> None:
    fixed, swivel = (designs()["ware_cart"].roles[name] for name in ("fixed_castor", "swivel_castor"))
    known = catalogue().materials
    assert judge(fixed, known["castor_100"], None, "metric", STEP).lacking == ("fixed_castor",)
    light = replace(known["castor_75"], values={"rated_load": Fraction(25)})
    words = fit_words(swivel, light, None, judge(swivel, light, None, "metric", STEP))
    assert words.endswith("does not fit there: “Rated load” is 25 kg, where at least 40 kg is needed.")
    unsaid = replace(known["castor_75"], values={})
    words = fit_words(swivel, unsaid, None, judge(swivel, unsaid, None, "metric", STEP))
    assert words.endswith("it says nothing of “Rated load”. Type its “Rated load”.")


@pytest.mark.parametrize(
    ("code", "name", "usual_alternatives"),
    [
        ("bench_cabinet", "board", ["birch_plywood_15", "particleboard_18", "fibreboard_18", "softwood_plywood_18"]),
        ("bench_cabinet", "thin", ["hardboard_3", "birch_plywood_9"]),
        ("bench_cabinet", "lacquer", ["oil_hard"]),
        ("bench_cabinet", "glue", ["glue_two_part"]),
        ("trestle_bench", "top_wood", ["white_oak", "black_cherry"]),
        ("trestle_bench", "rail_stock", ["softwood_2x4"]),
        ("hollow_core_top", "castor", ["castor_75", "castor_100"]),
        ("tube_frame_bench", "tube", ["steel_tube_40", "steel_tube_60_30"]),
        ("drying_rack", "post_stock", ["softwood_2x4"]),
    ],
)
def test_a_shops_usual_alternative_is_not_refused(code: str, name: str, usual_alternatives: list[str]) -> None:
    role = designs()[code].roles[name]
    for other in usual_alternatives:
        assert judge(role, catalogue().materials[other], None, "metric", STEP).fit == "fits", other


def test_too_thick_and_too_thin_a_sheet_says_by_what() -> None:
    found = estimated("bench_cabinet", board="birch_plywood_6")
    assert said(found)[0].endswith("“Thickness as measured” is 5.8 mm, where at least 14 mm is needed.")


def test_a_place_that_the_answers_leave_empty_is_not_asked_after() -> None:
    assert said(estimated("bench_cabinet", top_wood="plastic_block")) == []


# ---- the tags themselves -------------------------------------------------------------------------------------------


def test_a_tag_is_whatever_its_own_tags_are_and_goes_round_in_no_circle() -> None:
    for tag, one in TAGS.items():
        assert set(one.also) <= set(TAGS), tag
        assert not any(is_tagged(TAGS[other].also, tag) for other in one.also), tag
        assert read_tags(tag_words(tag)) == ((tag,), ""), tag
        with writing_as(Manner(words="American")):
            assert read_tags(tag_words(tag)) == ((tag,), ""), tag


def test_the_american_set_says_and_types_casters() -> None:
    role = designs()["hollow_core_top"].roles["castor"]
    peg = catalogue().materials["shelf_peg"]
    with writing_as(Manner(words="American")):
        assert "takes a swivel caster;" in fit_words(role, peg, None, judge(role, peg, None, "metric", STEP))
    assert read_tags("Swivel caster, flat head") == (("countersunk", "swivel_castor"), "")


def test_a_tag_that_nobody_knows_is_said_with_the_nearest() -> None:
    assert unknown_words(("castr", "biscuit")) == ("“castr” is no tag that the program knows; did you mean “castor”?",)
    assert unknown_words(("quince",))[0].endswith("only a design that asks for it fits by it.")
    role = designs()["hollow_core_top"].roles["castor"]
    asking = replace(role, needs=replace(role.needs, tags=("castr",)))
    wheel = catalogue().materials["castor_100"]
    assert fit_words(asking, wheel, None, judge(asking, wheel, None, "metric", STEP)) == (
        "“Castors” takes what is tagged “castr” (no tag that the program knows; the nearest is “castor”); “Swivel "
        "castor 100 mm with brake” is a swivel castor."
    )


def test_a_word_of_the_shops_own_says_nothing_of_what_it_is_for() -> None:
    role = designs()["bench_cabinet"].roles["board"]
    own = replace(catalogue().materials["birch_plywood_18"], tags=("birch",))
    assert judge(role, own, None, "metric", STEP).fit == "not known"
    asking = replace(role, needs=replace(role.needs, tags=("oak_faced",)))
    assert judge(asking, own, None, "metric", STEP).fit == "misfit"
    assert judge(asking, replace(own, tags=("oak_faced",)), None, "metric", STEP).fit == "fits"


def test_what_a_place_asks_for_is_something_its_kind_has() -> None:
    for code, name in PLACES:
        role = designs()[code].roles[name]
        assert {limit.property for limit in role.needs.limits} <= {one.name for one in KINDS[role.kind].properties}
