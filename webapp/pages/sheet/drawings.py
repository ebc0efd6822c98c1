"""The sheet plans of a job, drawn: each kind of part by its number, the rest worth keeping left blank."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from webapp.costing.cutting.ask.model import SheetPlan
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.settings.rates import Rates
from webapp.documents.plans.drawings import CutDrawing, cut_parts, sheet_drawings


@dataclass(frozen=True, slots=True)
class Drawings:
    """All sheets of a job; `digest` tells whether anything of them changed. `parts` say what the numbers stand for."""

    digest: str
    sheets: tuple[CutDrawing, ...]
    parts: tuple[tuple[int, str, str], ...]


def drawings_digest(estimate: Estimate, rates: Rates) -> str:
    """What the drawings follow from, as one short text: the plans, and what their pieces are called."""
    told = [
        (one.key, one.plan_key, one.pieces, one.plan.sheets)
        for one in estimate.bought
        if isinstance(one.plan, SheetPlan)
    ]
    named = [(item.id, item.label, [part.banded for part in item.take_off.parts]) for item in estimate.items]
    keep = (rates["offcut_length"], rates["offcut_width"])
    return hashlib.sha256(repr((told, named, keep, estimate.system)).encode()).hexdigest()[:16]


def build_drawings(estimate: Estimate, rates: Rates) -> Drawings:
    """Draw every sheet that is to be cut."""
    parts = cut_parts(estimate)
    cut = {name for one in estimate.bought if isinstance(one.plan, SheetPlan) and one.purchases for name in one.pieces}
    labels = {item.id: item.label for item in estimate.items}
    several = len(estimate.items) > 1
    named = tuple(
        (number, parts.taken[name].says, labels[name.partition("/")[0]] if several else "")
        for name, number in parts.numbers.items()
        if name in cut
    )
    return Drawings(drawings_digest(estimate, rates), sheet_drawings(estimate, rates, parts), named)
