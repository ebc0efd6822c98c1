"""Tenons, housings and rebates against the wood that they are cut in. Rules: common practice."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Final

from webapp.costing.designs.made import Joinery
from webapp.costing.errors import FormulaError
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.model import Check, Held, Outcome
from webapp.costing.takeoff.parts import MadePart
from webapp.costing.takeoff.placed.stood import AXES

#: A tenon is about a third as thick as its part: from a quarter to a half (common practice).
THINNEST: Final = Fraction(1, 4)
THICKEST: Final = Fraction(1, 2)
#: A housing takes at most half of what it is cut in, a rebate two thirds (common practice).
HOUSED: Final = Fraction(1, 2)
REBATED: Final = Fraction(2, 3)


def check_joinery(taking: Taking, parts: Sequence[MadePart]) -> None:
    """Check all joinery under the answers chosen."""
    made = {one.part.name: one for one in parts}
    for entry in filter(taking.environment.active, taking.design.joinery.values()):
        if entry.part not in made or (entry.into and entry.into not in made):
            continue
        try:
            _check(taking, entry, made)
        except FormulaError as error:
            taking.wrong(f"joinery.{entry.name}", f"“{entry.says}” can't be checked. {taking.why(error)}", "warning")


def _check(taking: Taking, entry: Joinery, made: Mapping[str, MadePart]) -> None:
    deep = taking.environment.value(entry.deep)
    part = made[entry.part]
    if entry.sort == "tenon":
        assert entry.wide is not None
        _check_tenon(taking, entry, part, taking.environment.value(entry.wide))
        if entry.into:
            into = made[entry.into]
            room = _through(into, part)
            if room is not None:
                _note(taking, entry, "mortise", deep, room, room, into,
                      f"its tenons are {taking.fine(deep)} long")  # fmt: skip
        return
    within = made[entry.into] if entry.sort == "housing" else part
    thick = within.taken.thickness
    if thick is None:
        return
    most = thick.value * (HOUSED if entry.sort == "housing" else REBATED)
    _note(taking, entry, "depth", deep, most, thick.value, within,
          f"it is cut {taking.fine(deep)} deep")  # fmt: skip


def _through(into: MadePart, part: MadePart) -> Fraction | None:
    """How far the part with the mortise reaches the way that the tenon goes in."""
    return into.placed[0].extent[AXES.index(part.part.length_axis)] if into.placed else None


def _note(
    taking: Taking, entry: Joinery, name: str, deep: Fraction, most: Fraction, whole: Fraction, within: MadePart,
    said: str,
) -> None:  # fmt: skip
    outcome: Outcome = "pass" if deep <= most else "warning" if deep < whole else "failure"
    limit = "" if most == whole else f"; {taking.fine(most)} at most keep it strong (common practice)"
    taking.checks.append(
        Check(
            f"joinery/{entry.name}/{name}", outcome,
            f"{entry.says}: {said}, in “{within.part.says}”, {taking.fine(whole)} there{limit}.",
            (), Held(deep, most, "nm"),
        )
    )  # fmt: skip


def _check_tenon(taking: Taking, entry: Joinery, part: MadePart, wide: Fraction) -> None:
    thick = part.taken.thickness
    if thick is None:
        return
    least, most = thick.value * THINNEST, thick.value * THICKEST
    outcome: Outcome = "failure" if wide >= thick.value else "pass" if least <= wide <= most else "warning"
    taking.checks.append(
        Check(
            f"joinery/{entry.name}/tenon", outcome,
            f"{entry.says}: its tenons are {taking.fine(wide)} thick, “{part.part.says}” is "
            f"{taking.fine(thick.value)}; from a quarter to a half of that is usual (common practice).",
            (), Held(wide, most, "nm"),
        )
    )  # fmt: skip
