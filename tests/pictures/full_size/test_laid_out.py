"""Parts laid out side by side in the small: to one scale, with what is cut through, let in and folded."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

import pytest

from webapp.costing.takeoff.features import Hole
from webapp.pictures.drawings.detail import PartDrawn
from webapp.pictures.full_size.flat import FlatPart, flat_part
from webapp.pictures.full_size.laid_out import ROOM, WIDE, laid_out

MM = 1_000_000


def board(length: int, width: int) -> FlatPart:
    return flat_part(PartDrawn(1, "Board", ("Board",), length * MM, width * MM, 18 * MM, grain="length"))


def size_of(svg: str) -> tuple[float, float]:
    root = ElementTree.fromstring(svg)
    return float(root.get("width", "")) - 2 * ROOM, float(root.get("height", "")) - 2 * ROOM


def test_all_are_drawn_to_one_scale_the_longest_as_wide_as_there_is_room() -> None:
    long, short = laid_out((board(2100, 300), board(700, 600)))
    assert size_of(long) == pytest.approx((WIDE, WIDE / 7), abs=0.1)
    assert size_of(short) == pytest.approx((WIDE / 3, WIDE * 600 / 2100), abs=0.1)


def test_a_hole_stands_where_it_is_and_says_whether_it_goes_through() -> None:
    drawn = replace(
        PartDrawn(1, "Board", ("Board",), 800 * MM, 300 * MM, 18 * MM),
        made=(
            Hole(side="face", along=100 * MM, up=50 * MM, diameter=20 * MM, depth=0),
            Hole(side="face", along=700 * MM, up=250 * MM, diameter=35 * MM, depth=12 * MM),
        ),
    )  # fmt: skip
    (svg,) = laid_out((flat_part(drawn),))
    through, blind = (one for one in ElementTree.fromstring(svg) if one.tag.endswith("circle"))
    # Its lower edge lies at the foot of the page: what is 50 up from it is 250 down from the top.
    assert (through.get("cx"), through.get("cy"), through.get("r")) == ("100", "250", "10")
    assert (blind.get("cx"), blind.get("cy"), blind.get("r")) == ("700", "50", "17.5")
    assert through.get("class") != blind.get("class")


def test_nothing_is_drawn_of_nothing() -> None:
    assert laid_out(()) == ()
