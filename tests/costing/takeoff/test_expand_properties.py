"""What holds for every take-off: it closes, nothing overlaps, no part is lost, and every figure re-works."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from tests import wall_cabinet_case as case
from tests.harness.examples import examples
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working, rework
from webapp.costing.measures.written import STEP_NM, System
from webapp.costing.takeoff.model import TakeOff

F = Fraction
CATALOGUE = case.catalogue()
RATES = case.rates()
SIXTY_FOURTH = 396_875


def _design() -> Design:
    design, problems = read_design(case.design_document())
    assert design is not None, problems
    return design


DESIGN = _design()


@st.composite
def sizes(draw: st.DrawFn) -> dict[str, F]:
    """Sizes in the design's limits, in tenths of a millimetre or in sixty-fourths of an inch."""
    step = draw(st.sampled_from([100_000, SIXTY_FOURTH]))
    return {
        size.name: F(draw(st.integers(-(-int(size.least) // step), int(size.most) // step)) * step)
        for size in DESIGN.sizes.values()
    }


def taken(chosen: dict[str, F], system: System, working: Working) -> TakeOff:
    return expand(DESIGN, chosen, {}, {}, CATALOGUE, RATES, working, "item/one", STEP_NM[system], system)


@examples(60)
@given(sizes(), st.sampled_from(["inch", "metric"]))
def test_a_cabinet_of_any_size_closes_and_loses_no_part(chosen: dict[str, F], system: System) -> None:
    working = Working()
    found = taken(chosen, system, working)
    assert found.problems == ()
    outcomes = {check.name: check.outcome for check in found.checks}
    assert [outcomes[name] for name in ("clear", "touch", "closes")] == ["pass"] * 3
    assert {part.name for part in found.parts} == set(DESIGN.parts)
    for part in found.parts:
        assert len(part.boxes) == part.count.value
        assert [box.number for box in part.boxes] == list(range(1, len(part.boxes) + 1))
        for figure in (part.length, part.width, part.blank_length, part.blank_width):
            assert figure is not None
            assert figure.value.denominator == 1
    for axis, name in enumerate(("width", "depth", "height")):
        reach = max(box.corner[axis] + box.extent[axis] for part in found.parts for box in part.boxes)
        assert abs(reach - chosen[name]) <= 1


@examples(60)
@given(sizes(), st.sampled_from(["inch", "metric"]))
def test_finished_sizes_are_rounded_once_to_within_half_a_step(chosen: dict[str, F], system: System) -> None:
    found = taken(chosen, system, Working())
    step = STEP_NM[system]
    for part in found.parts:
        model = DESIGN.parts[part.name]
        place = {"x": 0, "y": 1, "z": 2}
        for figure, axis in ((part.length, model.length_axis), (part.width, model.width_axis)):
            assert figure is not None
            assert figure.value % step == 0
            assert abs(figure.value - part.boxes[0].extent[place[axis]]) <= F(step, 2) + 1


@examples(40)
@given(sizes(), st.sampled_from(["inch", "metric"]))
def test_every_figure_works_out_again_from_its_printed_inputs(chosen: dict[str, F], system: System) -> None:
    working = Working()
    found = taken(chosen, system, working)
    for figure in working.figures.values():
        assert rework(figure, working.figures) == figure.value
    for check in found.checks:
        assert all(figure in working for figure in check.figures)


@examples(20)
@given(sizes())
def test_the_same_inputs_give_the_same_take_off(chosen: dict[str, F]) -> None:
    first, second = Working(), Working()
    assert taken(chosen, "metric", first) == taken(chosen, "metric", second)
    assert dict(first.figures) == dict(second.figures)


@examples(40)
@given(sizes())
def test_areas_and_masses_agree_with_a_plain_sum_over_the_parts(chosen: dict[str, F]) -> None:
    """Volumes and faces summed here over the parts themselves, apart from the figures' formulas."""
    found = taken(chosen, "metric", Working())
    density = {"thick_sheet": F(680), "thin_sheet": F(680), "maple": F("705.6")}
    mass, edges, metres = F(0), F(0), F(0)
    for part in found.parts:
        assert part.width is not None
        assert part.thickness is not None
        volume = part.length.value * part.width.value * part.thickness.value * part.count.value
        mass += volume * density[part.material] / 10**27
        run = sum(length for _, length in part.banded) * part.count.value
        metres += F(run, 10**9)
        edges += run * part.thickness.value / 10**18
    assert found.mass.value == mass + F("1.2")
    assert found.drivers["band_edges_on"].value == metres
    door = next(part for part in found.parts if part.name == "door")
    show = found.finishes[0]
    assert show.area.value > edges
    assert door.width is not None
    assert show.between.value == 2 * show.area.value
    assert show.coated.value == 3 * show.area.value


@examples(80)
@given(
    st.fixed_dictionaries({name: st.fractions(-(10**13), 10**13, max_denominator=12) for name in DESIGN.sizes}),
    st.dictionaries(st.sampled_from(sorted(DESIGN.roles)), st.sampled_from([*sorted(CATALOGUE.materials), "none"])),
)
def test_sizes_and_materials_without_sense_never_raise(chosen: dict[str, F], materials: dict[str, str]) -> None:
    working = Working()
    found = expand(DESIGN, chosen, {}, materials, CATALOGUE, RATES, working, "item/one", 100_000, "metric")
    for part in found.parts:
        assert part.length.value > 0
        assert part.blank_length.value > 0
    for name in set(DESIGN.parts) - {part.name for part in found.parts}:
        assert any(problem.field == f"parts.{name}" for problem in found.problems)
    for figure in working.figures.values():
        assert rework(figure, working.figures) == figure.value
