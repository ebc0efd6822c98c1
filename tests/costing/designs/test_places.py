"""Where pieces stand by each of the words of a design, against positions worked by hand; and what can't be placed.

The whole is 1000 wide, 600 deep and 800 high. A piece is 100 long along x, 50 wide along y and 20 thick along z. The
posts that it stands by are 40 along x and 60 along y: at 0, 480 and 960 along x, at 0 and 540 along y, 700 high.
Everything in millimetres.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest

from tests.reference.short_forms import Asked, taken
from webapp.costing.design_form.reader import read_design
from webapp.costing.takeoff.model import TakeOff
from webapp.design_text import read_text
from webapp.seed import load_catalogue

MM = 10**6
AXES = "xyz"
POST = "post: of wood; long 700 mm along z; wide 40 mm along x; thick 60 mm"
POSTS = f"{POST}; x 3 evenly from 0 mm to width; y front and back"
PIECE = "of wood; long 100 mm along x; wide 50 mm along y; thick 20 mm"
STAND = """form: 2
design: stand
name: Stand
says: A stand.
sizes:
  width: Overall width; 1000 mm; least 500 mm; most 2000 mm
  depth: Overall depth; 600 mm; least 300 mm; most 900 mm
  height: Overall height; 800 mm; least 400 mm; most 1200 mm
stock:
  wood: Wood; board sugar_maple; needs timber
choices:
  ends: Ends; open_ends or closed_ends
parts:
  {parts}
{closes}scope: A stand.
"""
CLOSES = "closes: x width; y depth; z height\n"


def stand(*parts: str, closes: str = CLOSES) -> TakeOff:
    document, unread = read_text(STAND.format(parts="\n  ".join(parts), closes=closes))
    assert document is not None, unread
    design, problems = read_design(document)
    assert design is not None, problems
    sizes = {name: size.usual for name, size in design.sizes.items()}
    return taken(design, Asked({"ends": "open_ends"}, sizes, "metric"), load_catalogue(date(2026, 11, 2)))


def corners(found: TakeOff) -> list[tuple[float, ...]]:
    """The corner of each piece nearest the front left at the floor, in the order of their numbers, mm."""
    part = next(one for one in found.parts if one.name == "piece")
    return [tuple(float(Fraction(place) / MM) for place in box.corner) for box in part.boxes]


def refused(*parts: str, closes: str = CLOSES) -> str:
    """What is said of a stand that can't be read, or whose piece can't be placed."""
    document, _ = read_text(STAND.format(parts="\n  ".join(parts), closes=closes))
    assert document is not None
    design, problems = read_design(document)
    if design is None:
        return " ".join(problem.message for problem in problems)
    return " ".join(problem.message for problem in stand(*parts, closes=closes).problems)


@pytest.mark.parametrize(
    ("words", "places"),
    [
        ("x left and right", (0, 900)),
        ("x left and right inset 30 mm", (30, 870)),
        ("x left and right from 100 mm to 700 mm", (100, 600)),
        ("x left and right inset 10 mm from 100 mm to 700 mm", (110, 590)),
        ("y front and back", (0, 550)),
        ("y front and back inset 25 mm", (25, 525)),
        ("z bottom and top", (0, 780)),
        ("z bottom and top from 40 mm to height", (40, 780)),
        ("x 4 evenly from 0 mm to width", (0, 300, 600, 900)),
        ("x 1 evenly from 50 mm to width", (50,)),
        ("x 3 evenly between 100 mm and width", (250, 500, 750)),  # four gaps of (900 - 300) / 4 = 150
        ("x 3 in equal shares from 100 mm to width", (200, 500, 800)),  # shares of 300 begin at 100, 400, 700
        ("x 3 from 50 mm every 200 mm", (50, 250, 450)),
        ("x up to 700 mm", (600,)),
        ("z up to height", (780,)),
        ("x centred", (450,)),
        ("y centred", (275,)),
        ("x centred between 200 mm and 500 mm", (300,)),
        ("x 50 mm and 400 mm", (50, 400)),
        ("x 70 mm", (70,)),
        ("x (number - 1) * 150 mm", (0,)),
    ],
)
def test_places_along_an_axis(words: str, places: tuple[int, ...]) -> None:
    axis = AXES.index(words[0])
    assert [corner[axis] for corner in corners(stand(f"piece: {PIECE}; {words}"))] == list(places)


@pytest.mark.parametrize(
    ("words", "places"),
    [
        ("x between post", (210,)),  # between 40 and 480
        ("x 2 evenly between post", (120, 300)),  # three gaps of (440 - 200) / 3 = 80
        ("y between post", (275,)),  # between 60 and 540
        ("x in each bay of post", (210, 690)),  # 40 to 480, 520 to 960
        ("x at both sides of each bay of post", (40, 380, 520, 860)),
        ("x right of post", (1000,)),
        ("x left of post", (-100,)),
        ("x right of post plus 5 mm", (1005,)),
        ("x left of post less 5 mm", (-105,)),
        ("x against right of post", (1000,)),
        ("y behind post", (600,)),
        ("y in front of post", (-50,)),
        ("z on post", (700,)),
        ("z on top of post plus 10 mm", (710,)),
        ("z under post", (-20,)),
        ("x right of each post", (40, 520, 1000)),
        ("x left of each post", (-100, 380, 860)),
        ("x right of each post plus 5 mm", (45, 525, 1005)),
        ("x left of each post less 5 mm", (-105, 375, 855)),
        ("x left and right of post", (-100, 1000)),
        ("y front and back of post", (-50, 600)),
        ("z bottom and top of post", (-20, 700)),
        ("x post.left + 7 mm", (7,)),
    ],
)
def test_places_by_another_part(words: str, places: tuple[int, ...]) -> None:
    axis = AXES.index(words[0])
    assert [corner[axis] for corner in corners(stand(POSTS, f"piece: {PIECE}; {words}"))] == list(places)


def test_four_corners_stand_as_far_in_as_said() -> None:
    assert corners(stand(f"piece: {PIECE}; four corners")) == [(0, 0, 0), (0, 550, 0), (900, 0, 0), (900, 550, 0)]
    inset = corners(stand(f"piece: {PIECE}; four corners inset 20 mm; z 5 mm"))
    assert inset == [(20, 20, 5), (20, 530, 5), (880, 20, 5), (880, 530, 5)]


def test_pieces_are_numbered_level_by_level_from_the_left_and_from_the_front() -> None:
    found = corners(stand(f"piece: {PIECE}; x left and right; y front and back; z 2 from 0 mm every 300 mm"))
    level = [(0, 0), (0, 550), (900, 0), (900, 550)]
    assert found == [(x, y, z) for z in (0, 300) for x, y in level]


def test_one_on_each_of_those_that_stand_on_others() -> None:
    """Three levels of shelves at 0, 250 and 500, 20 thick; a block on each lies at 20, 270 and 520, two to a level."""
    found = stand(f"shelf: {PIECE}; z 3 from 0 mm every 250 mm", f"piece: {PIECE}; x left and right; z on each shelf")
    assert [corner[2] for corner in corners(found)] == [20, 20, 270, 270, 520, 520]
    assert [corner[0] for corner in corners(found)] == [0, 900] * 3


def test_as_many_as_typed_stand_there_over_again_told_apart_by_their_number() -> None:
    found = corners(stand(f"piece: Piece; 8 {PIECE}; four corners; z if(number <= 4, 0 mm, 400 mm)"))
    assert [corner[2] for corner in found] == [0] * 4 + [400] * 4
    assert [corner[0] for corner in found] == [0, 0, 900, 900] * 2


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ((f"piece: {PIECE}; x right of nobody",), "'nobody' is no part beside which it could stand."),
        ((f"piece: {PIECE}; x in each bay of nobody",), "'nobody' is no part beside which it could stand."),
        ((f"piece: {PIECE}; x 2 evenly between nobody",), "'nobody' is no part beside which it could stand."),
        ((f"piece: {PIECE}; z on each nobody",), "'nobody' is no part beside which it could stand."),
        ((f"piece: {PIECE}; x left and right of nobody",), "'nobody' is no part beside which it could stand."),
        ((POSTS, f"piece: {PIECE}; x behind post"), "'behind' says where it stands along y, not along x."),
        ((POSTS, f"piece: {PIECE}; z left of post"), "'left of' says where it stands along x, not along z."),
        ((f"piece: {PIECE}; four corners; x 10 mm",), "the four corners say already where it stands along this axis."),
        ((f"piece: Piece; 3 {PIECE}; x left and right",), "“Piece” is said to be 3, and its places are 2."),
        (
            (f"post: {PIECE}", f"piece: {PIECE}; x between post"),
            "“Piece” can't stand between “Post”: no two of these stand apart along x.",
        ),
        (
            (f"post: {PIECE}; x left and right", f"piece: {PIECE}; y in each bay of post"),
            "“Piece” can't stand between “Post”: no two of these stand apart along y.",
        ),
        (
            (f"post: {PIECE}; x left and right; when closed_ends", f"piece: {PIECE}; x right of each post"),
            "The part “Post” is not there under the answers chosen.",
        ),
        (
            (f"post: {PIECE}; x left and right; when closed_ends", f"piece: {PIECE}; x right of post"),
            "The part “Post” is not there under the answers chosen.",
        ),
    ],
)
def test_what_cannot_be_placed_is_said(parts: tuple[str, ...], said: str) -> None:
    assert said in refused(*parts)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("x left and right", "'left and right' of what? Say how far the whole goes along x under 'closes'"),
        ("y front and back", "'front and back' of what? Say how far the whole goes along y under 'closes'"),
        ("x centred", "'centred' of what? Say how far the whole goes along x under 'closes', or 'centred between"),
    ],
)
def test_the_ends_of_a_whole_that_says_no_size(words: str, said: str) -> None:
    assert said in refused(f"piece: {PIECE}; {words}", closes="")


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("x right of other", "x right of one"),
        ("z on each other", "z on each one"),
        ("x between other", "x between one"),
        ("x in each bay of other", "x right of one"),
    ],
)
def test_parts_that_stand_on_each_other_in_a_circle(one: str, other: str) -> None:
    said = refused(f"one: {PIECE}; {one}", f"other: {PIECE}; {other}")
    assert "goes round in a circle" in said
    assert "other." in said
