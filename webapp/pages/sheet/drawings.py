"""The sheet plans of a job, drawn: as stamps beside the sums, and large with each kind of part by its number."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Final

from webapp.costing.buying.bought import MaterialBought
from webapp.costing.cutting.ask.model import SheetPlan
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.measures.written import figure_text
from webapp.costing.settings.rates import Rates
from webapp.documents.plans.drawings import CutDrawing, cut_parts, drawn_sheets, sheet_drawings
from webapp.pictures.drawn_sheet import DrawnSheet
from webapp.pictures.sheet_thumb import sheet_thumb

#: So many sheets stand as stamps beside the sums; all stand under Cut plans.
MOST_STAMPS: Final = 4


@dataclass(frozen=True, slots=True)
class Drawings:
    """All sheets of a job; `digest` tells whether anything of them changed. `parts` say what the numbers stand for."""

    digest: str
    sheets: tuple[CutDrawing, ...]
    parts: tuple[tuple[int, str, str], ...]


@dataclass(frozen=True, slots=True)
class Stamp:
    """A sheet as a stamp: of what, how many alike and how full, and where it stands large."""

    svg: str
    name: str
    words: str


@dataclass(frozen=True, slots=True)
class Stamps:
    """The first sheets of a job as stamps, how many sheets there are, and how many more are drawn under Cut plans."""

    first: tuple[Stamp, ...]
    count: int
    more: int


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


def build_stamps(estimate: Estimate, rates: Rates) -> Stamps:
    """The sheets of a job as stamps, in the order in which they are drawn large."""
    parts = cut_parts(estimate)
    drawn = [(bought, sheet) for bought in estimate.bought for sheet in drawn_sheets(bought, rates, parts)]
    return Stamps(
        tuple(_stamp(bought, sheet) for bought, sheet in drawn[:MOST_STAMPS]),
        sum(sheet.count for _, sheet in drawn),
        max(0, len(drawn) - MOST_STAMPS),
    )


def _stamp(bought: MaterialBought, sheet: DrawnSheet) -> Stamp:
    filled = sum((Fraction(one.length) * one.width for one in sheet.pieces), Fraction(0))
    full = figure_text(filled / (Fraction(sheet.length) * sheet.width) * 100, 0)
    which = sheet.title.removeprefix(f"{bought.material.name}, ")
    return Stamp(_drawn(sheet), bought.material.name, f"{which}, {full}\N{NO-BREAK SPACE}% full")


@lru_cache(maxsize=256)
def _drawn(sheet: DrawnSheet) -> str:
    return sheet_thumb(sheet)
