"""The compiled search lays as the packers do that it stands in for, and loses no piece whatever it is asked."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tests.cut_parting import Rectangle, parts_within_limits
from tests.harness.examples import examples
from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.ask.model import SheetPiece, SheetRequest, SheetStock, Trim
from webapp.costing.cutting.ask.saw_rules import ACROSS, ALONG, NOT_CUT, Made, SawRules
from webapp.costing.cutting.laying.again import next_of
from webapp.costing.cutting.laying.kernel import (
    ACROSS_MAY,
    ALONG_MAY,
    BEGUN,
    CROSSCUT,
    FREE_COLUMNS,
    HOMELESS,
    LAID_COLUMNS,
    LARGER,
    RIP,
    SHEET_COLUMNS,
    SMALLER,
    TOLD,
    WAITING,
    lay,
    ways,
)
from webapp.costing.cutting.laying.packing import Fit, PackedSheet, Split, pack
from webapp.costing.cutting.laying.problem import SheetProblem, pose_sheet_problem
from webapp.costing.cutting.sheets.swift_search import SwiftGoalSearch, as_packed

SPLITS = {Split.LARGER: LARGER, Split.SMALLER: SMALLER, Split.ACROSS: CROSSCUT, Split.ALONG: RIP}
ENDLESS = 10**9

sides = st.integers(1, 40)


@st.composite
def problems(draw: st.DrawFn) -> SheetProblem:
    """Some pieces and two sizes of sheets, in whatever rules of the saw; pieces that fit none are left out."""
    rows = draw(st.lists(st.tuples(sides, sides, st.integers(1, 4), st.booleans()), min_size=1, max_size=8))
    pieces = tuple(
        SheetPiece(f"p{number}", length, width, count, may_turn=may_turn)
        for number, (length, width, count, may_turn) in enumerate(rows)
    )
    stocks = tuple(
        SheetStock(
            f"s{number}", draw(st.integers(20, 60)), draw(st.integers(20, 60)), Trim(0, 0, 0, 0), Fraction(10 + number)
        )
        for number in range(2)
    )
    limits = st.sampled_from([(0, None), (0, 1), (0, 2), (6, None), (9, 2)])
    strip, turns = draw(limits)
    request = SheetRequest(draw(st.integers(0, 2)), "saw", stocks, pieces, smallest_strip=strip, most_turns=turns)
    return pose_sheet_problem(request)[0]


@given(
    sides, sides, st.integers(0, 20), st.integers(0, 20), st.sampled_from([NOT_CUT, ACROSS, ALONG]),
    st.integers(0, 3), st.integers(0, 25), st.integers(0, 4),
)  # fmt: skip
def test_ways_are_those_of_the_saws_rules(
    along: int, across: int, right: int, above: int, last: int, turns: int, least: int, most: int
) -> None:
    rules = SawRules(least, most)
    found = rules.freeing(along, across, along + right, across + above, Made(last, turns))
    expected = sum(ACROSS_MAY if one.across_first else ALONG_MAY for one in found)
    asked = np.array([True, least, most], dtype=np.int64)
    assert ways(along, across, along + right, across + above, last, turns, asked) == expected


@given(problems(), st.sampled_from(list(Split)), st.randoms(use_true_random=False))
def test_pieces_are_laid_as_the_plain_packer_lays_them(problem: SheetProblem, split: Split, chance: object) -> None:
    problem = replace(problem, rules=SawRules())
    if not problem.kinds:
        return
    order = [kind for kind, one in enumerate(problem.kinds) for _ in range(one.count)]
    chance.shuffle(order)  # type: ignore[attr-defined]
    waiting = [0, 1, 0]
    expected = pack(problem, order, next_of(problem, list(waiting)), Fit.LEAST_GAP, split, Effort.of(ENDLESS, None))
    assert expected is not None

    search = SwiftGoalSearch(problem, 0, Effort.of(ENDLESS, None), lambda sheets: None)
    laid = np.zeros((3, problem.count, LAID_COLUMNS), dtype=np.int64)
    sheets = np.zeros((3, SHEET_COLUMNS), dtype=np.int64)
    homeless, told = np.zeros(problem.count, dtype=np.int64), np.zeros(TOLD, dtype=np.int64)
    told[WAITING] = 3
    free = np.zeros((problem.count + 4, FREE_COLUMNS), dtype=np.int64)
    fits = lay(
        search.kinds, search.stocks, search.weights, np.array(order), len(order), np.array(waiting), float("inf"),
        True, SPLITS[split], search.rules, free, laid, sheets, homeless, told,
    )  # fmt: skip
    assert fits
    assert as_packed(sheets[: told[BEGUN]], laid) == expected[0]
    assert homeless[: told[HOMELESS]].tolist() == expected[1]


@examples(60)
@given(problems(), st.integers(0, 3), st.integers(0, 3), st.integers(0, 2**40))
def test_a_search_loses_no_piece_and_breaks_no_rule(problem: SheetProblem, first: int, second: int, seed: int) -> None:
    """Whatever it aims at, and however long it is let: in any state all pieces are laid once or have no place."""
    wanted = Counter({kind: one.count for kind, one in enumerate(problem.kinds)})
    # Each piece on a sheet of its own is a plan, of which the purchase then keeps what it has sheets for.
    start: list[PackedSheet] = []
    for kind, one in enumerate(problem.kinds):
        for _ in range(one.count):
            effort = Effort.of(ENDLESS, None)
            single = pack(problem, [kind], next_of(problem, [1, 0]), Fit.LEAST_GAP, Split.LARGER, effort)
            assert single is not None
            start += single[0]
    if not start or not first + second:
        return
    seen: list[PackedSheet] = []
    effort = Effort.of(ENDLESS, None)
    search = SwiftGoalSearch(problem, seed, effort, seen.extend)
    search.weigh([float(kind.area) for kind in problem.kinds])
    search.aim(start, (first, second))
    for _ in range(3):
        all_placed = search.run(effort.steps + 40)
        laid = Counter(piece[0] for sheet in search.laid for piece in sheet.laid)
        assert laid + Counter(search.without_place) == wanted
        assert all_placed is not bool(search.without_place)
        bought = Counter(sheet.sheet for sheet in search.laid)
        assert bought[0] <= first
        assert bought[1] <= second
        for sheet in [*search.laid, *seen]:
            assert _stands(problem, sheet)


def _stands(problem: SheetProblem, sheet: PackedSheet) -> bool:
    """Whether the saw can part the sheet into what is said to lie on it, and the sums about it are right."""
    whole = problem.sheets[sheet.sheet]
    rectangles: list[Rectangle] = []
    for kind, x, y, shape, *_ in sheet.laid:
        along, across = problem.kinds[kind].shapes[shape]
        rectangles.append((x, y, x + along, y + across))
    rules = problem.rules
    most_turns = None if rules.most_turns > 2 * len(rectangles) else rules.most_turns
    return sheet.used == sum(problem.kinds[laid[0]].area for laid in sheet.laid) and parts_within_limits(
        (0, 0, whole.along, whole.across), rectangles, 0, rules.least, most_turns
    )
