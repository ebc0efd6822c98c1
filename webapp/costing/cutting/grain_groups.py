"""Pieces that must come from one sheet so that the grain runs on: laid as one block, in the order they are listed in.

A block is a row along the grain, a stack across it, or rows of equal number where neither fits. Pieces that may not
turn never do; those that may are turned all or none.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Final, NamedTuple

from webapp.costing.cutting.guarded_rules import Box, Made, SawRules, can_part
from webapp.costing.cutting.model import SheetPiece

MOST_BLOCKS: Final = 24
"""The ways of laying one group that are tried; all the slenderest and squarest are among them."""


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

    def cuts(self) -> tuple[int, int]:
        """The cuts that part the block, rows first, and their length together, kerf added to each."""
        rows: dict[int, list[Member]] = {}
        for member in self.members:
            rows.setdefault(member.y, []).append(member)
        cuts = len(rows) - 1
        length = cuts * self.along
        for row in rows.values():
            tall = max(member.across for member in row)
            crosscuts = len(row) if sum(member.along for member in row) < self.along else len(row) - 1
            shorter = [member.along for member in row if member.across < tall]
            cuts += crosscuts + len(shorter)
            length += crosscuts * tall + sum(shorter)
        return cuts, length

    def in_units(self, unit: int) -> Block:
        """The same with every size divided by a unit that divides them all."""
        return Block(
            self.along // unit,
            self.across // unit,
            tuple(Member(m.piece, m.x // unit, m.y // unit, m.along // unit, m.across // unit, m.turned)
                  for m in self.members),
        )  # fmt: skip


def blocks_of(pieces: list[SheetPiece], kerf: int) -> list[Block]:
    """The ways of laying a group as one block, those that are larger both ways than another left out."""
    each = [piece for piece in pieces for _ in range(piece.count)]
    found: list[Block] = []
    for turned in (False, True) if any(piece.may_turn for piece in pieces) else (False,):
        rows = {-(-len(each) // in_a_row) for in_a_row in range(1, len(each) + 1)}
        for number in sorted(rows):
            block = _laid_in_rows(each, -(-len(each) // number), turned, kerf)
            if not any(other.along <= block.along and other.across <= block.across for other in found):
                found.append(block)
    return [
        one
        for one in found
        if not any(
            other is not one and other.along <= one.along and other.across <= one.across for other in found
        )
    ]  # fmt: skip


def _laid_in_rows(pieces: list[SheetPiece], in_a_row: int, free_turned: bool, kerf: int) -> Block:
    members: list[Member] = []
    longest = low = 0
    for start in range(0, len(pieces), in_a_row):
        left = tallest = 0
        for piece in pieces[start : start + in_a_row]:
            turned = free_turned and piece.may_turn
            sizes = (piece.width + kerf, piece.length + kerf) if turned else (piece.length + kerf, piece.width + kerf)
            members.append(Member(piece.id, left, low, *sizes, turned))
            left += sizes[0]
            tallest = max(tallest, sizes[1])
        longest = max(longest, left)
        low += tallest
    return Block(longest, low, tuple(members))


def members_by_piece(block: Block) -> Counter[str]:
    """How many of each piece a block holds."""
    return Counter(member.piece for member in block.members)
