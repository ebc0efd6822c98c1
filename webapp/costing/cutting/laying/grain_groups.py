"""Pieces that must come from one sheet so that the grain runs on: laid as one block, in the order they are listed in.

A block is a row along the grain, a stack across it, or rows of equal number where neither fits. Pieces that may not
turn never do; those that may are turned all or none.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple

from webapp.costing.cutting.ask.model import SheetPiece
from webapp.costing.cutting.ask.saw_rules import Box, Made, SawRules, can_part

MOST_BLOCKS: Final = 24
FEWEST_BLOCKS: Final = 3
MOST_MEMBERS: Final = 2_000
"""How many ways of laying one group are tried, fewer where it has very many pieces; the slenderest are among them."""


class Member(NamedTuple):
    """One piece of a block: its place from the block's corner, its size as it lies (kerf added), whether turned."""

    piece: str
    x: int
    y: int
    along: int
    across: int
    turned: bool


@dataclass(frozen=True, slots=True)
class Block:
    """One way of laying a group, kerf added; a shorter piece of a row or stack has waste beside it."""

    along: int
    across: int
    members: tuple[Member, ...]

    def parts(self, rules: SawRules, made: Made) -> bool:
        """Whether the saw may part the block, which itself came to be in the given way."""
        boxes: list[Box] = [(m.x, m.y, m.x + m.along, m.y + m.across) for m in self.members]
        return can_part(rules, boxes, (0, 0, self.along, self.across), made)

    def cuts(self) -> int:
        """How many cuts part the block, rows first."""
        rows: dict[int, list[Member]] = {}
        for member in self.members:
            rows.setdefault(member.y, []).append(member)
        cuts = len(rows) - 1
        for row in rows.values():
            tall = max(member.across for member in row)
            cuts += len(row) if sum(member.along for member in row) < self.along else len(row) - 1
            cuts += sum(1 for member in row if member.across < tall)
        return cuts

    def in_units(self, unit: int) -> Block:
        """The same with every size divided by a unit that divides them all."""
        return Block(
            self.along // unit,
            self.across // unit,
            tuple(Member(m.piece, m.x // unit, m.y // unit, m.along // unit, m.across // unit, m.turned)
                  for m in self.members),
        )  # fmt: skip


@lru_cache(maxsize=64)
def blocks_of(pieces: tuple[SheetPiece, ...], kerf: int, usable: tuple[tuple[int, int], ...]) -> tuple[Block, ...]:
    """The ways of laying a group as one block that fit a sheet, those larger both ways than another left out."""
    each = [piece for piece in pieces for _ in range(piece.count)]
    ways: dict[tuple[int, int], tuple[int, bool]] = {}
    for turned in (False, True) if any(piece.may_turn for piece in pieces) else (False,):
        lying = [_lying(piece, turned, kerf) for piece in each]
        along_each, across_each = [one[0] for one in lying], [one[1] for one in lying]
        in_a_row = len(each)
        while in_a_row:
            extent = _extent(along_each, across_each, in_a_row)
            if any(extent[0] <= along and extent[1] <= across for along, across in usable):
                ways.setdefault(extent, (in_a_row, turned))
            rows = -(-len(each) // (in_a_row - 1)) if in_a_row > 1 else 0
            in_a_row = -(-len(each) // rows) if rows else 0
    kept = []
    least: int | None = None
    for extent in sorted(ways):
        if least is None or extent[1] < least:
            least = extent[1]
            kept.append(ways[extent])
    most = max(FEWEST_BLOCKS, min(MOST_BLOCKS, MOST_MEMBERS // len(each)))
    if len(kept) > most:
        kept = [kept[place * (len(kept) - 1) // (most - 1)] for place in range(most)]
    return tuple(_laid_in_rows(each, in_a_row, turned, kerf) for in_a_row, turned in kept)


def _lying(piece: SheetPiece, free_turned: bool, kerf: int) -> tuple[int, int, bool]:
    if free_turned and piece.may_turn:
        return piece.width + kerf, piece.length + kerf, True
    return piece.length + kerf, piece.width + kerf, False


def _extent(along: list[int], across: list[int], in_a_row: int) -> tuple[int, int]:
    starts = range(0, len(along), in_a_row)
    longest = max(sum(along[start : start + in_a_row]) for start in starts)
    return longest, sum(max(across[start : start + in_a_row]) for start in starts)


def _laid_in_rows(pieces: list[SheetPiece], in_a_row: int, free_turned: bool, kerf: int) -> Block:
    members: list[Member] = []
    longest = low = 0
    for start in range(0, len(pieces), in_a_row):
        left = tallest = 0
        for piece in pieces[start : start + in_a_row]:
            along, across, turned = _lying(piece, free_turned, kerf)
            members.append(Member(piece.id, left, low, along, across, turned))
            left += along
            tallest = max(tallest, across)
        longest = max(longest, left)
        low += tallest
    return Block(longest, low, tuple(members))
