"""Pieces for the tests of this room: sizes in mm, made exact; and chance from a seed."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from random import Random
from typing import cast

from webapp.costing.space.bodies import Body, box_body
from webapp.costing.space.cuts import above, below, stick_between
from webapp.costing.space.turns import Turn, Vector, tilted, turn_about

F = Fraction
MM = 10**6
ORIGIN = (F(0), F(0), F(0))


@dataclass(frozen=True)
class Boxy:
    """A box as a take-off places it."""

    corner: Vector
    extent: Vector


def mm(*values: float | str | F) -> Vector:
    """A place or a size in mm, as nm."""
    return cast(Vector, tuple(F(str(value)) * MM for value in values))


def boxy(corner: tuple[float | str, ...], extent: tuple[float | str, ...]) -> Boxy:
    return Boxy(mm(*corner), mm(*extent))


def block(
    corner: tuple[float | str, ...], extent: tuple[float | str, ...], part: str = "Block", number: int = 1
) -> Body:
    """A square piece whose length runs along x, width along y and thickness along z."""
    return box_body(part, number, mm(*extent), mm(*corner))


def splayed_leg(
    front: float, side: float, *, section: tuple[float, float] = (40, 40), high: float = 700, at: Vector = ORIGIN,
    number: int = 1,
) -> Body:  # fmt: skip
    """A leg from the floor up to a level, its middle line through a place."""
    width, thickness = section
    return stick_between(
        "Leg", number, (F(str(width)) * MM, F(str(thickness)) * MM), tilted(F(str(front)), F(str(side))), at,
        (above(F(0)), below(F(str(high)) * MM)),
    )  # fmt: skip


def any_turn(chance: Random) -> Turn:
    """A turn about all three axes by whatever angles."""
    turn = turn_about(0, F(chance.randint(-180_000, 180_000), 1000))
    for axis in (1, 2):
        turn = turn.then(turn_about(axis, F(chance.randint(-180_000, 180_000), 1000)))
    return turn


def any_place(chance: Random, reach: int = 2000) -> Vector:
    """A place within so many mm of the origin along each axis, in whole nm."""
    return cast(Vector, tuple(F(chance.randint(-reach * MM, reach * MM)) for _ in range(3)))
