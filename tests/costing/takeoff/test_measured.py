"""Which sizes are a distance on the thing: for every starter as somebody would read it off its text."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Final

import pytest

from webapp.benches import SHOWS, draw_at_head, shown_sizes
from webapp.costing.design_form.reader import read_design
from webapp.costing.designs.model import Design
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working
from webapp.costing.measures.written import STEP_NM
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.measured import Between, Measured, find_between, measure
from webapp.costing.takeoff.model import Box, TakeOff
from webapp.seed import load_catalogue, load_designs

MM: Final = 1_000_000
DESIGNS: Final = {str(one["design"]): one for one in load_designs()}
CATALOGUE: Final = load_catalogue(date(2026, 3, 2))
RATES: Final = default_rates()

#: Read off the text of each starter: which sizes are a stretch of what is placed, along which axis, mm; and whether its
#: height counts feet or castors that nothing places.
STRETCHES: Final = {
    "bench_cabinet": ({"width": (0, 900), "depth": (1, 600), "height": (2, 880)}, False),
    "ware_cart": ({"length": (0, 900), "depth": (1, 500)}, True),
    "trestle_bench": ({"length": (0, 1800), "width": (1, 750), "height": (2, 740)}, False),
    "tube_frame_bench": ({"length": (0, 1800), "depth": (1, 700)}, True),
    "drying_rack": ({"width": (0, 1500), "depth": (1, 500), "pitch": (2, 200)}, True),
    "hollow_core_top": ({"length": (0, 1800), "depth": (1, 900)}, True),
    "wall_rail_storage": ({"width": (0, 800), "depth": (1, 300), "height": (2, 600)}, False),
}


def _taken(code: str, sizes: dict[str, Fraction] | None = None, choices: dict[str, str] | None = None) -> TakeOff:
    design: Design | None = read_design(DESIGNS[code])[0]
    assert design is not None
    return expand(
        design, sizes or {}, choices or {}, {}, CATALOGUE, RATES, Working(), "x", STEP_NM["metric"], "metric"
    )  # fmt: skip


def _shown(taken: TakeOff) -> tuple[dict[str, tuple[int, float]], bool]:
    measured, from_below = shown_sizes(taken, CATALOGUE, RATES, "metric")
    return {name: (one.axis, (one.high - one.low) / MM) for name, one in measured.items()}, "height" in from_below


@pytest.mark.parametrize("code", STRETCHES)
def test_the_sizes_of_a_starter_stand_where_its_text_puts_them(code: str) -> None:
    stretches, counted = STRETCHES[code]
    assert _shown(_taken(code)) == (stretches, counted)


def test_a_height_with_feet_is_no_stretch_and_without_them_is() -> None:
    assert _shown(_taken("bench_cabinet", choices={"base": "feet_base"}))[0].get("height") is None
    assert _shown(_taken("bench_cabinet", choices={"base": "feet_base"}))[1]
    said = draw_at_head(_taken("bench_cabinet", choices={"base": "feet_base"}), "A cabinet", CATALOGUE, RATES, "metric")
    assert said.counted == {"height": "880 mm with feet; drawn without: 820 mm"}
    assert "feet" in said.without


def test_what_was_found_holds_at_other_lengths_and_is_found_again_at_other_numbers() -> None:
    assert _shown(_taken("bench_cabinet", {"width": Fraction(1100 * MM)}))[0]["width"] == (0, 1100)
    assert _shown(_taken("bench_cabinet", {"drawers": Fraction(5)}))[0]["height"] == (2, 880)
    assert _shown(_taken("drying_rack", {"pitch": Fraction(163 * MM)}))[0]["pitch"] == (2, 163)


def test_a_size_at_its_limit_is_tried_smaller() -> None:
    taken = _taken("bench_cabinet", {"width": Fraction(1200 * MM)})
    SHOWS.forget()
    assert _shown(taken)[0]["width"] == (0, 1200)


def test_a_distance_that_only_happens_to_be_as_long_is_none() -> None:
    """The leg is as long as the size and does not follow it; the top does."""
    def scene(length: int) -> list[Box]:
        return [Box("leg", 1, (0, 0, 0), (40, 40, 700)), Box("top", 1, (0, 0, 700), (length, 500, 30))]

    found = find_between(700, scene(700), scene(710), 10)
    assert measure(found, 700, scene(700)) == Measured(0, 0, 700)
    assert Between(2, ("leg", 1, 0), ("leg", 1, 1)) not in found
    assert find_between(500, scene(700), scene(710), 10) == ()
    # What stands somewhere else by now is looked for where it is, and is no stretch once it is of another length.
    assert measure(found, 700, scene(705)) is None


def test_a_size_between_two_parts_is_found_where_the_whole_is_longer() -> None:
    def scene(apart: int) -> list[Box]:
        return [Box("post", 1, (0, 0, 0), (40, 40, 900)), Box("post", 2, (40 + apart, 0, 0), (40, 40, 900))]

    found = find_between(600, scene(600), scene(610), 10)
    assert measure(found, 600, scene(600)) == Measured(0, 40, 640)
