"""Pieces longer than the stock, made of parts that are joined end to end."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from webapp.costing.cutting.ask.model import LengthPiece, LengthPlan, LengthRequest, LengthStock, SplicePart
from webapp.costing.cutting.ask.price_breaks import most_to_be_had

MOST_PARTS: Final = 100
"""Of one piece; what would need more is no joinery but a slip of the pen."""


def usable_length(stock: LengthStock) -> int:
    """What pieces and the kerfs between them may fill: within the trims, less the reserve for defects."""
    within = stock.length - 2 * stock.trim
    return int(within * (1 - stock.reserve) // 1)


def with_splices(request: LengthRequest) -> tuple[LengthRequest, tuple[SplicePart, ...]]:
    """The request with each piece that has to be spliced replaced by its parts, and the parts.

    The rule is in the words of `LengthRequest`; a piece that can't be spliced by it stays as it is.
    """
    at_hand = [stock for stock in request.stocks if most_to_be_had(stock) != 0]
    unlimited = [stock for stock in at_hand if stock.available is None]
    longest = max((usable_length(stock) for stock in unlimited or at_hand), default=0)
    taken = {piece.id for piece in request.pieces}
    pieces: list[LengthPiece] = []
    parts: list[SplicePart] = []
    for piece in request.pieces:
        lengths = _part_lengths(request, piece, longest)
        if not lengths:
            pieces.append(piece)
            continue
        for number, length in enumerate(lengths, 1):
            name = f"{piece.id}~{number}"
            while name in taken:
                name += "~"
            taken.add(name)
            parts.append(SplicePart(name, piece.id, number, len(lengths), length))
            at_an_end = number in (1, len(lengths))
            pieces.append(LengthPiece(name, length, piece.count, mitred=piece.mitred and at_an_end))
    return replace(request, pieces=tuple(pieces)), tuple(parts)


def splices(plan: LengthPlan) -> int:
    """How many joints end to end the pieces of a plan have."""
    firsts = {part.id: part.of - 1 for part in plan.parts if part.number == 1}
    return sum(length.count * firsts.get(name, 0) for length in plan.lengths for name, _ in length.pieces)


def _part_lengths(request: LengthRequest, piece: LengthPiece, longest: int) -> list[int]:
    """The lengths of a piece's parts, in their order; none where it is not to be spliced or can't be."""
    splice = request.splice
    if splice is None or not piece.spliceable or not piece.count or piece.length <= longest or longest <= splice.lap:
        return []
    number = -(-(piece.length - splice.lap) // (longest - splice.lap))
    whole = piece.length + (number - 1) * splice.lap
    if number > MOST_PARTS or splice.shortest > longest or number * splice.shortest > whole:
        return []
    lengths = [longest] * (number - 1) + [whole - (number - 1) * longest]
    for place in range(number - 1, 0, -1):
        missing = max(0, splice.shortest - lengths[place])
        lengths[place] += missing
        lengths[place - 1] -= missing
    return lengths
