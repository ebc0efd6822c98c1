"""The engine version is raised whenever the same inputs give another figure.

The digest is of every figure's value of the hand-worked cabinet (whose sums are checked line by line elsewhere). When it
changes on purpose: raise ENGINE_VERSION in webapp/costing/estimate.py and write the new digest here.
"""

from __future__ import annotations

import hashlib

from tests import wall_cabinet_case as case
from webapp.costing.estimate import ENGINE_VERSION
from webapp.costing.snapshot import estimate_inputs

GOLDEN = {1: "69dfd1e0be44cdad038ea7b843a97953ae1a32edc82af3d3e53414eb2d1bf2bd"}


def test_the_figures_are_those_of_this_engine_version() -> None:
    found = estimate_inputs(case.inputs())
    lines = sorted(f"{figure.id}={figure.value} {figure.unit}" for figure in found.figures.values())
    assert hashlib.sha256("\n".join(lines).encode()).hexdigest() == GOLDEN[ENGINE_VERSION]
