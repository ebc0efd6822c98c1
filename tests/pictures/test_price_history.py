"""The prices of a material drawn: a line for each offer, the ends of both scales in words, a tick for each price."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st

from tests.harness.examples import examples
from webapp.pictures.price_history import FOOT, LEFT, RIGHT, TOP, OfferLine, Seen, price_history

TODAY = date(2026, 11, 2)
DAYS = ("1 January 2026", "2 November 2026")


def line(name: str, *told: tuple[int, float]) -> OfferLine:
    return OfferLine(name, [Seen(TODAY - timedelta(days=ago), price, f"{price:.2f}") for ago, price in told])


def test_each_offer_is_a_line_and_each_price_a_tick() -> None:
    drawn = price_history(
        [line("North <Yard>", (300, 20.0), (100, 22.0)), line("Depot", (200, 21.0))], TODAY, "a m²", DAYS
    )
    found = ElementTree.fromstring(drawn)
    assert [one.get("stroke-dasharray") for one in found.iter("path")] == [None, "7 3"]
    ticks = [one for one in found.iter("line") if one.get("stroke-width") == "1.5"]
    assert len(ticks) == 3
    words = [one.text for one in found.iter("text")]
    assert {"20.00", "22.00", *DAYS, "North <Yard> 22.00", "Depot 21.00"} <= set(words)
    (title,) = found.iter("title")
    assert title.text == (
        "Prices seen since 1 January 2026, a m²: North <Yard> 20.00, now 22.00; Depot 21.00"
    )


def test_one_price_is_no_history() -> None:
    assert price_history([line("Yard", (3, 20.0))], TODAY, "a m²", DAYS) == ""
    assert price_history([line("Yard")], TODAY, "a m²", DAYS) == ""


@given(
    st.lists(
        st.lists(st.tuples(st.integers(0, 4000), st.floats(0.0001, 1e6)), max_size=8, unique_by=lambda one: one[0]),
        min_size=1, max_size=9,
    )
)  # fmt: skip
@examples(100)
def test_whatever_was_seen_stays_within_the_drawing(told: list[list[tuple[int, float]]]) -> None:
    lines = [line(f"Supplier {place}", *sorted(one, reverse=True)) for place, one in enumerate(told)]
    drawn = price_history(lines, TODAY, "a m²", DAYS)
    if not drawn:
        return
    found = ElementTree.fromstring(drawn)
    tall = float(found.get("height") or 0)
    for one in found.iter("line"):
        assert LEFT - 1 <= float(one.get("x1") or 0) <= RIGHT + 1
        assert TOP - 5 <= float(one.get("y1") or 0) <= FOOT + 9
    heights = [float(one.get("y") or 0) for one in found.iter("text") if one.get("class") == "drawn-text"]
    assert all(later - before >= 14 for before, later in pairwise(heights))
    assert all(height < tall for height in heights)
