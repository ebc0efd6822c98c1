"""Parts that can't stand aslant as they are said to: each is named in a sentence at its place."""

from __future__ import annotations

import pytest

from tests.costing.takeoff.test_aslant import LEGS, read, said, take_off

UP = "x 100 mm and 500 mm; y 100 mm and 500 mm; z from 0 mm up to 700 mm"


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        (f"{LEGS}; {UP}; splayed 90 degrees from the front", "a tilt of 90° lays a part flat or turns it over"),
        (f"{LEGS}; {UP}; leans 120 degrees to the left", "a tilt of 120° lays a part flat or turns it over"),
        (f"{LEGS}; {UP}; splayed outwards", "'outwards' says no tilt; write it as '8 degrees from the front"),
        (f"{LEGS}; {UP}; splayed 8 degrees from the front, 5 degrees from the front", "from the front is said twice"),
        (f"{LEGS}; {UP}; splayed 8 degrees from the front; leans 5 degrees to the back", "not both"),
        (f"{LEGS}; {UP}; splayed 8 mm degrees from the front", "is a length, and a plain number is needed"),
        (f"{LEGS}; long 700 mm; {UP}; splayed 8 degrees from the front", "follows from its ends; leave it out"),
        (f"{LEGS}; x 100 mm and 500 mm; z 0 mm; splayed 8 degrees from the front", "stands between two levels"),
        (f"{LEGS}; {UP}; cut slantwise", "'slantwise' says no cut; there is 'square', 'level' and 'against' a part"),
        (f"{LEGS}; {UP}; cut against brace at both ends", "'brace' is no part that it could be cut against"),
        (f"{LEGS}; {UP}; cut against leg at both ends", "a part can't be cut against itself"),
        (f"{LEGS}; x from 0 mm to 500 mm; z 0 mm", "goes from one place to another along its length"),
        (f"{LEGS}; x 0 mm; z 0 mm", "'length' is missing"),
    ],
)
def test_a_line_that_makes_no_sense_is_refused_in_a_sentence(line: str, sentence: str) -> None:
    design, wrong = read({"leg": line})
    assert design is None
    assert any(sentence in each for each in wrong), wrong


POST = "of wood; long 700 mm along z; wide 40 mm along x; thick 40 mm; x 0 mm and 400 mm; z 0 mm"


@pytest.mark.parametrize(
    ("parts", "sentence"),
    [
        ({"leg": f"{LEGS}; {UP}; splayed 9 * 10 degrees from the front"},
         "The part “Leg” is left out. A tilt of 90° as seen from the front lays a part flat or turns it over"),
        ({"leg": f"{LEGS}; x 100 mm; y 100 mm; z from 0 mm up to 700 mm; splayed 8 degrees from the front"},
         "“Leg” is splayed, and its pieces stand at one place only: no left and right to splay them."),
        ({"leg": f"{LEGS}; {UP.replace('700', '0')}; splayed 8 degrees from the front"},
         "“Leg” goes up over no height: its ends are level."),
        ({"post": POST, "brace": "of wood; long along x; wide 40 mm along z; thick 20 mm; x from 100 mm to 300 mm; "
                                 "z from 800 mm up to 900 mm; cut against post at both ends"},
         "“Brace” 1 is cut against “Post”, and its middle line comes to no face of that."),
        ({"post": POST, "brace": "of wood; long along x; wide 40 mm along z; thick 20 mm; x from 0 mm to 40 mm; "
                                 "y 5 mm; z from 100 mm up to 120 mm; cut against post at both ends"},
         "“Brace” 1 has no room: the middle between its ends stands in “Post”."),
        ({"brace": "of wood; long along x; wide 40 mm along z; thick 20 mm; x from 40 mm to 40 mm; y 5 mm; "
                   "z from 100 mm up to 600 mm"}, "“Brace” 1 goes nowhere along x, which its length follows."),
        ({"brace": "of wood; long along x; wide 40 mm along z; thick 20 mm; x from 40 mm to 40 mm; y 5 mm; "
                   "z from 100 mm up to 100 mm"}, "The part “Brace” is left out. “Brace” 1 goes nowhere along x"),
        ({"brace": "of wood; long along x; wide 40 mm along z; thick 0 mm; x from 40 mm to 90 mm; y 5 mm; z 100 mm"},
         "“Brace” 1 has no thickness: it comes to nothing."),
        ({"post": POST.replace("x 0 mm and 400 mm", "x 0 mm and 400 mm and 900 mm"),
          "brace": "of wood; long along x; wide 20 mm along z; thick 20 mm; x from 200 mm to 250 mm and mirrored; "
                   "y 5 mm; z 100 mm; cut against post at both ends"},
         "come out 360 mm to 460 mm long: each length is a part."),
        ({"one": f"{LEGS}; x 0 mm; z from 0 mm up to other.top; leans 5 degrees to the right",
          "other": f"{LEGS}; x 200 mm; z from 0 mm up to one.top; leans 5 degrees to the right"},
         "goes round in a circle"),
        ({"low": POST.replace("400", "500"),
          "tie": "of wood; long along x; wide 20 mm along z; thick 20 mm; y 5 mm and 600 mm; z 100 mm; "
                 "cut against low at both ends"},
         "“Tie” 2 is cut against “Low”, and its middle line comes to no face"),
    ],
)  # fmt: skip
def test_a_part_that_can_not_stand_so_is_left_out_with_a_sentence(parts: dict[str, str], sentence: str) -> None:
    taken = take_off(parts)
    assert any(sentence in each for each in said(taken)), said(taken)


def test_pieces_that_are_as_long_and_not_cut_alike_are_no_one_part() -> None:
    """Of three legs the outer ones lean and the middle one does not; posts stand so that rails to the first two are as
    long along the middle: to the long point the one is 10 tan 4 = 0.7 longer."""
    face = "320 mm - 600 mm * tan(4) - 20 mm / cos(4)"
    taken = take_off({
        "leg": f"{LEGS}; x 300 mm and 340 mm and 700 mm; y (number - 1) * 500 mm; z from 0 mm up to 700 mm; "
               "splayed 4 degrees from the front",
        "post": "of wood; count 2; long 700 mm along z; wide 40 mm along x; thick 40 mm; "
                f"x (number - 1) * (340 mm - ({face})); y (number - 1) * 500 mm",
        "rail": "of wood; long along x; wide 20 mm along z; thick 20 mm; x from 150 mm to 230 mm; y 10 mm and 510 mm; "
                "z 90 mm; cut against post and leg",
    })  # fmt: skip
    found = said(taken)
    legs = "The pieces of “Leg” come out 700 mm to 701.71 mm long: each length is a part."
    assert any(legs in each for each in found)
    assert any(
        "The pieces of “Rail” come out 218 mm to 218.69 mm from long point to long point: each way is a part." in each
        for each in found
    ), found
