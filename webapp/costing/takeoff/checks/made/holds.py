"""Is there room for what is to live over a part: from its top to whatever comes above, at the least of its pieces?"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from webapp.costing.designs.made import Holds
from webapp.costing.errors import FormulaError
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.joints import FittedHardware
from webapp.costing.takeoff.model import Check, Held
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.placed.solid import Placed


def check_holds(taking: Taking, parts: Sequence[MadePart], hardware: Sequence[FittedHardware]) -> None:
    """Check each thing that a design says lives over a part of it."""
    placed = [piece for one in parts for piece in one.solids]
    placed += [piece for one in hardware for piece in one.placed]
    for entry in filter(taking.environment.active, taking.design.holds.values()):
        on = [piece for piece in placed if piece.part == entry.part and not piece.of_hardware and not piece.nth]
        if not on:
            continue
        try:
            tall = taking.figure(f"holds/{entry.name}/tall", f"{entry.says}: how tall", "nm", entry.tall)
        except FormulaError as error:
            taking.wrong(
                f"holds.{entry.name}", f"The room for “{entry.says}” can't be checked. {taking.why(error)}", "warning"
            )
            continue
        _check(taking, entry, on, placed, tall.value, tall.id)


def _check(
    taking: Taking, entry: Holds, on: Sequence[Placed], placed: Sequence[Placed], tall: Fraction, figure: str
) -> None:
    part, name = taking.design.parts[entry.part].says, f"holds/{entry.name}"
    found = [(room, piece, above) for piece in on for room, above in _over(piece, placed, entry.within)]
    if not found:
        if entry.within:
            said = f"{entry.says}: no “{taking.design.parts[entry.within].says}” stands by “{part}”: type its place."
            taking.checks.append(Check(name, "unknown", said, (figure,)))
            return
        taking.checks.append(Check(name, "pass", f"{entry.says}: over “{part}” it is open above.", (figure,)))
        return
    room, piece, above = min(found, key=lambda one: one[0])
    up_to = taking.design.parts.get(above.part) or taking.design.hardware[above.part]
    short = f", {taking.fine(tall - room)} short" if room < tall else ""
    edge = "the top of " if entry.within else ""
    said = (
        f"{entry.says}: {taking.fine(room)} high over “{part}” {piece.number}, up to {edge}"
        f"“{up_to.says}” {above.number}, for things of {taking.fine(tall)}{short}."
    )
    taking.checks.append(Check(name, "failure" if short else "pass", said, (figure,), Held(tall, room, "nm")))


def _over(piece: Placed, placed: Sequence[Placed], within: str) -> list[tuple[Fraction, Placed]]:
    """The clear height over a piece: to the lowest thing above that does not stand on it, or to the lowest top of what
    it lies within."""
    top = piece.corner[2] + piece.extent[2]
    if within:
        found = [(other.corner[2] + other.extent[2] - top, other) for other in placed
                 if other.part == within and _beside(piece, other)]  # fmt: skip
        return [one for one in found if one[0] > 0]
    above = [(other.corner[2] - top, other) for other in placed if other is not piece and _shares(piece, other, (0, 1))]
    over = [one for one in above if one[0] > 0]
    return [min(over, key=lambda one: one[0])] if over else []


def _shares(piece: Placed, other: Placed, axes: Sequence[int], *, may_touch: bool = False) -> bool:
    for axis in axes:
        low = max(piece.corner[axis], other.corner[axis])
        high = min(piece.corner[axis] + piece.extent[axis], other.corner[axis] + other.extent[axis])
        if high < low or (high == low and not may_touch):
            return False
    return True


def _beside(piece: Placed, other: Placed) -> bool:
    """Whether two pieces touch, at an edge at least."""
    return _shares(piece, other, (0, 1, 2), may_touch=True)
