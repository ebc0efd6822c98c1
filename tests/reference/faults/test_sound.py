"""No false failure: the starters, at every corner of their sizes and in between, fail by what they mean to alone.

What a design means to fail by is its own: what it says must hold, and how far it says its shelves may sag.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

import pytest

from tests.harness.examples import LONG
from tests.reference.faults.design_texts import starter_text
from tests.reference.faults.said import catalogue
from tests.reference.short_forms import Asked, corners, design_of, samples, taken

#: How many sizes and answers are drawn of each, in a long run and in a short one.
MANY: Final = 300
FEW: Final = 5

#: By design, the checks that may fail at some of its sizes, and why that is meant.
MEANT: Final[Mapping[str, Mapping[str, str]]] = {
    "bench_cabinet": {
        "must/room_in_drawers": "many drawers in a low cabinet leave less than the clear height asked for",
    },
    "drying_rack": {
        "must/room_for_ware": "shelves close together leave less than the clear height asked for",
        "must/one_piece": "posts or ties are longer than what goes round the stairs",
        "must/feet_bear": "more is planned on its boards than its feet bear",
        "sag/board_span": "a board in a bay over about 760 mm wide sags a little too far under a load of 25 kg a metre",
        "sag/plank_span": "a plank in a bay over about 800 mm wide sags a little too far under a load of 25 kg a metre",
    },
    "hollow_core_top": {
        "must/opening_on_shelf": "a low bench leaves less over its shelf than is asked for",
        "must/castors_bear": "more is planned than three of its castors carry",
    },
    "sheet_rack": {
        "must/length_fits": "the sheets are longer than a bay",
        "must/height_fits": "the sheets are wider than a bay is high",
        "must/room_to_grip": "many bays in a shallow rack leave no room for a hand",
        "must/bases_bear": "more is planned than its feet or castors bear",
    },
    "trestle_bench": {
        "must/room_under": "a low bench leaves less under its top than is asked for",
    },
    "tube_frame_bench": {
        "must/room_under": "a low bench leaves less under its top than is asked for",
    },
    "wall_rail_storage": {
        "must/room_inside": "shelves close together leave less than the clear space asked for",
        "must/two_studs": "a narrow rail meets fewer than two studs",
        "must/screws_carry": "more is planned than its screws are reckoned to carry",
        "sag/shelf_span": "a shelf over about 900 mm long sags too far under the load that the design gives it",
    },
    "ware_cart": {
        "must/room_between": "many shelves in a low cart leave less than the clear height asked for",
        "must/through_doors": "the cart is wider than the narrowest doorway lets through",
        "must/castors_bear": "more is planned than three of its castors carry",
        "sag/shelf_span": "at the greatest depth a shelf sags a little too far under the load that the design gives it",
    },
    "wedging_table": {},
}


def failures(name: str, asked_for: Iterator[Asked]) -> dict[str, str]:
    """What fails by its name, problems by their field, with a sentence and what was asked for."""
    design, found = design_of(starter_text(name)), dict[str, str]()
    for asked in asked_for:
        take_off = taken(design, asked, catalogue())
        for check in take_off.checks:
            if check.outcome == "failure":
                found.setdefault(check.name, f"{check.sentence} {asked}")
        for problem in take_off.problems:
            if problem.severity == "failure":
                found.setdefault(problem.field, f"{problem.message} {asked}")
    return found


def test_what_is_meant_is_said_by_the_designs_themselves() -> None:
    for name, meant in MEANT.items():
        design = design_of(starter_text(name))
        assert meant.keys() <= {f"must/{must}" for must in design.musts} | {f"sag/{span}" for span in design.spans}


@pytest.mark.parametrize("name", MEANT)
def test_a_sound_design_fails_at_no_corner_but_by_what_it_means_to(name: str) -> None:
    found = failures(name, corners(design_of(starter_text(name))))
    assert {check: said for check, said in found.items() if check not in MEANT[name]} == {}


@pytest.mark.parametrize("name", MEANT)
def test_a_sound_design_fails_nowhere_in_between_but_by_what_it_means_to(name: str) -> None:
    drawn = samples(design_of(starter_text(name)), MANY if LONG else FEW)
    found = failures(name, drawn)
    assert {check: said for check, said in found.items() if check not in MEANT[name]} == {}
