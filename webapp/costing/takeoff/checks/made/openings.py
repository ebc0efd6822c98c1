"""Openings and plates let in: to the edges, to each other and to holes, what they cut through behind, and the ledge."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Final

from webapp.costing.measures.written import and_words
from webapp.costing.takeoff.checks.made.apart import beside_holes, between
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.made.cuts import Cut, in_mm
from webapp.costing.takeoff.made.holes import Drilled
from webapp.costing.takeoff.made.legs import folded_edges
from webapp.costing.takeoff.made.openings import Opened
from webapp.costing.takeoff.made.sides import EDGE_WORDS, Behind
from webapp.costing.takeoff.made.through import open_within
from webapp.costing.takeoff.model import Check, Held, Outcome
from webapp.costing.trade.holes import wanted_to_edge

#: A plate that is let in wants so much wood beneath its ledge (common practice), nm.
UNDER_PLATE: Final = Fraction(6_000_000)


def check_openings(taking: Taking, opened: Sequence[Opened], drilled: Sequence[Drilled]) -> None:
    """Check all openings. Rules: common practice: a strip that stays is at least as wide as the part is thick."""
    for place, one in enumerate(opened):
        _check_edges(taking, one)
        for other in opened[place + 1 :]:
            if other.part.part.name == one.part.part.name and other.side.axis == one.side.axis:
                _check_pair(taking, one, other)
        for holes in drilled:
            if holes.part.part.name == one.part.part.name and holes.side.axis == one.side.axis:
                _check_holes(taking, one, holes)
        _check_behind(taking, one)
        _check_ledge(taking, one)


def _note(taking: Taking, one: Opened, name: str, left: Fraction, wanted: Fraction, said: str) -> None:
    outcome: Outcome = "pass" if left >= wanted else "failure"
    taking.checks.append(
        Check(f"openings/{one.entry.name}/{name}", outcome, f"{one.entry.says}: {said}", (), Held(wanted, left, "nm"))
    )


def _check_edges(taking: Taking, one: Opened) -> None:
    cut, folded = one.cuts[0], folded_edges(one.part)
    found = [
        (room, EDGE_WORDS[one.side.plane[along], end])
        for along in (0, 1)
        for room, end in ((cut.low[along], 0), (one.side.reach[along] - cut.high[along], 1))
        if EDGE_WORDS[one.side.plane[along], end] not in folded
    ]
    # Where the metal is folded it goes on.
    if not found:
        return
    left, edge = min(found)
    wanted = one.side.through
    said = (
        f"{taking.fine(left)} are left to the {edge} edge of “{one.part.part.says}”; "
        f"{taking.fine(wanted)}, as much as it is thick, are wanted."
    )
    _note(taking, one, "edge", left, wanted, said)


def _check_pair(taking: Taking, one: Opened, other: Opened) -> None:
    left, wanted = between(one.cuts[0], other.cuts[0]), one.side.through
    name = f"apart/{other.entry.name}"
    if left <= 0:
        _note(taking, one, name, Fraction(-1), wanted, f"it runs into “{other.entry.says}”.")
        return
    said = (
        f"{taking.fine(left)} are left to “{other.entry.says}”; {taking.fine(wanted)}, "
        f"as much as “{one.part.part.says}” is thick, are wanted."
    )
    _note(taking, one, name, left, wanted, said)


def _check_holes(taking: Taking, one: Opened, holes: Drilled) -> None:
    """The holes of a row against the opening: those that lie in it are named by their numbers."""
    wanted, left, within = wanted_to_edge(holes.diameter), *beside_holes(one.cuts[0], holes)
    name = f"holes/{holes.entry.name}"
    if within:
        lie = "hole runs" if len(within) == 1 else "holes run"
        more = " and more" if len(within) > 12 else ""
        said = (
            f"{len(within)} {lie} into it: no. {and_words([str(number) for number in within[:12]])}{more} of "
            f"“{holes.entry.says}”."
        )
        _note(taking, one, name, Fraction(-1), wanted, said)
        return
    if left is None:
        return
    said = (
        f"{taking.fine(left)} are left to the nearest hole of “{holes.entry.says}”; "
        f"{taking.fine(wanted)}, the width of the hole, are wanted."
    )
    _note(taking, one, name, left, wanted, said)


def _crossed(cut: Cut, behind: Behind) -> bool:
    if not all(behind.low[along] < cut.high[along] and cut.low[along] < behind.high[along] for along in (0, 1)):
        return False
    return cut.laid is None or open_within(cut.laid, in_mm(behind.low), in_mm(behind.high)) > 0


def _check_behind(taking: Taking, one: Opened) -> None:
    """What goes through runs over whatever meets the part there: that is cut too, and the opening is framed."""
    through = next((cut for cut in one.cuts if not cut.depth), None)
    if one.beyond and through is not None:
        _check_cut(taking, one, through)
        return
    if through is None or not one.behind:
        return
    crossed: dict[str, list[int]] = {}
    for rib in one.behind:
        if _crossed(through, rib) and rib.number not in crossed.setdefault(rib.part, []):
            crossed[rib.part].append(rib.number)
    crossed = {name: numbers for name, numbers in crossed.items() if numbers}
    if not crossed:
        said = f"{one.entry.says}: nothing that meets “{one.part.part.says}” lies in its way."
        taking.checks.append(Check(f"openings/{one.entry.name}/behind", "pass", said))
        return
    said = (
        f"{one.entry.says}: it runs over {_numbered(taking, crossed)}: cut there too, and frame the opening with "
        f"blocking, {taking.length(through.around)} in all; the parts are counted whole."
    )
    taking.checks.append(Check(f"openings/{one.entry.name}/behind", "warning", said))


def _numbered(taking: Taking, pieces: Mapping[str, Sequence[int]]) -> str:
    return and_words([
        f"“{taking.design.thing(name).says}” no. {and_words([str(number) for number in numbers])}"
        for name, numbers in pieces.items()
    ])  # fmt: skip


def _check_cut(taking: Taking, one: Opened, through: Cut) -> None:
    """What it goes through behind is named; hardware, and what stands aslant, can't be gone through."""
    cut: dict[str, list[int]] = {}
    kept: dict[str, list[int]] = {}
    for each in one.beyond:
        (cut if each.can_be_cut else kept).setdefault(each.piece.part, []).append(each.piece.number)
    name = f"openings/{one.entry.name}/behind"
    if kept:
        said = f"{one.entry.says}: in its line lies {_numbered(taking, kept)}, which can't be cut; move the opening."
        taking.checks.append(Check(name, "failure", said))
        return
    figures = tuple(lost.mass.id for lost in one.lost if lost.mass is not None)
    are = "is" if len(one.beyond) == 1 else "are"
    said = (
        f"{one.entry.says}: {_numbered(taking, cut)} {are} cut through with it; where what is cut was held, frame the "
        f"opening with blocking, {taking.length(through.around)} in all."
    )
    taking.checks.append(Check(name, "pass", said, figures))


def _check_ledge(taking: Taking, one: Opened) -> None:
    """What is left beneath the ledge of a plate; where that is thin it wants blocking behind."""
    if not one.entry.let_in:
        return
    left = one.side.through - one.cuts[0].depth
    outcome: Outcome = "pass" if left >= UNDER_PLATE else "warning"
    around = taking.length(one.cuts[0].around)
    help_ = "" if left >= UNDER_PLATE else f" Blocking behind the ledge, {around} in all, carries it."
    said = (
        f"{one.entry.says}: {taking.fine(left)} of “{one.part.part.says}” are left beneath its ledge; "
        f"{taking.fine(UNDER_PLATE)} are wanted (common practice).{help_}"
    )
    held = Held(UNDER_PLATE, left, "nm")
    taking.checks.append(Check(f"openings/{one.entry.name}/ledge", outcome, said, (), held))
