"""Mitred ends: a picture frame worked by hand, the run of a cut by plain geometry, and what is refused."""

from __future__ import annotations

import copy
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from tests import wall_cabinet_case as case
from tests.cabinet_changes import check, part, take, with_material
from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material, Offer, PriceSeen
from webapp.costing.cutting.ask.model import LengthPiece, LengthPlan, LengthRequest, LengthStock
from webapp.costing.cutting.lengths.plan import plan_lengths
from webapp.costing.design_form.reader import read_design
from webapp.costing.design_form.schema import json_schema
from webapp.costing.estimate.snapshot import estimate_inputs, read_plan, write_plan
from webapp.costing.trade.mitring import mitre_run
from webapp.design_text import read_text
from webapp.documents.plans.drawings import cut_parts
from webapp.documents.printing.mitre_words import mitre_words
from webapp.documents.workshop.cut_list import Cutter
from webapp.pictures.length_plan import PlacedLength, length_plan

F = Fraction
MM = 10**6

#: A frame around an opening of 600 x 400, of moulding 50 wide; sizes are those of the opening.
FRAME = """
form: 1
design: frame
name: Frame
says: A frame for a test.
sizes:
  opening_width: {says: Opening, usual: 600 mm, least: 200 mm, most: 2000 mm}
  opening_height: {says: Opening, usual: 400 mm, least: 200 mm, most: 2000 mm}
stock:
  moulding: {says: Moulding, kind: length, usual: moulding}
  glue: {says: Glue, kind: liquid, usual: glue}
values:
  outer_width: opening_width + 2 * moulding.width
  outer_height: opening_height + 2 * moulding.width
parts:
  rail:
    says: Rail
    stock: moulding
    count: 2
    length: opening_width
    mitres: {start: 45, end: 45, long: bottom, measured: short}
    runs: {length: x, width: z}
    at: {z: (number - 1) * (outer_height - moulding.width)}
  stile:
    says: Stile
    stock: moulding
    count: 2
    length: outer_height
    mitres: {start: 45, end: 45, long: left}
    runs: {length: z, width: x}
    at: {x: (number - 1) * (outer_width - moulding.width)}
closes: {x: outer_width, y: moulding.thickness, z: outer_height}
joints:
  corners: {says: Corners, from: rail, into: stile, glue: glue, glue_width: moulding.thickness, run: 50 mm, rows: 4}
scope: A frame.
"""


def frame(**mitres: dict[str, str]) -> dict[str, Any]:
    document, problems = read_text(FRAME)
    assert document is not None, problems
    changed: dict[str, Any] = copy.deepcopy(dict(document))
    for name, cut in mitres.items():
        changed["parts"][name]["mitres"] = cut
    return changed


def with_moulding() -> Catalogue:
    values = {"width": F(50 * MM), "thickness": F(20 * MM), "density": F(500)}
    offer = Offer("stick", "moulding", "a supplier", {"length": F(3000 * MM)})
    return with_material(Material("moulding", "Moulding", Kind.LENGTH, values, {}), offer)


@pytest.mark.outside(source="picture framers' rule: opening + twice the width of the moulding", kind="common practice")
def test_a_frame_is_cut_to_its_long_points_and_closes() -> None:
    """600 x 400 inside: long points 700 and 500; a mean of 650 and 450 weighs 2 x 1100 x 50 x 20 mm at 500 kg/m3."""
    found = take(frame(), catalogue=with_moulding())
    rail, stile = part(found, "rail"), part(found, "stile")
    assert [rail.length.value, rail.blank_length.value] == [600 * MM, 700 * MM]
    assert [stile.length.value, stile.blank_length.value] == [500 * MM, 500 * MM]
    assert rail.long_point is not None
    assert rail.long_point.value == 700 * MM
    assert found.mass.value == F(11, 10)
    for name in ("clear", "touch", "closes"):
        assert check(found, name).outcome == "pass", check(found, name)
    assert mitre_words(rail, "metric") == "mitre 45° both ends, long point 700 mm"


@pytest.mark.parametrize(
    "cut",
    [{"start": "45", "long": "left"}, {"start": "30", "end": "45", "long": "left"}, {"end": "45", "long": "front"}],
)
def test_mitres_that_do_not_meet_overlap(cut: dict[str, str]) -> None:
    """A corner with a square end, with another angle, or slanted across the other side of the moulding."""
    found = take(frame(stile=cut), catalogue=with_moulding())
    assert check(found, "clear").outcome == "failure"


def test_ends_that_differ_are_each_said() -> None:
    one = part(take(frame(rail={"start": "45", "end": "22.5", "long": "top"}), catalogue=with_moulding()), "rail")
    assert mitre_words(one, "metric") == "mitre 45° at the start, 22.5° at the end, long point 600 mm"
    only = part(take(frame(rail={"end": "30", "long": "top"}), catalogue=with_moulding()), "rail")
    assert mitre_words(only, "metric") == "mitre 30° at the end, long point 600 mm"


def test_the_run_of_a_cut_is_exact_to_the_nanometre() -> None:
    across = F(10**12)
    assert mitre_run(across, F(45)) == across
    assert abs(3 * mitre_run(across, F(30)) ** 2 - across**2) < 4 * across
    assert abs(mitre_run(across, F(60)) ** 2 - 3 * across**2) < 4 * across
    assert abs((mitre_run(across, F(45, 2)) + across) ** 2 - 2 * across**2) < 4 * across
    with pytest.raises(ValueError, match="never crosses"):
        mitre_run(across, F(90))


def test_mitres_that_meet_before_the_long_side_leave_the_part_out() -> None:
    document = frame(stile={"start": "75", "end": "75", "long": "left"})
    document["sizes"]["opening_height"]["usual"] = "200 mm"
    found = take(document, catalogue=with_moulding())
    assert [one.name for one in found.parts] == ["rail"]
    assert any("its mitres meet" in problem.message for problem in found.problems)


def test_everything_wrong_with_mitres_is_said_in_sentences() -> None:
    for cut, said in (
        ({"start": "45 deg", "long": "left"}, "“45 deg” is no angle from more than 0 to 75 degrees off square"),
        ({"start": "0", "end": "80", "long": "left"}, "“80” is no angle"),
        ({"long": "left"}, "degrees off square are needed"),
        ({"start": "45"}, "the face on which the part is longest is needed"),
        ({"start": "45", "long": "top"}, "'top' is an end of the part as it lies"),
        ({"start": "45", "long": "left", "measured": "middle"}, "“middle” is neither 'long' nor 'short'"),
    ):
        _, problems = read_design(frame(stile=cut))
        assert any(said in problem.message for problem in problems), (cut, problems)
    document = case.design_document()
    parts = document["parts"]
    assert isinstance(parts, dict)
    parts["side"]["mitres"] = {"start": "45", "long": "top"}
    _, problems = read_design(document)
    assert any("only parts cut from lengths" in problem.message for problem in problems)


def test_the_schema_knows_mitres() -> None:
    schema: Any = json_schema()
    part_fields = schema["properties"]["parts"]["additionalProperties"]["properties"]
    assert part_fields["mitres"]["required"] == ["long"]
    assert set(part_fields["mitres"]["properties"]) == {"start", "end", "long", "measured"}


def test_each_mitre_is_a_cut_of_its_own() -> None:
    """Four frame pieces from one stick, with a trim at both ends: two trims, then two cuts a piece, not one."""
    stock = (LengthStock("stick", 3000, 10, F(5)),)
    mitred = LengthRequest(
        3, stock, (LengthPiece("rail", 700, 2, mitred=True), LengthPiece("stile", 500, 2, mitred=True))
    )
    square = replace(mitred, pieces=tuple(replace(piece, mitred=False) for piece in mitred.pieces))
    assert plan_lengths(mitred).cuts == 2 + 8
    assert plan_lengths(square).cuts == 2 + 4


def test_mitres_and_joints_are_drawn_where_they_lie() -> None:
    """On 640 units for 1,280 mm half a unit is a millimetre: a run of 50 mm slants over 25 units."""
    square = PlacedLength(1, "Rail", 0, 400 * MM)
    slanted = replace(square, slants=(50 * MM, 50 * MM))
    joined = replace(square, joined=(False, True))

    def drawn(piece: PlacedLength) -> str:
        return length_plan(1280 * MM, 0, (piece,), 0, lambda nm: f"{nm // MM} mm")

    before, after = drawn(square), drawn(slanted)
    assert (after.count("M6 22L31 52"), after.count("M206 22L181 52")) == (1, 1)
    assert "L31 52" not in before
    assert drawn(joined).count("M202 22L202 52") == 1


def test_a_job_cuts_joins_and_counts_them() -> None:
    """Two frames of 624 mm sticks: 600 are usable, so a rail of 700 is 440 and 300 with a lap of 40; four joints."""
    start, known = case.inputs(), with_moulding()
    moulding = known.materials["moulding"]
    stick = replace(known.offers["moulding"][0], size={"length": F(624 * MM)})
    catalogue = replace(
        known,
        materials={
            **known.materials,
            "moulding": replace(moulding, values={**moulding.values, "splice_lap": F(40 * MM)}),
        },
        offers={**known.offers, "moulding": (stick,)},
        prices={**known.prices, "stick": (PriceSeen("stick", Decimal(6), "USD", case.TODAY, "the test"),)},
    )
    document = frame()
    document["operations"] = {
        "saw_lengths": {"says": "Crosscut", "driver": "saw_cuts", "of": "moulding"},
        "clamp_joints": {"says": "Join the rails", "driver": "splices"},
    }
    job = {**case.JOB, "items": [{"id": "one", "design": "frame", "quantity": "2"}]}
    inputs = replace(start, job=job, designs={"one": document}, catalogue=catalogue)
    found = estimate_inputs(inputs, {})
    bought = next(one for one in found.bought if one.material.code == "moulding")
    assert isinstance(bought.plan, LengthPlan)
    assert {part.length for part in bought.plan.parts} == {440 * MM, 300 * MM}
    assert [step.units.value for step in found.steps if step.label == "Join the rails"] == [4]
    assert any("joined from 2 parts" in problem.message for problem in found.problems)
    assert read_plan(write_plan(bought.plan)) == bought.plan
    rows = [
        row
        for table in Cutter(found, inputs.rates, cut_parts(found)).cut_list().tables
        for group in table.groups
        for row in group.rows
    ]
    assert {(row.part, row.blank, row.in_all) for row in rows} == {
        ("Stile", "500 mm", 4), ("Rail, part 1 of 2", "440 mm", 4), ("Rail, part 2 of 2", "300 mm", 4),
    }  # fmt: skip


def test_mitred_pieces_that_stand_apart_do_not_touch() -> None:
    document = frame()
    document["parts"]["stile"]["at"]["y"] = "100 mm"
    assert check(take(document, catalogue=with_moulding()), "touch/corners").outcome == "failure"
