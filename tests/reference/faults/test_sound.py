"""No false failure: the starters, at every corner of their sizes and in between, fail by what they mean to alone.

What a design means to fail by is its own: what it says must hold, what it says lives in it, and what whoever asks for
it plans on it. At its usual sizes it fails by nothing, and leaves nothing of itself unsaid.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from typing import Final

import pytest

from tests.harness.examples import LONG
from tests.reference.faults.design_texts import starter_text
from tests.reference.faults.said import catalogue
from tests.reference.short_forms import SYSTEMS, Asked, corners, design_of, samples, taken
from webapp.costing.takeoff.model import TakeOff

#: How many sizes and answers are drawn of each, in a long run and in a short one.
MANY: Final = 300
FEW: Final = 5

#: By design, the checks that may fail at some of its sizes, and why that is meant.
MEANT: Final[Mapping[str, Mapping[str, str]]] = {
    "bench_cabinet": {
        "holds/things": "many drawers in a low cabinet leave less than the clear height asked for",
        "must/screws_stay_in": "boards so thin that the usual screws come through a top of two",
    },
    "drying_rack": {
        "holds/ware": "shelves close together leave less than the clear height asked for",
        "holds/ware_too": "shelves close together leave less than the clear height asked for",
        "must/one_piece": "posts or ties are longer than what goes round the stairs",
        "must/feet_bear": "more is planned on its boards than its feet bear",
        "bears/foot": "more is planned on its boards than its feet bear",
    },
    "hollow_core_top": {
        "must/opening_on_shelf": "a low bench leaves less over its shelf than is asked for",
        "must/castors_bear": "more is planned than three of its castors carry",
        "bears/castor_under": "more is planned than three of its castors carry",
        "tips": "all that is planned lies at an edge outside the legs, too much for so light a bench",
    },
    "sheet_rack": {
        "must/height_fits": "the sheets are wider than a bay is high",
        "must/room_to_grip": "many bays in a shallow rack leave no room for a hand",
        "must/bases_bear": "more is planned than its feet or castors bear",
        "bears/foot": "more is planned than three of four feet bear",
        "bears/castor": "more is planned than three of four castors bear",
    },
    "trestle_bench": {
        "must/room_under": "a low bench leaves less under its top than is asked for",
    },
    "tube_frame_bench": {
        "must/room_under": "a low bench leaves less under its top than is asked for",
        "tips": "all that is planned lies at an edge outside the legs, too much for so light a bench",
    },
    "wall_rail_storage": {
        "must/room_inside": "shelves close together leave less than the clear space asked for",
        "must/two_studs": "a narrow rail meets fewer than two studs",
        "bears/stud_screw": "a narrow rail meets fewer than two studs, so that the screws in one carry it all",
    },
    "tool_cart": {},
    "ware_cart": {
        "holds/ware": "many shelves in a low cart leave less than the clear height asked for",
        "must/through_doors": "the cart is wider than the narrowest doorway lets through",
        "must/castors_bear": "more is planned than three of its castors carry",
        "bears/swivel": "more is planned than three of its castors carry",
        "bears/fixed": "more is planned than three of its castors carry",
        "tips": "more is planned on a shelf than usual, and all of it lies at the edge of a narrow cart",
    },
    "wedging_table": {},
}

#: The starters whose usual sizes leave nothing unsaid.
STARTERS: Final = (*MEANT, "splayed_bench")
#: By design, what only the customer's place or the shop's own test cuts can tell, with the reason. Of these: nothing.
LEFT_OPEN: Final[Mapping[str, Mapping[str, str]]] = {}


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
        said = {f"must/{must}" for must in design.musts} | {f"sag/{span}" for span in design.spans}
        said |= {f"holds/{thing}" for thing in design.holds} | {f"bears/{piece}" for piece in design.hardware}
        if design.loads or any(span.kilograms is not None for span in design.spans.values()):
            said |= {"tips", *(f"sags/{part}" for part in design.parts)}
        assert meant.keys() <= said


def usual_ones(name: str) -> Iterator[TakeOff]:
    """A starter at its usual sizes, in either length system and under every answer."""
    design = design_of(starter_text(name))
    answers = [dict(zip(design.choices, each, strict=True))
               for each in itertools.product(*(choice.answers for choice in design.choices.values()))]  # fmt: skip
    for system in SYSTEMS:
        usual = {size: held.usual for size, held in design.sizes_in(system).items()}
        yield from (taken(design, Asked(each, usual, system), catalogue()) for each in answers)


@pytest.mark.parametrize("name", STARTERS)
def test_at_its_usual_sizes_a_starter_fails_by_nothing_and_leaves_nothing_of_itself_unsaid(name: str) -> None:
    open_to = LEFT_OPEN.get(name, {})
    for take_off in usual_ones(name):
        assert take_off.problems == ()
        wrong = [each for each in take_off.checks if each.outcome in ("failure", "unknown")]
        assert [each.sentence for each in wrong if each.name not in open_to or each.outcome == "failure"] == []
        # How far its shelves, boards and tops sag, also over the years, is no caution either.
        sagging = [each for each in take_off.checks if each.name.partition("/")[0] in ("sag", "sags", "flat", "moves")]
        assert [each.sentence for each in sagging if each.outcome != "pass"] == []


@pytest.mark.parametrize("name", MEANT)
def test_a_sound_design_fails_at_no_corner_but_by_what_it_means_to(name: str) -> None:
    found = failures(name, corners(design_of(starter_text(name))))
    assert {check: said for check, said in found.items() if check not in MEANT[name]} == {}


@pytest.mark.parametrize("name", MEANT)
def test_a_sound_design_fails_nowhere_in_between_but_by_what_it_means_to(name: str) -> None:
    drawn = samples(design_of(starter_text(name)), MANY if LONG else FEW)
    found = failures(name, drawn)
    assert {check: said for check, said in found.items() if check not in MEANT[name]} == {}
