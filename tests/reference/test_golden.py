"""The engine version is raised whenever the same inputs give another figure.

The digest is of every figure's value of the hand-worked cabinet (whose sums are checked line by line elsewhere). When
it changes on purpose: raise ENGINE_VERSION in webapp/costing/estimate.py and write the new digest here.
"""

from __future__ import annotations

import hashlib

from tests import wall_cabinet_case as case
from webapp.costing.estimate import ENGINE_VERSION
from webapp.costing.snapshot import estimate_inputs

GOLDEN = {2: "aa3f96953ea6ed1005adb97e1b1b9069ffc37f55a3732187a527d13da41b2b7a"}


def test_the_figures_are_those_of_this_engine_version() -> None:
    found = estimate_inputs(case.inputs())
    lines = sorted(f"{figure.id}={figure.value} {figure.unit}" for figure in found.figures.values())
    assert hashlib.sha256("\n".join(lines).encode()).hexdigest() == GOLDEN[ENGINE_VERSION]
