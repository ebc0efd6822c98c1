"""Why no sheet can give a piece, or a group of pieces kept together: a sentence that names it and the rule."""

from __future__ import annotations

from collections.abc import Sequence

from webapp.costing.cutting.ask.model import SheetPiece
from webapp.costing.cutting.ask.saw_rules import UNCUT, SawRules


def why_no_place(piece: SheetPiece, usable: Sequence[tuple[int, int]], kerf: int, rules: SawRules) -> str:
    """The reason why no sheet (trimmed, one kerf added) can give the piece; empty where one can."""
    name = f"The piece '{piece.id}'"
    if not usable:
        return f"{name} has no sheet to be cut from: none is available."
    upright, turned = (piece.length + kerf, piece.width + kerf), (piece.width + kerf, piece.length + kerf)
    holding = [sides for sides in usable if _holds(sides, upright)]
    if not holding and not piece.may_turn and any(_holds(sides, turned) for sides in usable):
        return f"{name} is larger than the usable part of every sheet; it would fit if turned, but it may not turn."
    lying = [(sides, upright) for sides in holding]
    if piece.may_turn:
        lying += [(sides, turned) for sides in usable if _holds(sides, turned)]
    if not lying:
        return f"{name} is larger than the usable part of every sheet."
    if not rules.bind() or any(rules.freeing(*shape, *sides, UNCUT) for sides, shape in lying):
        return ""
    if not any(rules._replace(most_turns=10**9).freeing(*shape, *sides, UNCUT) for sides, shape in lying):
        return (
            f"{name} can't be cut: its longer side is less than the smallest strip that the saw may hold, "
            "so it would have to come off a strip narrower than that."
        )
    return f"{name} can't be cut with {_turns(rules)} of the sheet between rip and cross cuts."


def why_no_block(
    name: str, members: list[SheetPiece], usable: Sequence[tuple[int, int]], kerf: int, rules: SawRules
) -> str:
    """The reason why no sheet can give the pieces kept together as one block."""
    start = f"The pieces kept together as '{name}'"
    if not usable:
        return f"{start} have no sheet to be cut from: none is available."
    for piece in members:
        alone = why_no_place(piece, usable, kerf, rules)
        if alone:
            return f"{start} can't come from one sheet. {alone}"
    number = sum(piece.count for piece in members)
    locked = any(not piece.may_turn for piece in members)
    grain = "with their grain one way, " if locked else ""
    if rules.bind():
        return f"{start} can't be had as one block of {number} pieces, {grain}under the rules for strips and turns."
    return f"{start} are {number}; {grain}no sheet holds them as one block."


def _holds(sides: tuple[int, int], shape: tuple[int, int]) -> bool:
    return shape[0] <= sides[0] and shape[1] <= sides[1]


def _turns(rules: SawRules) -> str:
    if not rules.most_turns:
        return "no turn"
    return "1 turn" if rules.most_turns == 1 else f"{rules.most_turns} turns"
