"""Welded frames of any size and section: welds, ends, areas and weights agree with a plain sum over the parts."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from functools import cache

from hypothesis import given
from hypothesis import strategies as st

from tests.harness.examples import examples
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working, rework
from webapp.costing.settings.table import default_rates
from webapp.seed import load_catalogue, load_designs

F = Fraction
STEP_NM = 100_000
TUBES = {"steel_tube_40": (40, 40, 2), "steel_tube_50": (50, 50, 2), "steel_tube_50_3": (50, 50, 3),
         "steel_tube_60_30": (60, 30, 2)}  # fmt: skip
FRAME = ("leg", "long_rail", "end_rail", "bearer", "lower_end", "lower_long")


@cache
def bench() -> tuple[Design, Catalogue]:
    document = next(one for one in load_designs() if one["design"] == "tube_frame_bench")
    design, problems = read_design(document)
    assert design is not None, problems
    return design, load_catalogue(date(2026, 11, 2))


@examples(30)
@given(
    st.integers(10_000, 24_000), st.integers(5_000, 9_000), st.integers(6_000, 10_000), st.sampled_from(sorted(TUBES)),
    st.sampled_from(["with_shelf", "no_shelf"]),
)  # fmt: skip
def test_welds_tubes_and_weights_are_those_of_the_parts(
    length: int, depth: int, height: int, tube: str, lower: str
) -> None:
    design, catalogue = bench()
    sizes = {"length": F(length * STEP_NM), "depth": F(depth * STEP_NM), "height": F(height * STEP_NM)}
    working = Working()
    found = expand(
        design, sizes, {"lower": lower}, {"tube": tube}, catalogue, default_rates(), working, "item/1", STEP_NM,
        "metric",
    )  # fmt: skip
    assert found.problems == ()
    wide, thick, wall = TUBES[tube]
    steel = [part for part in found.parts if part.name in FRAME]
    pieces = {part.name: int(part.count.value) for part in steel}
    run = sum((part.length.value / 10**9 * part.count.value for part in steel), F(0))
    around = F(2 * (wide + thick), 10)
    # Every rail has two ends, and each end its weld: the bearers on two sides, all others all round.
    ground = around * 2 * sum(pieces[name] for name in ("long_rail", "end_rail", "lower_end", "lower_long"))
    drivers = {name: figure.value for name, figure in found.drivers.items()}
    assert drivers["grind_welds"] == ground
    assert drivers["weld_joints"] == ground + F(2 * wide, 10) * 2 * pieces["bearer"]
    assert drivers["fit_and_tack"] == 2 * (sum(pieces.values()) - pieces["leg"])
    assert drivers["saw_tube"] == sum(pieces.values())
    assert drivers["deburr"] == 2 * sum(pieces.values())
    assert drivers["degrease"] == run * around / 100
    section = F(wide * thick - (wide - 2 * wall) * (thick - 2 * wall))
    weight = sum((part.mass.value * part.count.value for part in steel if part.mass is not None), F(0))
    assert weight == run * section / 10**6 * 7850
    placing = {one.name: one.outcome for one in found.checks if one.name.split("/")[0] in ("clear", "touch", "closes")}
    assert placing == {"clear": "pass", "touch": "pass", "closes": "pass"}
    assert all(rework(figure, working.figures) == figure.value for figure in working.figures.values())
