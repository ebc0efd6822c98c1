"""No figure moves unnoticed: the starters and the demo's jobs are kept whole, see golden_figures.

The engine version is raised whenever the same inputs give another figure: raise ENGINE_VERSION in
webapp/costing/estimate/estimate.py, then write the golden files anew under the name of the rule.
"""

from __future__ import annotations

import pytest

from tests.reference.golden_figures import (
    cabinet_digest,
    cases,
    engines_kept,
    golden_estimate,
    kept_file,
    lines_of,
    totals_kept,
    totals_of,
)
from webapp.costing.estimate.estimate import ENGINE_VERSION, System


def test_the_figures_are_those_of_this_engine_version() -> None:
    assert engines_kept()[ENGINE_VERSION] == cabinet_digest()
    assert max(engines_kept()) == ENGINE_VERSION


@pytest.mark.parametrize(("name", "system"), list(cases()))
def test_a_starter_or_a_job_of_the_demo_comes_to_what_was_agreed(name: str, system: System) -> None:
    found = golden_estimate(name, system)
    assert lines_of(found) == kept_file(name, system).read_text(encoding="utf-8").splitlines()
    assert totals_kept(name, system) == totals_of(found)  # and golden/changes.txt says which rule moved it
