"""The saw sequence of any sheet that can be parted: replayed cut by cut it gives just its pieces."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction

from hypothesis import assume, given
from hypothesis import strategies as st

from tests.cut_parting import parts_edge_to_edge, parts_within_limits
from tests.harness.examples import examples
from webapp.costing.cutting.ask.model import CutSheet, Placement, SheetPiece, SheetRequest, SheetStock, Trim
from webapp.costing.cutting.saw.arranging import arranged
from webapp.costing.cutting.saw.fence_settings import SawPlan, saw_plan
from webapp.costing.cutting.saw.money import saw_work
from webapp.costing.cutting.saw.parting import Area
from webapp.costing.cutting.saw.sequence import SawCut, SawnSheet, offcuts, sawn_sheet, sequence_totals, workpieces
from webapp.costing.plans.lifting import lifting_of
from webapp.costing.settings.table import default_rates

AXIS = {"cross": 0, "rip": 1}


def replay(sheet: SawnSheet, cuts: list[SawCut]) -> list[Area]:
    """Saw a sheet: every cut has to find its workpiece, run over all of it, and leave what it says. What is left."""
    lying: Counter[Area] = Counter({(0, 0, sheet.length, sheet.width): 1})
    for cut in cuts:
        assert lying[cut.area] == 1, f"{cut} is made on something that is not there"
        lying[cut.area] -= 1
        axis, area = AXIS[cut.direction], cut.area
        # Across the cut the blade's path is as wide as the workpiece; along the axis it lies within it.
        assert (cut.at[1 - axis], cut.at[3 - axis]) == (area[1 - axis], area[3 - axis])
        assert cut.length == area[3 - axis] - area[1 - axis]
        assert area[axis] <= cut.at[axis] <= cut.at[axis + 2] <= area[axis + 2]
        assert cut.at[axis + 2] - cut.at[axis] <= sheet.kerf
        below, above = list(area), list(area)
        below[axis + 2], above[axis] = cut.at[axis], cut.at[axis + 2]
        sides = [(side[0], side[1], side[2], side[3]) for side in (below, above)]
        if cut.at[axis + 2] - cut.at[axis] < sheet.kerf:
            assert any(side[axis] == side[axis + 2] for side in sides), f"{cut} is narrower than the blade"
        inner, outer = reversed(sides) if cut.far_edge else sides
        assert (cut.inner.area, cut.outer.area) == (inner, outer)
        assert cut.fence == inner[axis + 2] - inner[axis]
        for side in sides:
            if side[axis] < side[axis + 2]:
                lying[side] += 1
    return list(lying.elements())


@st.composite
def partable_sheets(draw: st.DrawFn) -> SawnSheet:
    """A sheet that was sawn up at random; pieces lie in what came off, flush or with room around them."""
    kerf = draw(st.integers(0, 4))
    trim = Trim(*draw(st.tuples(*[st.integers(0, 6)] * 4)))
    length, width = draw(st.integers(60, 400)), draw(st.integers(60, 300))
    boxes: list[Area] = []

    def saw(area: Area, depth: int) -> None:
        along, across = area[2] - area[0], area[3] - area[1]
        how = draw(st.sampled_from(["cross", "rip", "even", "piece", "loose", "waste"])) if depth else "piece"
        axis = AXIS.get(how, draw(st.integers(0, 1)))
        extent = (along, across)[axis]
        if how in AXIS and extent > 2 * kerf + 10:
            at = area[axis] + draw(st.integers(5, extent - kerf - 5))
            places = [(area[axis], at), (at + kerf, area[axis + 2])]
        elif how == "even" and extent > 4 * kerf + 20:
            each = (extent - 3 * kerf) // draw(st.integers(4, 5))
            places = [(area[axis] + n * (each + kerf), area[axis] + n * (each + kerf) + each) for n in range(4)]
        else:
            if how == "loose" and min(along, across) > 8:
                left, low, right, high = draw(st.tuples(*[st.integers(0, 3)] * 4))
                boxes.append((area[0] + left, area[1] + low, area[2] - right, area[3] - high))
            elif how != "waste" and min(along, across) > 0:
                boxes.append(area)
            return
        for start, end in places:
            part = (start, area[1], end, area[3]) if axis == 0 else (area[0], start, area[2], end)
            saw(part, depth - 1)

    saw((trim.start, trim.low, length - trim.end, width - trim.high), draw(st.integers(1, 4)))
    narrow, smallest = draw(st.integers(0, 40)), draw(st.sampled_from([0, 0, 5, 30]))
    turns = draw(st.sampled_from([None, 1, 2]))
    return SawnSheet(length, width, trim, kerf, tuple(boxes), (50, 20), narrow, smallest, turns)


def as_plan(sheet: SawnSheet) -> tuple[SheetRequest, CutSheet]:
    """The same sheet as a question and a sheet of its answer; pieces of one size are one kind."""
    sizes = sorted({(box[2] - box[0], box[3] - box[1]) for box in sheet.boxes})
    names = {size: f"{size[0]} x {size[1]}" for size in sizes}
    pieces = tuple(SheetPiece(names[size], *size, 1, may_turn=False) for size in sizes)
    stock = SheetStock("s", sheet.length, sheet.width, sheet.trim, Fraction(1))
    placed = tuple(Placement(names[box[2] - box[0], box[3] - box[1]], box[0], box[1], False) for box in sheet.boxes)
    request = SheetRequest(sheet.kerf, "saw", (stock,), pieces, sheet.smallest, sheet.most_turns)
    return request, CutSheet("s", 1, placed)


def cuts_of(sheet: SawnSheet) -> list[SawCut]:
    return [cut for piece in workpieces(sheet) for cut in piece.cuts]


@examples(100)
@given(partable_sheets())
def test_replaying_the_cuts_yields_exactly_the_pieces(sheet: SawnSheet) -> None:
    left = Counter(replay(sheet, cuts_of(sheet)))
    assert not Counter(sheet.boxes) - left
    named = [one for cut in cuts_of(sheet) for one in (cut.inner, cut.outer) if one.kind == "piece"]
    assert all(sheet.boxes[one.place] == one.area for one in named)
    assert len({one.place for one in named}) == len(named)
    # Nothing of all that is left holds a piece beside the pieces themselves, and offcuts are what they are said to be.
    for area in left - Counter(sheet.boxes):
        assert not any(area[0] < b[2] and b[0] < area[2] and area[1] < b[3] and b[1] < area[3] for b in sheet.boxes)
    kept = [area for area in left - Counter(sheet.boxes) if sorted((area[2] - area[0], area[3] - area[1])) >= [20, 50]]
    large = [area for area in kept if min(area[2] - area[0], area[3] - area[1]) >= 20]
    usable = [area for area in large if area[2] - area[0] >= 50 or area[3] - area[1] >= 50]
    assert not Counter(offcuts(sheet)) - Counter(usable)


@examples(50)
@given(partable_sheets())
def test_the_order_of_the_settings_replays_as_well_and_counts_each_cut_once(sheet: SawnSheet) -> None:
    plan = saw_plan([sheet, sheet])
    for place in (0, 1):
        made = sorted(
            (made for one in plan.settings for made in one.cuts if made.sheet == place), key=lambda one: one.number
        )
        assert [one.number for one in made] == list(range(1, len(made) + 1))
        assert not Counter(sheet.boxes) - Counter(replay(sheet, [one.cut for one in made]))
    totals = sequence_totals(*as_totals(sheet))
    assert totals == (len(cuts_of(sheet)), sum(cut.length for cut in cuts_of(sheet)))
    assert_settings_are_used(plan)


def walked(area: Area, boxes: list[Area], kerf: int, axis: int) -> int:
    """Cuts that free the boxes of an area, counted by walking over it: at each way by every cut over the whole of it.

    Between two groups of pieces goes one cut, or two where more than the kerf lies between them; one takes off what is
    left at each end. What a cut frees is walked the other way.
    """
    if not boxes or boxes == [area]:
        return 0
    groups: list[list[Area]] = []
    for box in sorted(boxes, key=lambda one: one[axis]):
        if groups and box[axis] < max(one[axis + 2] for one in groups[-1]) + kerf:
            groups[-1].append(box)
        else:
            groups.append([box])
    ends = [(min(one[axis] for one in group), max(one[axis + 2] for one in group)) for group in groups]
    if len(ends) == 1 and ends[0] == (area[axis], area[axis + 2]):
        # No cut gets on this way.
        return 0
    edges = [area[axis], *(edge for pair in ends for edge in pair), area[axis + 2]]
    gaps = [edges[place + 1] - edges[place] for place in range(0, len(edges), 2)]
    cuts = sum(gap > 0 for gap in (gaps[0], gaps[-1])) + sum(1 + (gap > kerf) for gap in gaps[1:-1])
    for group, (start, end) in zip(groups, ends, strict=True):
        slab = (start, area[1], end, area[3]) if axis == 0 else (area[0], start, area[2], end)
        cuts += walked(slab, group, kerf, 1 - axis)
    return cuts


@examples(100)
@given(partable_sheets(), st.integers(1, 3), st.sampled_from([5, 12, 30]))
def test_the_two_classes_of_cuts_are_all_that_a_walk_over_the_sheet_counts(
    drawn: SawnSheet, alike: int, kilograms: int
) -> None:
    sheet = replace(drawn, smallest=0, most_turns=None, narrow=0)
    request, cut = as_plan(sheet)
    found = saw_work(request, (replace(cut, count=alike),), lifting_of(default_rates(), Fraction(kilograms, 10**4)))
    trims = sum(1 for lost in sheet.trim if lost)
    boxes = list(sheet.boxes)
    ways = {walked(sheet.usable, boxes, sheet.kerf, axis) for axis in (0, 1)}
    assert (found.parting + found.at_stop) / alike - trims in ways
    # Whoever trims or parts a full sheet has somebody with him; at the stop nobody has.
    assert found.helpers >= found.parting >= alike * (trims + (max(ways) > 0))


def as_totals(sheet: SawnSheet) -> tuple[SheetRequest, list[CutSheet]]:
    request, cut = as_plan(sheet)
    return request, [cut]


def assert_settings_are_used(plan: SawPlan) -> None:
    for setting in plan.settings:
        assert setting.cuts
        assert {(made.cut.direction, made.cut.fence) for made in setting.cuts} == {(setting.direction, setting.fence)}


@examples(60)
@given(partable_sheets())
def test_an_arranged_sheet_is_the_same_sheet_to_saw(sheet: SawnSheet) -> None:
    request, cut = as_plan(sheet)
    moved = arranged(request, cut)
    after = sawn_sheet(request, moved, sheet.keep, sheet.narrow)
    assert Counter((put.piece, put.turned) for put in moved.placements) == Counter(
        (put.piece, put.turned) for put in cut.placements
    )
    usable = after.usable
    for box in after.boxes:
        assert usable[0] <= box[0] < box[2] <= usable[2]
        assert usable[1] <= box[1] < box[3] <= usable[3]
    assert parts_edge_to_edge(list(after.boxes), sheet.kerf)
    assert not Counter(after.boxes) - Counter(replay(after, cuts_of(after)))
    assert len(cuts_of(after)) <= len(cuts_of(sheet)) or sum(offcut_sizes(after)) > sum(offcut_sizes(sheet))


def offcut_sizes(sheet: SawnSheet) -> list[int]:
    return [(area[2] - area[0]) * (area[3] - area[1]) for area in offcuts(sheet)]


@examples(40)
@given(partable_sheets(), st.sampled_from([0, 5, 15, 30, 50]), st.sampled_from([None, 1, 2]))
def test_a_sequence_that_keeps_the_limits_of_the_saw_is_one_by_the_rules_too(
    sheet: SawnSheet, smallest: int, turns: int | None
) -> None:
    assume(len(sheet.boxes) <= 7)
    limited = replace(sheet, smallest=smallest, most_turns=turns, narrow=max(sheet.narrow, smallest))
    kept = all(
        min(cut.area[2] - cut.area[0], cut.area[3] - cut.area[1]) >= smallest and (turns is None or cut.level <= turns)
        for piece in workpieces(limited)
        for cut in piece.cuts
        if piece.level >= 0
    )
    if kept:
        assert parts_within_limits(limited.usable, list(limited.boxes), limited.kerf, smallest, turns)
