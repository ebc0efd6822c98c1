"""Every planted fault is named with its part and its figure, and is right again without the one change."""

from __future__ import annotations

import pytest

from tests.reference.faults.named import CAUTIONS, NAMED, NOT_YET
from tests.reference.faults.plant import PLANTINGS, with_fault, without_fault
from tests.reference.faults.planted import Fault, planted_faults
from tests.reference.faults.said import sentences

FAULTS = planted_faults()
TOLD = [fault for fault in FAULTS if fault.number not in NOT_YET]


def _by_number(fault: Fault) -> str:
    return f"{fault.number}{fault.letter}"


def test_each_fault_is_planted_and_has_words_that_name_it() -> None:
    numbers = [fault.number for fault in FAULTS]
    assert sorted(PLANTINGS) == numbers
    assert sorted(NAMED) == numbers
    assert {number for number, named in NAMED.items() if named.severity == "warning"} == CAUTIONS
    assert {fault.number for fault in FAULTS if fault.letter == "n"} <= CAUTIONS


@pytest.mark.parametrize("fault", TOLD, ids=_by_number)
def test_a_fault_is_named_and_gone_without_its_change(fault: Fault) -> None:
    named, way = NAMED[fault.number], PLANTINGS[fault.number].way
    said = sentences(with_fault(fault), way)
    assert named.found_in(said), "\n".join(f"{outcome}: {sentence}" for outcome, sentence in said)
    right = sentences(without_fault(fault), way)
    assert not named.found_in(right)
    assert [sentence for outcome, sentence in right if outcome == "failure"] == []


def test_a_fault_that_is_not_named_yet_is_truly_not_named() -> None:
    assert NOT_YET.keys() <= NAMED.keys()
    for fault in FAULTS:
        if fault.number in NOT_YET:
            assert not NAMED[fault.number].found_in(sentences(with_fault(fault), PLANTINGS[fault.number].way))


def test_43_all_screws_of_the_carcass_are_counted_in_the_sentence() -> None:
    said = next(each for _, each in sentences(with_fault(FAULTS[42]), {}) if "are driven by no step" in each)
    counts = [int(word.rstrip(",")) for word in said.split() if word.rstrip(",").isdigit()]
    assert sum(counts) == 48
