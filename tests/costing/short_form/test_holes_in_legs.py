"""Holes and openings in the legs of a folded part: where they are, what they take off, and what is checked of them."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.costing.short_form.folds_case import MM, take_tray, tray
from tests.costing.short_form.rack import check_of, kilograms, refused
from webapp.costing.takeoff.features import Hole, Pocket
from webapp.documents.workshop.details import fold_lines
from webapp.pictures.bench.thing import thing_of

LIPS = "  lips: Lips; leg up along front and back of tray"
RIMS = f"{LIPS}\n  rim: Rim; 12 mm inwards on lips"
PEG = "holes:\n  peg: Peg; 6 mm hole through tray; in the leg of {}\n"


def pierced(folds: str, made: str) -> str:
    return tray((LIPS, folds), ("scope:", f"{made}scope:"))


def test_a_hole_is_in_every_leg_of_its_row_and_lies_on_the_flat() -> None:
    # 100 from the left and 9 under the free edge: 21 up from the outside of the flat, and 18.35 beyond it when flat.
    found = take_tray(pierced(LIPS, PEG.format("lips; 9 mm from top, 100 mm from left")))
    at = [(hole.along, hole.up) for hole in found.made["tray"]]
    assert at == [(100 * MM, -18_350_000), (100 * MM, 300 * MM + 18_350_000)]
    assert found.drivers["drill_steel"].value == 2
    part = found.parts[0]
    # The flat goes on 27.35 beyond each outside: the hole is 9 from its edge again.
    assert [round(line[2]) for line in fold_lines(part, "x")] == [27_350_000, 27_350_000]


def test_a_row_in_a_return_lies_beyond_both_folds() -> None:
    # In the middle of 12: 6 up the return; 30 - 2.65 and 6 - 2.65 beyond the outside of the flat.
    row = "holes:\n  row: Row; 4 mm holes through tray; in the leg of rim; 3 by 1; 20 mm apart\n"
    found = take_tray(pierced(RIMS, row))
    low, high = found.made["tray"]
    assert isinstance(low, Hole)
    assert (low.along, low.up, low.columns, low.column_step) == (180 * MM, -30_700_000, 3, 20 * MM)
    assert high.up == 330_700_000


def test_a_row_in_a_leg_at_an_end_is_turned_on_the_flat() -> None:
    row = "holes:\n  row: Row; 4 mm holes through tray; in the leg of lips; 3 by 1; 20 mm apart; 10 mm from top\n"
    found = take_tray(pierced("  lips: Lips; leg up along left of tray", row))
    (one,) = found.made["tray"]
    assert isinstance(one, Hole)
    assert (one.columns, one.rows, one.row_step) == (1, 3, 20 * MM)
    # Along y the leg is 300 long: 130, 150 and 170.
    assert (one.along, one.up) == (-(20 * MM - 2_650_000), 130 * MM)


def test_an_opening_in_legs_is_cut_and_weighs_no_more() -> None:
    slot = "openings:\n  slot: Slot; 40 mm x 8 mm in tray; in the leg of lips; 60 mm from right\n"
    plain, found = take_tray(pierced(LIPS, "")), take_tray(pierced(LIPS, slot))
    assert kilograms(plain) - kilograms(found) == pytest.approx(2 * 40 * 8 * 1.5 * 7.85e-6, abs=1e-12)
    low, _ = found.made["tray"]
    assert isinstance(low, Pocket)
    # 400 - 60 - 40; in the middle of 30, from 11 to 19 up.
    assert (low.side, low.along, low.up) == ("face", 300 * MM, -(19 * MM - 2_650_000))
    assert (low.length, low.width) == (40 * MM, 8 * MM)


@pytest.mark.parametrize(("degrees", "wanted"), [("90", Fraction(21, 4)), ("45", Fraction(9, 4))])
@pytest.mark.outside(source="2.5 thicknesses and the radius from a hole's rim to a square fold", kind="common practice")
def test_a_hole_keeps_away_from_its_fold(degrees: str, wanted: Fraction) -> None:
    # Square 2.5 x 1.5 + 1.5 = 5.25; by 45 degrees the fold ends 3 x tan 22.5 = 1.2426 in: 2.25 beyond that.
    far = wanted + (Fraction(12426, 10_000) if degrees == "45" else 0)
    beside = {}
    for off in (far + 3 - Fraction(1, 20), far + 3 + Fraction(1, 20)):
        text = pierced(f"{LIPS}; bent {degrees} degrees", PEG.format(f"lips; {float(off):.4f} mm from bottom"))
        check = check_of(take_tray(text), "folds/tray/beside/peg")
        beside[check.outcome] = check.held
    assert beside.keys() == {"failure", "pass"}
    held = beside["pass"]
    assert held is not None
    assert float(held.needs) / MM == pytest.approx(float(far), abs=1e-4)


def test_a_folded_edge_is_no_edge_of_the_sheet() -> None:
    # 6 from the outside of the fold is far enough from that; from an edge of the sheet a hole of 6 would want 6 + 3.
    found = take_tray(pierced(LIPS, PEG.format("lips; 8.5 mm from bottom")))
    assert check_of(found, "holes/peg/edge").sentence.startswith("Peg: 18.5 mm are left from a hole of 6 mm to the top")
    assert check_of(found, "folds/tray/beside/peg").outcome == "pass"


@pytest.mark.parametrize("degrees", ["30", "90", "135"])
def test_marks_lie_on_the_faces_of_their_legs(degrees: str) -> None:
    found = take_tray(pierced(RIMS.replace("of tray", f"of tray; bent {degrees} degrees"), PEG.format("rim")))
    thing = thing_of(found)
    marked = [piece for piece in thing.pieces if piece.strokes]
    assert len(marked) == 2
    for piece in marked:
        assert len({face for face, _, _ in piece.strokes}) == 2
        for face, start, _ in piece.strokes:
            first, second, third = (piece.corners[place] for place in piece.faces[face][:3])
            one = [there - here for here, there in zip(first, second, strict=True)]
            other = [there - here for here, there in zip(first, third, strict=True)]
            normal = [one[place - 2] * other[place - 1] - one[place - 1] * other[place - 2] for place in range(3)]
            long = sum(each * each for each in normal) ** 0.5
            off = sum(way * (at - here) for way, at, here in zip(normal, start, first, strict=True)) / long
            assert off == pytest.approx(0, abs=1e-5)


@pytest.mark.parametrize(
    ("made", "said"),
    [
        (PEG.format("lip"), "'lip' is no row of folds; did you mean 'lips'?"),
        ("holes:\n  peg: Peg; 6 mm hole 1 mm deep in tray, top; in the leg of lips\n", "goes through that and nothing"),
        ("holes:\n  peg: Peg; 6 mm hole through other; in the leg of lips\n", "the folds 'lips' are of 'tray', and"),
    ],
)
def test_what_can_not_be_made_in_a_leg_is_said(made: str, said: str) -> None:
    other = "parts:\n  other: Other; of sheet; long 50 mm along x; wide 50 mm along y; z 200 mm"
    told = [*refused(pierced(LIPS, made).replace("parts:", other)).values()]
    assert any(said in sentence for sentence in told), told


def test_legs_that_lie_otherwise_are_said() -> None:
    found = take_tray(pierced("  lips: Lips; leg up along front and left of tray", PEG.format("lips")))
    told = {problem.field: problem.message for problem in found.problems}
    assert "which do not all lie alike: fold those that do in a row of their own" in told["holes.peg"]
    none = take_tray(pierced(f"{LIPS}; bent 2 degrees", PEG.format("lips")))
    assert any("in the legs of “Lips”, which are not folded" in problem.message for problem in none.problems)
