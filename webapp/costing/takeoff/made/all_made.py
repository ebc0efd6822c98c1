"""All that is made into the parts of one finished thing: what its steps count, and what the drawings show."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from webapp.costing.ledger.working import Figure
from webapp.costing.space.outlines import Laid
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.features import Hole, Marked, Pocket
from webapp.costing.takeoff.made.cuts import in_nm
from webapp.costing.takeoff.made.holes import Drilled, drawn_holes
from webapp.costing.takeoff.made.legs import marked_on_legs, on_flat
from webapp.costing.takeoff.made.openings import Opened, drawn_openings
from webapp.costing.takeoff.made.sides import OnSide
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.placed.folded import FoldedPart
from webapp.costing.takeoff.placed.solid import Corner


def folds_counted(
    taking: Taking, parts: Sequence[MadePart]
) -> tuple[Mapping[str, Figure], Mapping[str, Figure]]:
    """How many folds each entry makes: those that the shop makes itself, and those that are left to others."""
    own: dict[str, Figure] = {}
    sent_out: dict[str, Figure] = {}
    for one in parts:
        if one.folded is not None:
            (own if one.folded.own else sent_out).update(_counts(taking, one.folded, one.taken.count))
    return own, sent_out


def _counts(taking: Taking, folded: FoldedPart, count: Figure) -> Mapping[str, Figure]:
    found = {}
    for entry in {one.entry.name: one.entry for one in folded.folds}.values():
        number = sum(one.entry is entry for one in folded.folds)
        key = f"folds/{entry.name}"
        of_one = taking.given(f"{key}/of_one", f"{entry.says}: folds of one", number, "fold")
        found[entry.name] = taking.derive(f"{key}/count", f"{entry.says}: folds", "fold", "folds of one x count",
                                          "of_one * count", of_one=of_one, count=count)  # fmt: skip
    return found


def features_of(
    drilled: Sequence[Drilled], opened: Sequence[Opened]
) -> Mapping[str, tuple[Hole | Pocket, ...]]:
    """What is made into each part as a drawing of it by itself has it, by the part's name."""
    found: dict[str, list[Hole | Pocket]] = {}
    for one in drilled:
        found.setdefault(one.part.of, []).extend(_drawn(one.part, drawn_holes(one)))
    for each in (one for opening in opened for one in (opening, *opening.further)):
        found.setdefault(each.part.of, []).extend(_drawn(each.part, drawn_openings(each)))
    return {name: tuple(listed) for name, listed in found.items()}


def _drawn(part: MadePart, features: Sequence[Hole | Pocket]) -> Iterator[Hole | Pocket]:
    return on_flat(part, features) if part.legs else iter(features)


def marks_of(drilled: Sequence[Drilled], opened: Sequence[Opened]) -> tuple[Marked, ...]:
    """Where all of it stands on the pieces; what goes through is marked on both sides."""
    return (
        *(mark for each in opened for mark in _openings_marked(each)),
        *(mark for one in drilled for mark in _holes_marked(one)),
    )


def _openings_marked(one: Opened) -> Iterator[Marked]:
    if one.part.legs:
        cuts = [(cut.low, cut.high) for cut in one.cuts]
        yield from marked_on_legs(one.part, one.side.plane, cuts, one.entry.diameter is not None)
        return
    first, second = one.side.plane
    for piece, end in zip(one.part.placed, one.side.ends, strict=True):
        for cut in one.cuts:
            low = (round(piece.corner[first] + cut.low[0]), round(piece.corner[second] + cut.low[1]))
            high = (round(piece.corner[first] + cut.high[0]), round(piece.corner[second] + cut.high[1]))
            for side in (end,) if cut.depth else (0, 1):
                yield Marked(piece.part, piece.number, one.side.axis, side, low, high, one.entry.diameter is not None,
                             round(cut.corner), open=not cut.depth and not one.entry.let_in,
                             ring=_ring(cut.laid, piece.corner, one.side))  # fmt: skip
    for behind in (each for each in one.beyond if each.can_be_cut):
        at = behind.piece.corner
        low = (round(at[first] + behind.low[0]), round(at[second] + behind.low[1]))
        high = (round(at[first] + behind.high[0]), round(at[second] + behind.high[1]))
        is_round = behind.whole and one.entry.diameter is not None
        for side in (0, 1):
            yield Marked(behind.piece.part, behind.piece.number, one.side.axis, side, low, high, is_round,
                         open=True, ring=_ring(behind.laid, at, one.side))  # fmt: skip


def _ring(laid: Laid | None, corner: Corner, side: OnSide) -> tuple[tuple[int, int], ...]:
    """The outline of a cut as it stands, from the lower corner of its piece."""
    first, second = (corner[axis] for axis in side.plane)
    places = () if laid is None else map(in_nm, laid.ring)
    return tuple((round(along + first), round(up + second)) for along, up in places)


def _holes_marked(one: Drilled) -> Iterator[Marked]:
    radius, (first, second), crossings = one.diameter / 2, one.side.plane, one.numbered()
    if one.part.legs:
        about = [
            ([place - radius for place in middle], [place + radius for place in middle]) for middle in one.middles()
        ]
        yield from marked_on_legs(one.part, one.side.plane, about, is_round=True)
        return
    for piece, end in zip(one.part.placed, one.side.ends, strict=True):
        # The holes of a row or column reach alike across it.
        across, upward = (
            [(round(corner + middle - radius), round(corner + middle + radius)) for middle in line]
            for corner, line in zip((piece.corner[first], piece.corner[second]), one.lines, strict=True)
        )
        for column, row in crossings:
            (left, right), (lower, upper) = across[column], upward[row]
            low, high = (left, lower), (right, upper)
            for side in (end,) if one.depth else (0, 1):
                yield Marked(piece.part, piece.number, one.side.axis, side, low, high, is_round=True,
                             open=not one.depth)  # fmt: skip
