"""The compiled laying lays as plain code does, and its search loses no piece whatever it is asked."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import combinations, product
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from tests.costing.cutting.plain_laying import lay_plainly
from tests.cut_parting import Rectangle, parts_within_limits
from tests.harness.examples import examples
from webapp.costing.cutting.ask.effort import Effort
from webapp.costing.cutting.ask.model import SheetPiece, SheetRequest, SheetStock, Trim
from webapp.costing.cutting.ask.saw_rules import ACROSS, ALONG, ANY_TURNS, NOT_CUT, Made, SawRules
from webapp.costing.cutting.laying.packing import Fit, Laid, PackedSheet, Split, boxes_on, pack
from webapp.costing.cutting.laying.problem import SheetProblem, pose_sheet_problem
from webapp.costing.cutting.laying.saw_laying import ACROSS_MAY, ALONG_MAY, ways
from webapp.costing.cutting.sheets.goal_search import GoalSearch

ENDLESS = 10**9

sides = st.integers(1, 40)
orders = st.randoms(use_true_random=False)


@st.composite
def problems(draw: st.DrawFn, method: str = "saw") -> SheetProblem:
    """Some pieces, some of them kept together, and two sizes of sheets, in whatever rules of the saw."""
    rows = draw(st.lists(st.tuples(sides, sides, st.integers(1, 4), st.booleans()), min_size=1, max_size=8))
    groups = draw(st.lists(st.sampled_from(["", "", "fronts", "doors"]), min_size=8, max_size=8))
    pieces = tuple(
        SheetPiece(f"p{number}", length, width, count, may_turn=may_turn, together=groups[number])
        for number, (length, width, count, may_turn) in enumerate(rows)
    )
    stocks = tuple(
        SheetStock(
            f"s{number}", draw(st.integers(20, 60)), draw(st.integers(20, 60)), Trim(0, 0, 0, 0), Fraction(10 + number)
        )
        for number in range(2)
    )
    strip, turns = draw(st.sampled_from([(0, None), (0, 1), (0, 2), (6, None), (9, 2)]))
    request = SheetRequest(draw(st.integers(0, 2)), method, stocks, pieces, smallest_strip=strip, most_turns=turns)  # type: ignore[arg-type]
    return pose_sheet_problem(request)[0]


def shuffled(problem: SheetProblem, chance: Random) -> list[int]:
    order = [kind for kind, one in enumerate(problem.kinds) for _ in range(one.count)]
    chance.shuffle(order)
    return order


@given(
    sides, sides, st.integers(0, 20), st.integers(0, 20), st.sampled_from([NOT_CUT, ACROSS, ALONG]),
    st.integers(0, 3), st.integers(0, 25), st.integers(0, 4),
)  # fmt: skip
def test_ways_are_those_of_the_saws_rules(
    along: int, across: int, right: int, above: int, last: int, turns: int, least: int, most: int
) -> None:
    rules = SawRules(least, most)
    freeing = rules.freeing(along, across, along + right, across + above, Made(last, turns))
    expected = sum(ACROSS_MAY if one.across_first else ALONG_MAY for one in freeing)
    asked = (along, across, ANY_TURNS, ANY_TURNS, ANY_TURNS, along + right, across + above, last, turns, least, most)
    assert ways(*asked) == expected


@given(problems(), st.sampled_from(list(Fit)), st.sampled_from(list(Split)), orders)
def test_pieces_are_laid_as_plain_code_lays_them(problem: SheetProblem, fit: Fit, split: Split, chance: Random) -> None:
    """Within the saw's rules, those of a group as one block: the same places, one after another."""
    order = shuffled(problem, chance)
    waiting = [(0, 1), (1, 1), (0, 1)]
    answer = pack(problem, order, waiting, fit, split, Effort.of(ENDLESS, None))
    assert answer is not None
    sheets, homeless = lay_plainly(problem, order, waiting, fit, split)
    laid = [(sheet.sheet, told(problem, sheet.laid)) for sheet in answer[0]]
    assert laid == [(sheet, told(problem, pieces)) for sheet, pieces in sheets]
    assert answer[1] == homeless
    all_of_it = pack(problem, order, waiting, fit, split, Effort.of(ENDLESS, None), all_or_none=True)
    assert all_of_it == (None if homeless else answer)


def told(problem: SheetProblem, laid: list[Laid]) -> list[Laid]:
    """What was laid; which of two cuts comes first says nothing where one cut frees the piece."""
    return [
        (kind, x, y, shape, along, across, False)
        if problem.kinds[kind].shapes[shape][0] == along or problem.kinds[kind].shapes[shape][1] == across
        else (kind, x, y, shape, along, across, first)
        for kind, x, y, shape, along, across, first in laid
    ]


@given(problems("router"), st.sampled_from(list(Fit)), st.sampled_from(list(Split)), orders)
def test_the_router_leaves_nothing_out_that_an_open_sheet_holds(
    problem: SheetProblem, fit: Fit, split: Split, chance: Random
) -> None:
    """Pieces lie apart on the sheet, the largest empty rectangle is what it is said to be, and what has no place
    fits none of the empty ones that are left."""
    answer = pack(problem, shuffled(problem, chance), [(0, 1), (1, 2)], fit, split, Effort.of(ENDLESS, None))
    assert answer is not None
    for sheet in answer[0]:
        whole = problem.sheets[sheet.sheet]
        boxes = [
            (x, y, x + problem.kinds[kind].shapes[shape][0], y + problem.kinds[kind].shapes[shape][1])
            for kind, x, y, shape, *_ in sheet.laid
        ]
        assert all(box[0] >= 0 and box[1] >= 0 and box[2] <= whole.along and box[3] <= whole.across for box in boxes)
        assert not any(overlap(one, other) for one, other in combinations(boxes, 2))
        empty = empty_boxes(boxes, whole.along, whole.across)
        assert sheet.spare == max(((box[2] - box[0]) * (box[3] - box[1]) for box in empty), default=0)
        for kind in answer[1]:
            for along, across in problem.kinds[kind].shapes:
                assert not any(box[2] - box[0] >= along and box[3] - box[1] >= across for box in empty)


def empty_boxes(boxes: list[Rectangle], along: int, across: int) -> list[Rectangle]:
    """Every box between edges of what lies there that holds nothing of it."""
    xs = sorted({0, along, *(x for box in boxes for x in (box[0], box[2]))})
    ys = sorted({0, across, *(y for box in boxes for y in (box[1], box[3]))})
    candidates = (
        (left, low, right, high) for (left, right), (low, high) in product(combinations(xs, 2), combinations(ys, 2))
    )
    return [one for one in candidates if not any(overlap(one, box) for box in boxes)]


def overlap(one: Rectangle, other: Rectangle) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@examples(60)
@given(
    st.sampled_from(["saw", "router"]).flatmap(problems), st.integers(0, 3), st.integers(0, 3), st.integers(0, 2**40)
)
def test_a_search_loses_no_piece_and_breaks_no_rule(problem: SheetProblem, first: int, second: int, seed: int) -> None:
    """Whatever it aims at, and however long it is let: in any state all pieces are laid once or have no place."""
    wanted = Counter({kind: one.count for kind, one in enumerate(problem.kinds)})
    # Each piece on a sheet of its own is a plan, of which the purchase then keeps what it has sheets for.
    start: list[PackedSheet] = []
    for kind, one in enumerate(problem.kinds):
        for _ in range(one.count):
            effort = Effort.of(ENDLESS, None)
            single = pack(problem, [kind], [(0, 1), (1, 1)], Fit.LEAST_GAP, Split.LARGER, effort)
            assert single is not None
            start += single[0]
    if not start or not first + second:
        return
    seen: list[PackedSheet] = []
    effort = Effort.of(ENDLESS, None)
    search = GoalSearch(problem, seed, effort, seen.extend)
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
    """Whether the sheet can be parted into what is said to lie on it, and the sums about it are right."""
    if sheet.used != sum(problem.kinds[laid[0]].area for laid in sheet.laid):
        return False
    whole = problem.sheets[sheet.sheet]
    rectangles: list[Rectangle] = boxes_on(problem, sheet)
    if problem.by_router:
        inside = all(box[2] <= whole.along and box[3] <= whole.across for box in rectangles)
        return inside and not any(overlap(one, other) for one, other in combinations(rectangles, 2))
    rules = problem.rules
    most_turns = None if rules.most_turns > 2 * len(rectangles) else rules.most_turns
    return parts_within_limits((0, 0, whole.along, whole.across), rectangles, 0, rules.least, most_turns)
