"""Faults planted in a folded shelf are named with part and figure, and are gone without the one change."""

from __future__ import annotations

from functools import cache

import pytest

from tests.costing.short_form.rack import take
from tests.reference.folded_shelf import FOLD_FAULTS, SHELF, FoldFault


@cache
def told(text: str) -> tuple[str, ...]:
    """What fails, and what is wrong."""
    found = take(text)
    failed = (check.sentence for check in found.checks if check.outcome == "failure")
    return (*failed, *(problem.message for problem in found.problems))


def test_the_shelf_as_it_is_has_none() -> None:
    assert told(SHELF) == ()


@pytest.mark.outside(source="least leg and hole to fold, air bending on a brake", kind="common practice")
@pytest.mark.parametrize("fault", FOLD_FAULTS, ids=lambda fault: fault.part[:30])
def test_a_fault_is_named_with_part_and_figure(fault: FoldFault) -> None:
    said = told(fault.text)
    assert any(fault.part in sentence and fault.figure in sentence for sentence in said), said
    assert not any(fault.part in sentence for sentence in told(SHELF))
