"""A folded part drawn flat with its fold lines, and one that is cut to an outline, each by itself."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from tests.costing.short_form.folds_case import MM, TRAY, take_tray, tray
from webapp.documents.printing.shape_words import shape_words
from webapp.documents.workshop.details import fold_lines
from webapp.pictures.drawings.detail import PartDrawn, draw_part

SVG = "{http://www.w3.org/2000/svg}"
FLAT = PartDrawn(1, "Tray", (), 400 * MM, 300 * MM, 2 * MM)


def paths(part: PartDrawn, name: str) -> list[list[tuple[float, float]]]:
    root = ElementTree.fromstring(draw_part(part, "metric"))
    found = []
    for one in root.iter(f"{SVG}path"):
        if one.get("class") == name:
            numbers = [float(each) for each in re.findall(r"-?[0-9.]+", one.get("d", ""))]
            found.append(list(zip(numbers[::2], numbers[1::2], strict=True)))
    return found


def test_where_a_fold_lies_on_the_flat() -> None:
    # A leg of 30 whose fold takes 2.65 off: its middle lies 30 - 1.325 in from the edge, and the flat goes on 27.35
    # beyond the outside of the folded part.
    part = take_tray(tray(("front and back of tray", "back and left of tray"))).parts[0]
    assert fold_lines(part, "x") == [("high", 28_675_000, 27_350_000), ("start", 28_675_000, 27_350_000)]
    assert fold_lines(part, "y") == [("end", 28_675_000, 27_350_000), ("low", 28_675_000, 27_350_000)]


def test_its_folds_in_words() -> None:
    part = take_tray(TRAY).parts[0]
    assert shape_words(part, "metric") == "folded 30 mm to the top along front and back, its line 28.7 mm in"


def test_folds_bent_and_folded_again_in_words() -> None:
    # By 45 degrees 0.81028 is taken off, square 2.65: the rim's line lies 12 - 1.325 in, the lip's 9.35 + 30 - 0.405.
    lines = ("leg up along front and back of tray",
             "leg up along front of tray; bent 45 degrees\n  rim: Rim; 12 mm inwards on lips")  # fmt: skip
    part = take_tray(tray(lines)).parts[0]
    assert shape_words(part, "metric") == (
        "folded 30 mm to the top by 45° (135° between the legs) off the flat along front, its line 38.9 mm in; "
        "12 mm inwards on “Lips” along front, its line 10.7 mm in"
    )
    assert [(edge, line) for edge, line, _ in fold_lines(part, "x")] == [("low", 38_944_859), ("low", 10_675_000)]


def test_a_fold_is_a_broken_line_across_the_flat() -> None:
    lines = paths(replace(FLAT, folds=(("low", 30 * MM), ("start", 100 * MM))), "drawn-line drawn-fold")
    (face, *_) = paths(FLAT, "drawn-line drawn-ground")
    left, right = min(x for x, _ in face), max(x for x, _ in face)
    top, bottom = min(y for _, y in face), max(y for _, y in face)
    low, start = lines
    assert [x for x, _ in low] == pytest.approx([left, right], abs=0.2)
    assert [(bottom - y) / (bottom - top) for _, y in low] == pytest.approx([0.1, 0.1], abs=2e-3)
    assert [(x - left) / (right - left) for x, _ in start] == pytest.approx([0.25, 0.25], abs=2e-3)


def test_an_outline_is_drawn_as_it_is_cut() -> None:
    corners = ((0, 0), (400 * MM, 0), (400 * MM, 100 * MM), (0, 300 * MM))
    (face, *_) = paths(replace(FLAT, outline=corners), "drawn-line drawn-ground")
    (whole, *_) = paths(FLAT, "drawn-line drawn-ground")
    assert len(face) == 4
    assert (max(x for x, _ in face), min(y for _, y in face)) == (max(x for x, _ in whole), min(y for _, y in whole))
    # The corner above on the right is cut away: there the outline lies 100 of 300 up.
    bottom, top = max(y for _, y in face), min(y for _, y in face)
    assert (bottom - face[2][1]) / (bottom - top) == pytest.approx(1 / 3, abs=5e-3)
