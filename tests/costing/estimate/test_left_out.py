"""What a quote says is not included never contradicts what it prices."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.documents.paper_case import inputs_of
from tests.wall_cabinet_case import JOB
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import estimate_inputs


def estimate_of(**job: Any) -> Estimate:
    """The wall cabinet with other terms; its design leaves out wiring, and fixing to the wall."""
    start = inputs_of({**JOB, "delivery": {}, "install": "no", **job})
    designs = {
        item: {**design, "not_included": ["Wiring and wall repair", "Fixing to the wall", "Levelling the floor"]}
        for item, design in start.designs.items()
    }
    job_alone = {name: value for name, value in start.job.items() if value != {}}
    return estimate_inputs(replace(start, job=job_alone, designs=designs))


def said(estimate: Estimate) -> set[str]:
    """The exclusions, but for what the estimate lacks."""
    return set(estimate.basis.exclusions)


def warned(estimate: Estimate) -> list[str]:
    return [problem.message for problem in estimate.problems if problem.field == "not_included"]


def test_what_is_not_priced_is_said_to_be_left_out() -> None:
    found = estimate_of(not_included=["Delivery to the third floor", "Painting of the wall"])
    assert said(found) >= {
        "Fixing to the wall", "Levelling the floor", "Wiring and wall repair", "Delivery to the third floor",
        "Painting of the wall",
    }  # fmt: skip
    assert warned(found) == []


@pytest.mark.parametrize(
    ("terms", "own", "priced"),
    [
        ({"delivery": {"distance": "36 km", "travel": "50 min", "people": "2"}}, "Delivery", "delivery"),
        ({"delivery": {"distance": "36 km", "travel": "50 min", "people": "2"}}, "Carriage to you", "delivery"),
        ({"install": "yes"}, "Installation on your wall", "installation"),
        ({"install": "yes"}, "Mounting", "installation"),
        ({}, "Finishing", "the finish"),
        ({"lines": [{"kind": "labour", "says": "Take down the shelf", "minutes": "60"}]}, "take down the shelf.",
         "“Take down the shelf”"),
    ],
)  # fmt: skip
def test_own_words_that_the_price_contradicts_are_left_out_and_said(
    terms: dict[str, Any], own: str, priced: str
) -> None:
    found = estimate_of(**terms, not_included=[own, "Wiring of lamps"])
    assert own not in said(found)
    assert "Wiring of lamps" in said(found)
    (sentence,) = warned(found)
    assert own in sentence
    assert f"but {priced} is priced in this job" in sentence
    assert all(one.severity == "warning" for one in found.problems if one.field == "not_included")


def test_what_a_design_leaves_out_goes_quietly_where_it_is_priced() -> None:
    found = estimate_of(install="yes")
    assert "Fixing to the wall" not in said(found)
    assert {"Levelling the floor", "Wiring and wall repair"} <= said(found)
    assert warned(found) == []


def test_words_that_speak_of_something_else_stay() -> None:
    own = ["Finish on the boards, which stay raw", "A finish coat of wax", "Fixing of lamps", "Floor delivery ramps"]
    found = estimate_of(
        install="yes", delivery={"distance": "36 km", "travel": "50 min", "people": "2"}, not_included=own
    )
    assert set(own) <= said(found)
    assert warned(found) == []
