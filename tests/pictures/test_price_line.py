"""The price as a measured line: true to scale, every stretch named and led to, no two names in one place."""

from __future__ import annotations

import re
from fractions import Fraction
from importlib.resources import files
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from webapp.pictures.marks import text_width
from webapp.pictures.price_line import Stretch, price_line

SVG = "{http://www.w3.org/2000/svg}"
KINDS = ("materials", "hours", "machine", "services", "overhead", "risk", "profit", "tax")


def stretch(name: str, share: Fraction, amount: str = "100.00") -> Stretch:
    return Stretch(name, name.capitalize(), amount, share, f"/jobs/1/working/{name}", name)


HALF_THIRD_SIXTH = (
    stretch("materials", Fraction(1, 2)),
    stretch("hours", Fraction(1, 3)),
    stretch("profit", Fraction(1, 6)),
)


def measured(drawing: str) -> dict[str, tuple[tuple[float, float], tuple[float, float]]]:
    """The two ends of every stretch's own line, by its id."""
    found = {}
    for link in ElementTree.fromstring(drawing).iter(f"{SVG}a"):
        (path,) = [one for one in link.iter(f"{SVG}path") if "stretch-line" in one.get("class", "")]
        begin, end = re.findall(r"([-\d.]+) ([-\d.]+)", path.get("d", ""))
        found[link.get("data-stretch", "")] = ((float(begin[0]), float(begin[1])), (float(end[0]), float(end[1])))
    return found


def name_boxes(drawing: str) -> list[tuple[float, float, float, float]]:
    """Left, right, top and foot of all words, as wide as the face itself sets them."""
    face = ImageFont.truetype(str(files("font_source_sans_pro") / "files" / "SourceSansPro-Semibold.otf"), size=1000)
    boxes = []
    for words in ElementTree.fromstring(drawing).iter(f"{SVG}text"):
        size, x, y = (float(words.get(key, "")) for key in ("font-size", "x", "y"))
        wide = face.getlength(words.text or "") * size / 1000
        left = x - {"start": 0, "middle": wide / 2, "end": wide}[words.get("text-anchor", "start")]
        boxes.append((left, left + wide, y - size * 0.7, y + size * 0.2))
    return boxes


def overlaps(boxes: list[tuple[float, float, float, float]]) -> list[tuple[int, int]]:
    return [
        (first, second)
        for first, one in enumerate(boxes)
        for second, other in enumerate(boxes[first + 1 :], first + 1)
        if one[0] < other[1] and other[0] < one[1] and one[2] < other[3] and other[2] < one[3]
    ]


def test_the_lying_line_is_divided_in_the_proportion_of_the_shares() -> None:
    ends = measured(price_line(HALF_THIRD_SIXTH, "600.00", width=612))
    widths = {name: end[0] - begin[0] for name, (begin, end) in ends.items()}
    assert widths == {
        "materials": pytest.approx(300, abs=0.02),
        "hours": pytest.approx(200, abs=0.02),
        "profit": pytest.approx(100, abs=0.02),
    }
    assert ends["materials"][1] == ends["hours"][0]
    assert ends["hours"][1] == ends["profit"][0]


def test_shares_that_do_not_add_up_to_one_fill_the_same_line() -> None:
    doubled = tuple(stretch(one.id, one.share * 2) for one in HALF_THIRD_SIXTH)
    assert measured(price_line(doubled, "")) == measured(price_line(HALF_THIRD_SIXTH, ""))


def test_a_discount_is_measured_back_and_tax_goes_on_from_there() -> None:
    line = (
        stretch("materials", Fraction(100)),
        stretch("discount", Fraction(-10), "−10.00"),
        stretch("tax", Fraction(18)),
    )
    ends = measured(price_line(line, "108.00", width=1100))
    (from_x, from_y), (to_x, to_y) = ends["discount"]
    assert (from_x, to_x) == (ends["materials"][1][0], ends["tax"][0][0])
    assert to_x < from_x
    assert ends["tax"][1][0] == pytest.approx(1094)
    assert ends["materials"][0][1] < from_y == to_y < ends["tax"][0][1]


def test_a_stretch_of_nothing_is_left_out_and_an_empty_price_still_drawn() -> None:
    assert set(measured(price_line((stretch("risk", Fraction(0)), *HALF_THIRD_SIXTH), ""))) == {
        "materials",
        "hours",
        "profit",
    }
    assert measured(price_line((), "0.00")) == {}
    assert "0.00" in price_line((), "0.00")


def test_every_stretch_leads_to_its_working_and_says_what_it_is() -> None:
    drawing = price_line(HALF_THIRD_SIXTH, "600.00")
    links = list(ElementTree.fromstring(drawing).iter(f"{SVG}a"))
    assert [link.get("href") for link in links] == [one.href for one in HALF_THIRD_SIXTH]
    titles = [link.findtext(f"{SVG}title") for link in links]
    assert titles == ["Materials: 100.00", "Hours: 100.00", "Profit: 100.00"]
    assert not any("hx-get" in link.attrib for link in links)


def test_words_are_escaped_and_nothing_is_styled_or_run_inline() -> None:
    hostile = Stretch('"><script>', "<b>&", "<i>", Fraction(1), 'javascript:"', '"x')
    drawing = price_line((hostile,), "</svg><script>")
    assert "<script" not in drawing
    assert "<b>" not in drawing
    assert "style=" not in drawing
    ElementTree.fromstring(drawing)


AMOUNTS = st.integers(1, 10_000_000)


@given(
    st.lists(AMOUNTS, min_size=1, max_size=8), st.integers(0, 30), st.sampled_from(("", "White oak", "12 materials"))
)
def test_no_two_names_meet_and_none_leaves_the_sheet(amounts: list[int], discount: int, missing: str) -> None:
    line = [
        stretch(kind, Fraction(amount), f"{amount / 100:,.2f}") for kind, amount in zip(KINDS, amounts, strict=False)
    ]
    line.insert(len(line) - 1, stretch("discount", -line[0].share * discount / 100, "−40.00"))
    drawing = price_line(line, "1,357.86 with tax", missing=missing)
    root = ElementTree.fromstring(drawing)
    _, _, width, height = (float(one) for one in root.get("viewBox", "").split())
    boxes = name_boxes(drawing)
    assert overlaps(boxes) == []
    assert all(left >= 0 and right <= width + 1 and top >= 0 and foot <= height for left, right, top, foot in boxes)


@given(st.text(alphabet="ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 .,/%×−½-()", max_size=40))
def test_the_room_words_need_is_never_underrated(words: str) -> None:
    face = ImageFont.truetype(str(files("font_source_sans_pro") / "files" / "SourceSansPro-Semibold.otf"), size=1000)
    assert face.getlength(words) <= text_width(words, 1000) + 1


def test_a_usual_price_fits_beside_the_drawing_and_stays_open_where_something_has_no_price() -> None:
    """Ten stretches, as a job of the demo shop has them, on a line no wider than the column that it stands in."""
    usual = (
        ("Materials", 496), ("Handling", 40), ("Hours", 440), ("Machines", 38), ("Consumables", 18), ("Services", 25),
        ("Overhead", 301), ("Contingency", 93), ("Profit", 403), ("Tax", 148),
    )  # fmt: skip
    line = [Stretch(name, name, f"{amount}.00", Fraction(amount), f"/{name}", "materials") for name, amount in usual]
    closed, left_open = (price_line(line, "2,002.00 USD", missing=name) for name in ("", "White oak"))
    for drawing in (closed, left_open):
        assert float(ElementTree.fromstring(drawing).get("width", "")) == 400
        assert overlaps(name_boxes(drawing)) == []
    assert "no price" not in closed
    assert "White oak" in left_open
    assert "no price" in left_open
    # The sum so far ends before what is left open.
    assert measured(left_open)["Tax"][1][0] < measured(closed)["Tax"][1][0] - 50
