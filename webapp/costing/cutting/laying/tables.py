"""A packing problem as the tables that the compiled laying works on: see `rows`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from webapp.costing.cutting.ask.saw_rules import ACROSS, ALONG, ANY_TURNS, NOT_CUT, Made, SawRules
from webapp.costing.cutting.laying.grain_groups import Block
from webapp.costing.cutting.laying.rows import SHAPE_COLUMNS, Real, Whole

if TYPE_CHECKING:
    from webapp.costing.cutting.laying.problem import Kind, Sheet

MOST_AREA: Final = 2**60
"""Of a sheet, to be compared as it is: sizes typed to the nanometre can be too much for 64 bits."""
NEVER: Final = -1


@dataclass(frozen=True, slots=True)
class Tables:
    """Kinds, their shapes and senses of size, stocks and rules, a row each."""

    kinds: Whole
    shapes: Whole
    senses: Real
    stocks: Whole
    rules: Whole
    shortened: int


def tables_of(kinds: Sequence[Kind], sheets: Sequence[Sheet], rules: SawRules, *, by_router: bool) -> Tables:
    """The tables of a problem; areas in them are shortened as its sheets need."""
    shortened = 0
    while any((sheet.along >> shortened) * (sheet.across >> shortened) > MOST_AREA for sheet in sheets):
        shortened += 1
    shapes: list[tuple[int, ...]] = []
    rows: list[tuple[int, ...]] = []
    for kind in kinds:
        first = len(shapes)
        for number, (along, across) in enumerate(kind.shapes):
            block = kind.blocks[number] if kind.blocks else None
            turns = [_most_turns(block, rules, cut) for cut in (NOT_CUT, ACROSS, ALONG)]
            shapes.append((along, across, *turns, block.cuts() if block else 0))
        least_side = min(min(shape) for shape in kind.shapes)
        rows.append((first, len(shapes), kind.area >> 2 * shortened, least_side))
    return Tables(
        np.array(rows, dtype=np.int64).reshape(-1, 4),
        np.array(shapes, dtype=np.int64).reshape(-1, SHAPE_COLUMNS),
        np.array([senses_of(kind) for kind in kinds], dtype=np.float64).reshape(-1, 4),
        np.array([(sheet.along, sheet.across) for sheet in sheets], dtype=np.int64).reshape(-1, 2),
        np.array([rules.bind() and not by_router, rules.least, rules.most_turns, by_router, shortened], dtype=np.int64),
        shortened,
    )


def senses_of(kind: Kind) -> tuple[float, float, float, float]:
    """How large a kind is in several senses: by area, by its longer side, by its shorter, by both together."""
    return (
        float(kind.area),
        float(max(kind.along, kind.across)) ** 2,
        float(min(kind.along, kind.across)) ** 2,
        float(kind.along + kind.across) ** 2,
    )


def _most_turns(block: Block | None, rules: SawRules, cut: int) -> int:
    """The most turns that freeing a shape by such a cut may take, for the saw to part it further."""
    if block is None or not rules.bind():
        return ANY_TURNS
    if not block.parts(rules, Made(cut, 0)):
        return NEVER
    if rules.most_turns >= ANY_TURNS:
        return ANY_TURNS
    needed = 0
    while not block.parts(rules, Made(cut, rules.most_turns - needed)):
        needed += 1
    return rules.most_turns - needed
