"""What an estimate says of a text's design at its usual sizes: every sentence, with how grave it is."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import cache

from tests.reference.short_forms import RATES
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.design_text import read_text
from webapp.seed import load_catalogue


@cache
def catalogue() -> Catalogue:
    """What is sold, as it comes with the program."""
    return load_catalogue(date(2026, 11, 2))


def sentences(text: str, way: Mapping[str, str]) -> list[tuple[str, str]]:
    """Each check and each problem of one finished thing, with its outcome; what can't be read is a failure."""
    document, unread = read_text(text)
    if document is None:
        return [("failure", problem.message) for problem in unread]
    job: dict[str, object] = {"form": "1", "job": "One", "items": [{"id": "one", "design": document["design"]}]}
    if way:
        job["way"] = dict(way)
    found = estimate_inputs(Inputs(job, {"one": document}, catalogue(), RATES, "metric", 2, {}))
    return [
        *((check.outcome, check.sentence) for _, check in found.checks),
        *((problem.severity, problem.message) for problem in found.problems),
    ]
