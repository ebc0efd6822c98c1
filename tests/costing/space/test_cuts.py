"""Convex pieces and their cuts: what stays, by what name, and that nothing is lost or rounded."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.costing.space.laid import MM, ORIGIN, any_place, any_turn, block, mm, splayed_leg
from tests.harness.examples import examples
from webapp.costing.space.bodies import (
    FAR_END,
    START_END,
    Body,
    PieceError,
    Plane,
    box_body,
    faces_named,
    moved,
    pairs_round,
    plane_of,
    turned,
    volume_of,
)
from webapp.costing.space.cuts import above, below, cut, stick_between
from webapp.costing.space.turns import quarter_turn, tilted, unit

F = Fraction
NAMES = {"start end", "far end", "first edge", "second edge", "first face", "second face"}
SEEDS = st.integers(0, 2**32)


def is_whole(body: Body) -> bool:
    """Every corner lies within every face, each edge belongs to two faces, once each way, and corners, edges and faces
    count as those of a convex piece do (corners + faces = edges + 2)."""
    within = all(plane_of(body, face).beyond(corner) <= 0 for face in body.faces for corner in body.corners)
    flat = all(plane_of(body, face).beyond(body.corners[place]) == 0 for face in body.faces for place in face.corners)
    edges = Counter(pair for face in body.faces for pair in pairs_round(face.corners))
    paired = all(count == 1 and edges[other, one] == 1 for (one, other), count in [*edges.items()])
    return within and flat and paired and len(body.corners) + len(body.faces) == len(edges) // 2 + 2


def test_a_box_knows_its_faces_in_its_own_terms() -> None:
    """A side panel: its length upright, its width to the back, its thickness to the right."""
    side = box_body("Side", 1, mm(700, 300, 18), mm(5, 6, 7), axes=(2, 1, 0))
    assert is_whole(side)
    assert side.square
    assert volume_of(side) == 700 * 300 * 18 * F(MM) ** 3
    lies = {face.name: plane_of(side, face) for face in side.faces}
    assert lies[START_END] == Plane((F(0), F(0), F(-1)), F(-7 * MM))
    assert lies[FAR_END] == Plane(unit(2), F(707 * MM))
    assert lies["second edge"] == Plane(unit(1), F(306 * MM))
    assert lies["second face"] == Plane(unit(0), F(23 * MM))
    assert lies["first face"].normal == (F(-1), F(0), F(0))
    assert side.own(mm(1, 2, 3)) == mm(3, 2, 1)


def test_a_size_of_nothing_is_said() -> None:
    with pytest.raises(PieceError, match="Rail 2 has no width") as said:
        box_body("Rail", 2, mm(700, 0, 18), ORIGIN)
    assert (said.value.part, said.value.number) == ("Rail", 2)


def test_a_quarter_turn_leaves_a_box_square_and_any_other_does_not() -> None:
    box = block((0, 0, 0), (300, 200, 100))
    assert turned(box, quarter_turn(2), ORIGIN).square
    assert not turned(box, tilted(F(3), F(0)), ORIGIN).square
    assert not cut(box, below(F(50 * MM)), FAR_END).square


@given(seed=SEEDS)
@examples(120)
def test_a_piece_that_is_turned_and_moved_stays_what_it_is(seed: int) -> None:
    chance = Random(seed)
    box = block((0, 0, 0), (chance.randint(1, 900), chance.randint(1, 90), chance.randint(1, 90)))
    other = moved(turned(box, any_turn(chance), any_place(chance)), any_place(chance))
    assert is_whole(other)
    assert volume_of(other) == volume_of(box)
    assert [face.name for face in other.faces] == [face.name for face in box.faces]
    spread = [max(each) - min(each) for each in zip(*(other.own(corner) for corner in other.corners), strict=True)]
    assert spread == [*box.corners[7]], "length, width and thickness to the last fraction of a nanometre"


@given(seed=SEEDS)
@examples(90)
def test_what_a_plane_keeps_and_what_it_takes_are_together_the_piece(seed: int) -> None:
    chance = Random(seed)
    piece = turned(block((-50, -40, -30), (100, 80, 60)), any_turn(chance), ORIGIN)
    for _ in range(3):
        normal = (F(chance.randint(-99, 99)), F(chance.randint(-99, 99)), F(chance.randint(1, 99)))
        plane = Plane(normal, F(chance.randint(-4000 * MM, 4000 * MM)))
        try:
            kept = cut(piece, plane, FAR_END)
            taken = cut(piece, plane.other_side(), START_END)
        except PieceError:
            continue
        if kept is piece or taken is piece:
            continue
        assert is_whole(kept)
        assert is_whole(taken)
        assert volume_of(kept) + volume_of(taken) == volume_of(piece)
        assert {face.name for face in kept.faces} <= NAMES
        assert len({face.name for face in kept.faces} - {face.name for face in piece.faces}) <= 1
        piece = kept


def test_a_cut_takes_the_place_and_the_name_of_the_end() -> None:
    rail = box_body("Rail", 1, mm(600, 60, 20), ORIGIN)
    mitred = cut(rail, Plane((F(1), F(1), F(0)), F(600 * MM)), FAR_END)
    assert is_whole(mitred)
    (far,) = faces_named(mitred, FAR_END)
    assert plane_of(mitred, far).normal == (F(1), F(1), F(0))
    assert {mitred.corners[place][:2] for place in far.corners} == {(F(600 * MM), F(0)), (F(540 * MM), F(60 * MM))}
    assert volume_of(mitred) == (600 * 60 - 60 * 60 // 2) * 20 * F(MM) ** 3


def test_an_end_that_is_cut_in_part_has_two_faces() -> None:
    rail = box_body("Rail", 1, mm(600, 60, 20), ORIGIN)
    clipped = cut(rail, Plane((F(1), F(1), F(0)), F(630 * MM)), FAR_END)
    assert len([*faces_named(clipped, FAR_END)]) == 2
    assert is_whole(clipped)


def test_a_cut_along_edges_and_through_corners_makes_no_corner_twice() -> None:
    """From one long edge to the opposite one: a wedge of five faces and six corners, half of the block."""
    wedge = cut(block((0, 0, 0), (100, 60, 60)), Plane((F(0), F(1), F(1)), F(60 * MM)), "second face")
    assert (len(wedge.corners), len(wedge.faces)) == (6, 5)
    assert is_whole(wedge)
    assert volume_of(wedge) == 100 * 60 * 60 // 2 * F(MM) ** 3
    # Through three corners: a block without a sixth of itself.
    plane = Plane((F(1), F(1), F(1)), F(120 * MM))
    rest = cut(block((0, 0, 0), (60, 60, 60)), plane, FAR_END)
    assert (len(rest.corners), len(rest.faces)) == (7, 7)
    assert is_whole(rest)
    assert volume_of(rest) == F(60**3 * 5, 6) * F(MM) ** 3


def test_what_only_touches_cuts_nothing_and_what_takes_all_is_said() -> None:
    rail = box_body("Rail", 3, mm(600, 60, 20), ORIGIN)
    assert cut(rail, below(F(20 * MM)), FAR_END) is rail
    with pytest.raises(PieceError, match="Rail 3 is cut away wholly at its far end: nothing is left"):
        cut(rail, below(F(0)), FAR_END)


def test_a_stick_that_can_not_end_there_is_said() -> None:
    section, straight = (F(40 * MM), F(40 * MM)), quarter_turn(0, 0)
    with pytest.raises(PieceError, match="what its far end is cut to does not cross its length"):
        stick_between("Leg", 1, section, straight, ORIGIN, (above(F(0)), Plane(unit(0), F(90 * MM))))
    with pytest.raises(PieceError, match="what its start end is cut to"):
        stick_between("Leg", 1, section, straight, ORIGIN, (below(F(0)), below(F(700 * MM))))
    with pytest.raises(PieceError, match="Leg 1 comes to nothing: its two ends pass each other"):
        stick_between("Leg", 1, section, straight, ORIGIN, (above(F(700 * MM)), below(F(0))))


def test_a_splayed_leg_ends_exactly_level() -> None:
    leg = splayed_leg(8, 5)
    assert is_whole(leg)
    assert [face.name for face in leg.faces].count(START_END) == 1
    for end, level in ((START_END, F(0)), (FAR_END, F(700 * MM))):
        (face,) = faces_named(leg, end)
        assert {leg.corners[place][2] for place in face.corners} == {level}
    # Section times the way along the middle: 40 x 40 x 709.527 mm.
    assert float(volume_of(leg)) / MM**3 == pytest.approx(1600 * 709.527, rel=1e-6)
