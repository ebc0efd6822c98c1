"""The designs that come with the program hold over all sizes that they offer: tried at each end of each size, and where
faults of theirs were once found, in both length systems; a long run sweeps each of them whole.

What may show all the same stands in MEANT with its reason, and is shown to show.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from typing import Final

import pytest

from tests.costing.sweep.stool_case import catalogue
from tests.reference.short_forms import RATES, SYSTEMS
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design
from webapp.costing.measures.written import System
from webapp.costing.sweep.cases import Case, Subject, usual_case
from webapp.costing.sweep.course import Course, Worker
from webapp.costing.sweep.judged import Judge
from webapp.seed import load_designs, load_designs_for_others

MM: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class Asked:
    """A case by what is not as usual: lengths in millimetres, other sizes as numbers."""

    design: str
    sizes: Mapping[str, int] = field(default_factory=dict)
    choices: Mapping[str, str] = field(default_factory=dict)
    materials: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Meant:
    """A kind of fault that stands rightly: a case that shows it, and why the design is left as it is."""

    kind: str
    case: Asked
    why: str


MEANT: Final = (
    Meant(
        "sags/box_bottom",
        Asked("bench_cabinet", materials={"thin": "hardboard_3"}),
        "Hardboard is a shop's usual alternative for backs and light drawers; that a bottom of it sags is to be told.",
    ),
    Meant(
        "sags/bottom",
        Asked("bench_cabinet", {"width": 1200}, {"back": "braced_back"}, {"board": "particleboard_18"}),
        "Particleboard is the cheap alternative for a carcass; where it grows too wide for that is to be told.",
    ),
    Meant(
        "sags/top",
        Asked("tool_cart", {"length": 1020, "depth": 670}, {}, {"board": "softwood_plywood_18"}),
        "Softwood plywood is weak across its grain; where a top of it is both too long and too deep is to be told.",
    ),
    Meant(
        "tips",
        Asked("hollow_core_top", {"depth": 700, "planned_load": 350}),
        "What may lie at the edge of a light bench is to be told; what is planned on it is the shop's to say.",
    ),
    Meant(
        "tips",
        Asked("tube_frame_bench", {"length": 1000, "depth": 500}, {"lower": "no_shelf"}),
        "What may lie at the edge of a light bench is to be told; what is planned on it is the shop's to say.",
    ),
    Meant(
        "tips",
        Asked("ware_cart", {"depth": 400, "shelves": 2, "planned_load": 60}),
        "What may lie at the edge of a narrow cart is to be told; what is planned on it is the shop's to say.",
    ),
    Meant(
        "sags/shelf",
        Asked("cabinet", materials={"board": "particleboard_18"}),
        "Particleboard is the cheap alternative for a carcass; how much less its shelves bear is to be told.",
    ),
    Meant(
        "sag/rail_span",
        Asked("tube_frame_bench", {"length": 2400}, {}, {"tube": "steel_tube_40"}),
        "The light tube is a usual alternative for benches up to 2.1 m; a longer one wants the usual tube.",
    ),
    Meant(
        "blank/top_plywood",
        Asked("tube_frame_bench", {"length": 2400}, {"cut_by": "router_cut"}, {"top_sheet": "softwood_plywood_18"}),
        "Of plywood that is sold in one length alone no top as long comes out, with its trim; of the usual one does.",
    ),
)

#: Where faults were found, or the corner beside it, by how each was mended.
MENDED: Final = (
    # What stock may be is narrowed to what holds: screws that came through, boards too thin, too thick or too weak.
    Asked("bench_cabinet", materials={"top_screw": "screw_5_60"}),
    Asked("bench_cabinet", materials={"box_board": "birch_plywood_12"}),
    Asked("bench_cabinet", {}, {"top": "laminate_top"}, {"laminate_screw": "screw_4_45"}),
    Asked("drying_rack", materials={"long_screw": "screw_5_60"}),
    Asked("drying_rack", {"pitch": 100}, {}, {"runner_stock": "softwood_2x4"}),
    Asked("drying_rack", {"depth": 300}, {}, {"post_stock": "softwood_4x4"}),
    Asked("drying_rack", materials={"ware_sheet": "particleboard_18"}),
    Asked("hollow_core_top", {"planned_load": 350}, {}, {"skin": "birch_plywood_9"}),
    Asked("hollow_core_top", materials={"panel_screw": "screw_4_50"}),
    Asked("sheet_rack", {"height": 900, "sheet_height": 300}, {"base": "swivel_wheels"}, {"tie_stock": "softwood_2x6"}),
    Asked("sheet_rack", materials={"deck_screw": "screw_5_60"}),
    Asked("splayed_bench", materials={"bracket_screw": "screw_4_40"}),
    Asked("tool_cart", materials={"castor_stock": "castor_75"}),
    Asked("tool_cart", materials={"board": "birch_plywood_15", "drawer_board": "birch_plywood_15"}),
    Asked("trestle_bench", {"height": 600}, {"top": "softwood_top"}, {"trestle": "softwood_2x6"}),
    Asked("tube_frame_bench", {"depth": 900}, {}, {"shelf_sheet": "birch_plywood_18"}),
    Asked("ware_cart", {"depth": 600, "planned_load": 60}, {}, {"board": "birch_plywood_15"}),
    Asked("cabinet", {"width": 1000}, {}, {"board": "birch_plywood_15"}),
    Asked("hollow_top", {"core": 120}, {}, {"skin": "birch_plywood_6"}),
    # A check was wrong: what is borne along both its sides is judged by the way that leaves it more in hand.
    Asked("tool_cart", {"depth": 640}, {}, {"board": "softwood_plywood_18"}),
    # Sizes are narrowed to what holds.
    Asked("drawer_box", {"depth": 630, "width": 1200}),
    Asked("hollow_core_top", {"length": 2400, "depth": 1200, "planned_load": 350}, {}, {"skin": "birch_plywood_18"}),
    Asked("welded_frame", {"height": 320, "low": 200}, {"sides": "railed_sides"}, {"tube": "steel_tube_60_30"}),
    # A rule of the design refuses what would overlap, come through, or weigh too much on a foot.
    Asked("hollow_core_top", {"height": 774, "tallest_thing": 99}, {"base": "wheeled_base"},
          {"rail_stock": "softwood_2x6"}),
    Asked("bench_cabinet", materials={"board": "birch_plywood_15"}),
    Asked("drying_rack", {"width": 680, "pitch": 100, "planned_load": 40}),
    # More bays, uprights and screws where it is wide or much is planned on it, and grain along the span.
    Asked("drying_rack", {"width": 900, "planned_load": 40}),
    Asked("drying_rack", {"width": 1800, "depth": 300, "planned_load": 16}),
    Asked("drying_rack", {"depth": 300, "planned_load": 40}, {"ware": "softwood_planks"}),
    Asked("wall_rail_storage", {"width": 1200}),
    Asked("wall_rail_storage", {"width": 1200, "depth": 220, "height": 350, "planned_load": 70}),
    Asked("wall_rail_storage", {"planned_load": 70}),
    Asked("hollow_core_top", {"length": 2400, "depth": 700}, {}, {"shelf_board": "softwood_plywood_18"}),
    # What was drawn as wide as the usual tube is as wide as the tube that is taken.
    Asked("tool_cart", materials={"frame_tube": "steel_tube_30"}),
    Asked("tool_cart", materials={"frame_tube": "steel_tube_60_30"}),
)


@cache
def designs() -> Mapping[str, Design]:
    """The designs by their codes, read."""
    found = {}
    for document in (*load_designs(), *load_designs_for_others()):
        design, problems = read_design(document)
        assert design is not None, problems
        found[design.code] = design
    return found


@cache
def judge_of(code: str, system: System) -> Judge:
    return Judge(Subject(designs()[code], catalogue(), RATES, system))


def meant_in(code: str) -> set[str]:
    return {one.kind for one in MEANT if one.case.design == code}


def case_of(asked: Asked, system: System) -> Case:
    """The case within the sizes that the length system offers."""
    subject = judge_of(asked.design, system).subject
    case = usual_case(subject)
    for name, value in asked.sizes.items():
        size = subject.size(name)
        told = Fraction(value * MM if size.is_length else value)
        case = case.with_size(name, min(size.most, max(size.least, told)))
    return Case(case.sizes, {**case.choices, **asked.choices}, asked.materials)


def ends(code: str, system: System) -> Iterator[Case]:
    """The usual sizes under every answer alone, and each end of each size."""
    subject = judge_of(code, system).subject
    usual = usual_case(subject)
    for name, choice in subject.design.choices.items():
        for answer in choice.answers:
            yield Case(usual.sizes, {**usual.choices, name: answer})
    for name in subject.design.sizes:
        size = subject.size(name)
        yield usual.with_size(name, size.least)
        yield usual.with_size(name, size.most)


CODES: Final = tuple(sorted(designs()))


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("code", CODES)
def test_it_shows_no_fault_at_the_ends_of_its_sizes(code: str, system: System) -> None:
    for case in ends(code, system):
        found = judge_of(code, system)(case)
        assert found.faults.keys() <= meant_in(code), (case.sizes, case.choices, found.faults)


@pytest.mark.parametrize("code", CODES)
def test_it_shows_no_fault_where_one_was_mended(code: str) -> None:
    for asked in MENDED:
        if asked.design == code:
            for system in SYSTEMS:
                found = judge_of(code, system)(case_of(asked, system))
                assert found.faults.keys() <= meant_in(code), (asked, system, found.faults)


@pytest.mark.parametrize("meant", MEANT, ids=lambda meant: f"{meant.case.design}-{meant.kind}")
def test_what_is_meant_shows_and_not_at_the_usual_sizes(meant: Meant) -> None:
    judge = judge_of(meant.case.design, "metric")
    assert meant.kind in judge(case_of(meant.case, "metric")).faults
    assert judge(usual_case(judge.subject)).verdict == "sound"
    assert meant.case.sizes or meant.case.materials


@pytest.mark.long  # a whole sweep of each takes minutes
@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("code", CODES)
def test_a_whole_sweep_of_it_shows_no_fault_but_those_that_are_meant(code: str, system: System) -> None:
    worker = Worker(judge_of(code, system).subject)
    course = Course(worker.subject, worker.cases)
    while left := course.left():
        for piece in left:
            course.take(piece, worker.do(piece))
    assert {one.kind for one in course.result().faults} <= meant_in(code)
