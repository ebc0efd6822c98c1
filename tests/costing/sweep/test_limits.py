"""Planted limits are found to one step of the shop's measure, and faults come down to the fewest changes."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.costing.sweep.stool_case import BLOCK, STAY, stool
from webapp.costing.measures.written import System
from webapp.costing.sweep.cases import Case, changes, usual_case
from webapp.costing.sweep.judged import BREAKS, Judge
from webapp.costing.sweep.limits import SizeRange, neighbours, range_of
from webapp.costing.sweep.result import read_range, read_shrunk, write_range, write_shrunk
from webapp.costing.sweep.shrunk import shrink

MM = 1_000_000
#: A sixteenth of an inch, nm.
SIXTEENTH = 1_587_500


@cache
def judge_of(system: System) -> Judge:
    return Judge(stool(system))


def mm(value: float) -> Fraction:
    return Fraction(round(value * 10), 10) * MM


def at(system: System, **sizes: Fraction) -> Case:
    """The stool at other sizes than the usual."""
    case = usual_case(stool(system))
    for name, value in sizes.items():
        case = case.with_size(name, value)
    return case


@given(st.integers(-500, 500), st.integers(-500, 500), st.integers(1, 40), st.data())
def test_halving_ends_one_step_apart(holds: int, fails: int, step: int, data: st.DataObject) -> None:
    if holds == fails:
        return
    low, high = sorted((holds, fails))
    limit = data.draw(st.integers(low, high - 1))

    def failing(value: Fraction) -> bool:
        """On the side of the end that fails: the limit itself belongs to the lower side."""
        return (value > limit) == (fails > limit)

    last, first = neighbours(Fraction(holds), Fraction(fails), step, failing)
    assert not failing(last)
    assert failing(first)
    assert abs(first - last) <= step
    assert low <= min(last, first) <= max(last, first) <= high


def test_the_usual_stool_is_sound() -> None:
    assert judge_of("metric")(at("metric")).verdict == "sound"


@pytest.mark.parametrize(
    ("system", "holds", "fails"),
    # 350 mm is 220.5 sixteenths: 221 of them hold, 220 fail.
    [
        ("metric", Fraction(350 * MM), Fraction(349 * MM)),
        ("inch", Fraction(221 * SIXTEENTH), Fraction(220 * SIXTEENTH)),
    ],
)
def test_a_planted_limit_is_found_to_one_step(system: System, holds: Fraction, fails: Fraction) -> None:
    subject, judge = stool(system), judge_of(system)
    found = shrink(subject, BLOCK, at(system, width=mm(300), depth=mm(390)), judge)
    assert changes(subject, found.case) == (("size", "width"),)
    assert [(one.size, one.holds, one.fails) for one in found.limits] == [("width", holds, fails)]
    assert found.case.sizes["width"] == fails
    assert "“Side” 2 and “Block” 1 overlap" in found.sentence
    (span,) = range_of(subject, "width", judge)[0].spans
    assert (span.verdict, span.low, span.below, span.high, span.above) == ("fault", mm(300), None, fails, holds)
    assert span.kinds == (BLOCK,)


def test_a_rule_of_the_designs_own_is_a_refusal_with_its_limit() -> None:
    reach, met = range_of(stool("metric"), "height", judge_of("metric"))
    assert [(span.verdict, span.below, span.low, span.high) for span in reach.spans] == [
        ("refused", mm(550), mm(551), mm(600))
    ]
    assert met == {}
    assert (reach.least, reach.usual, reach.most) == (mm(300), mm(450), mm(600))


def test_what_the_design_refuses_shows_no_fault() -> None:
    judge = judge_of("metric")
    assert judge(at("metric", width=mm(320))).verdict == "fault"
    refused = judge(at("metric", width=mm(320), height=mm(560)))
    assert (refused.verdict, [*refused.refusals], refused.faults) == ("refused", ["must/not_too_high"], {})


def test_a_fault_of_two_sizes_together_keeps_both_and_nothing_else() -> None:
    """It shows where width and depth come to less than 580 mm; neither size does it alone."""
    subject, judge = stool("metric"), judge_of("metric")
    found = shrink(subject, STAY, at("metric", width=mm(310), depth=mm(205), height=mm(500)), judge)
    assert changes(subject, found.case) == (("size", "width"), ("size", "depth"))
    width, depth = found.case.sizes["width"], found.case.sizes["depth"]
    assert width + depth == mm(579)
    assert [(one.size, one.holds - one.fails) for one in found.limits] == [("width", mm(1)), ("depth", mm(1))]
    # Both come towards the usual, not one alone: of 90 and 75 mm off it some 30 and 45 are left.
    assert mm(400) - width < mm(75)
    assert mm(280) - depth < mm(60)


def test_what_breaks_the_sums_is_a_fault_and_ends_nothing() -> None:
    subject = stool("metric")
    nonsense = Case({"width": "wide"}, {})  # type: ignore[dict-item]
    broken = Judge(subject)(nonsense)
    assert broken.verdict == "fault"
    assert [*broken.faults] == [BREAKS]


def test_what_was_found_is_read_back_as_it_was_written() -> None:
    subject, judge = stool("inch"), judge_of("inch")
    reach: SizeRange = range_of(subject, "width", judge)[0]
    assert read_range(write_range(reach)) == reach
    found = shrink(subject, BLOCK, at("inch", width=mm(300)), judge)
    assert read_shrunk(write_shrunk(found)) == found
