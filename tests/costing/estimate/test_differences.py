"""What two revisions differ in, line by line: it adds up to the cent, whatever tax, discount, fee and rounding do."""

from __future__ import annotations

import json
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from tests.costing.estimate.test_estimate_properties import estimated, jobs
from tests.harness.examples import examples
from webapp.costing.estimate.differences import Move, differences, materials_bought
from webapp.costing.estimate.form import write_estimate


@st.composite
def rates(draw: st.DrawFn) -> dict[str, Fraction]:
    """Taxes, the card's fee and the least charge, now and then none."""
    shares = st.sampled_from(["0", "0.07", "0.0825", "0.2"]).map(Fraction)
    return {
        "tax_goods": draw(shares),
        "tax_services": draw(shares),
        "minimum_charge": Fraction(draw(st.sampled_from([0, 400, 9_000]))),
    }


@examples(40)
@given(before=jobs(), after=jobs(), first=rates(), second=rates(), places=st.sampled_from([0, 2, 3]))
def test_the_lines_and_the_foot_add_to_the_difference_of_the_totals(
    before: dict[str, object], after: dict[str, object], first: dict[str, Fraction], second: dict[str, Fraction],
    places: int,
) -> None:  # fmt: skip
    was, now = estimated(before, first, places), estimated(after, second, places)
    # As kept with a quote: the document comes back from its text.
    found = differences(json.loads(json.dumps(write_estimate(was))), write_estimate(now))
    by = sum((one.by for one in (*found.lines, *found.foot)), Fraction(0))
    assert by == found.total.by == now.totals.total.value - was.totals.total.value
    assert all(one.by for one in (*found.lines, *found.foot, *found.materials, *found.prices, *found.hours))
    bought = [sum((one.bought.value for one in side.bought), Fraction(0)) for side in (was, now)]
    assert sum((one.by for one in found.materials), Fraction(0)) == bought[1] - bought[0]
    assert materials_bought(write_estimate(now)) == bought[1]


@examples(15)
@given(job=jobs(), changed=rates())
def test_an_estimate_differs_in_nothing_from_itself(job: dict[str, object], changed: dict[str, Fraction]) -> None:
    document = write_estimate(estimated(job, changed))
    assert not differences(document, json.loads(json.dumps(document))).any


def test_a_line_that_is_new_or_left_out_moves_by_all_of_it() -> None:
    document = write_estimate(estimated({"form": "1", "job": "J", "items": [], "lines": [_line("old", "100")]}))
    other = write_estimate(estimated({"form": "1", "job": "J", "items": [], "lines": [_line("new", "100")]}))
    out, new = differences(document, other).lines
    assert isinstance(out, Move)
    assert (out.key, out.after, new.key, new.before) == ("old", None, "new", None)
    assert out.before == new.after == new.by == -out.by
    # The same line under other words is the same line.
    said = {**document, "lines": [{**line, "label": "Otherwise"} for line in document["lines"]]}  # type: ignore[attr-defined]
    assert not differences(document, said).any


def _line(name: str, each: str) -> dict[str, str]:
    return {"id": name, "kind": "part", "says": "Lamp", "each": each}
