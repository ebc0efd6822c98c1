"""Cuts and settings of each starter at its usual sizes, against counts made by hand from the drawn plans."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest

from tests.reference.golden_figures import golden_estimate

HAND_COUNTS: Final = Path(__file__).parent / "hand_counts"

#: Cuts that take two, as many again by whoever holds, cuts by one at the fence, crosscuts of lengths, settings; the
#: sums behind them stand in hand_counts.
COUNTED: Final = {
    "bench_cabinet": (21, 37, 0, 31),
    "drying_rack": (15, 23, 66, 12),
    "hollow_core_top": (23, 45, 43, 31),
    "sheet_rack": (5, 6, 72, 11),
    "trestle_bench": (0, 0, 17, 5),
    "tube_frame_bench": (12, 4, 0, 8),
    "wall_rail_storage": (10, 21, 0, 20),
    "ware_cart": (5, 3, 0, 6),
}


@pytest.mark.parametrize("design", COUNTED)
def test_the_saw_is_used_as_counted_by_hand(design: str) -> None:
    steps = {step.operation: int(step.units.value) for step in golden_estimate(design, "metric").steps}
    parting, at_stop, lengths, settings = COUNTED[design]
    names = ("part_sheets", "hold_sheets", "saw_to_size", "saw_lengths", "set_fence")
    assert tuple(steps.get(name, 0) for name in names) == (parting, parting, at_stop, lengths, settings)


def test_every_count_has_its_sum_beside_it() -> None:
    sections = {file.stem: file.read_text(encoding="utf-8") for file in HAND_COUNTS.glob("*.md")}
    assert {design for design, told in sections.items() if "## At the saw" in told} == set(COUNTED)
    for design, counts in COUNTED.items():
        told = sections[design].split("## At the saw")[1]
        total = next(line for line in told.splitlines() if line.startswith("| **in all**"))
        assert str(counts[-1]) in total
