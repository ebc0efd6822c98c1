"""Holes: to the edges, to each other, to what meets the part behind, to the peg that goes in, and in thin skins."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.measures.written import and_words
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.made.holes import Drilled, strikes
from webapp.costing.takeoff.made.legs import folded_edges
from webapp.costing.takeoff.made.sides import EDGE_WORDS
from webapp.costing.takeoff.model import Check, Held, Outcome
from webapp.costing.takeoff.placed.stood import AXES
from webapp.costing.trade.holes import share_of_row, wanted_between, wanted_to_edge
from webapp.costing.trade.roots import root_to_places

#: What is left beside a hole that does not go through: the floor of it holds (common practice), nm.
BESIDE_BLIND: Final = Fraction(3_000_000)
#: In an edge a hole is at most half as wide as that is thick, so that a quarter is left on each side (common practice).
IN_EDGE: Final = Fraction(1, 2)
#: How much wider a hole may be than what goes in before it hangs loose, as a share (common practice).
LOOSE: Final = Fraction(1, 10)


def check_holes(taking: Taking, drilled: Sequence[Drilled]) -> None:
    """Check all rows of holes. Rules: common practice."""
    for one in drilled:
        if not one.count.value:
            continue
        _check_edges(taking, one)
        _check_apart(taking, one, drilled)
        _check_ribs(taking, one)
        _check_skin(taking, one)
        _check_what_goes_in(taking, one)


def _wanted(one: Drilled, of: Fraction) -> Fraction:
    """What is wanted beside a hole: its diameter where it goes through a broad face, less where it does not."""
    if AXES[one.side.axis] in (one.part.part.length_axis, one.part.part.width_axis):
        return of * IN_EDGE
    return min(of, BESIDE_BLIND) if one.depth else of


def _check_edges(taking: Taking, one: Drilled) -> None:
    """What is left from the rim of the nearest hole to each edge."""
    found = []
    for along, line in enumerate(one.lines):
        axis = one.side.plane[along]
        found += [(line[0], EDGE_WORDS[axis, 0]), (one.side.reach[along] - line[-1], EDGE_WORDS[axis, 1])]
    # Where the metal is folded it goes on.
    found = [each for each in found if each[1] not in folded_edges(one.part)]
    if not found:
        return
    middle, edge = min(found)
    left, wanted = middle - one.diameter / 2, _wanted(one, wanted_to_edge(one.diameter))
    said = (
        f"{one.entry.says}: {taking.fine(left)} are left from a hole of "
        f"{taking.length(one.diameter)} to the {edge} edge of “{one.part.part.says}”; "
        f"{taking.fine(wanted)} are wanted."
    )
    _note(taking, one, "edge", left, wanted, said)


def _check_apart(taking: Taking, one: Drilled, drilled: Sequence[Drilled]) -> None:
    """What is left between the two nearest holes, those of other rows in the same part among them."""
    found = []
    steps = [min((after - before for before, after in pairwise(line)), default=None) for line in one.lines]
    within = min((step for step in steps if step is not None), default=None)
    if within is not None:
        found.append((within - one.diameter, _wanted(one, wanted_between(one.diameter, one.diameter)), ""))
    for other in drilled[drilled.index(one) + 1 :]:
        apart = other.part.part.name != one.part.part.name or other.side.axis != one.side.axis
        if apart or not _share_wood(one, other):
            continue
        aside = [min(abs(a - b) for a in mine for b in theirs)
                 for mine, theirs in zip(one.lines, other.lines, strict=True)]  # fmt: skip
        left = root_to_places(aside[0] ** 2 + aside[1] ** 2) - (one.diameter + other.diameter) / 2
        wanted = min(_wanted(each, wanted_between(one.diameter, other.diameter)) for each in (one, other))
        found.append((left, wanted, f" and one of “{other.entry.says}”"))
    for place, (left, wanted, beside) in enumerate(found):
        between = f"a hole of {taking.length(one.diameter)}{beside}" if beside else (
            f"two holes of {taking.length(one.diameter)}"
        )
        share = ""
        if not beside and within is not None and left >= wanted:
            share = f"; {int(share_of_row(within, one.diameter) * 100)} % of the strip along a row stays whole"
        said = (
            f"{one.entry.says}: {taking.fine(left)} are left between {between} in "
            f"“{one.part.part.says}”; {taking.fine(wanted)} are wanted{share}."
        )
        _note(taking, one, f"apart/{place}" if beside else "apart", left, wanted, said)


def _share_wood(one: Drilled, other: Drilled) -> bool:
    """Whether two rows reach as deep as that they could run into each other."""
    if not one.depth or not other.depth or one.side.ends == other.side.ends:
        return True
    return one.depth + other.depth >= one.side.through


def _note(taking: Taking, one: Drilled, name: str, left: Fraction, wanted: Fraction, said: str) -> None:
    outcome: Outcome = "pass" if left >= wanted else "failure"
    taking.checks.append(
        Check(f"holes/{one.entry.name}/{name}", outcome, said, (one.count.id,), Held(wanted, left, "nm"))
    )


def _check_ribs(taking: Taking, one: Drilled) -> None:
    """Which holes run into what meets the part, by their numbers; a hole for a fastening is meant to."""
    role = taking.design.roles.get(one.entry.takes)
    if one.depth or (role is not None and role.kind is Kind.FASTENER):
        return
    key, says = f"holes/{one.entry.name}/ribs", one.entry.says
    if one.moved is not None and (one.moved.lines or one.moved.left_out):
        done = []
        if one.moved.lines:
            rows = "one row or column is" if one.moved.lines == 1 else f"{one.moved.lines} rows or columns are"
            done.append(f"{rows} moved by {taking.fine(one.moved.most)} at most")
        if one.moved.left_out:
            done.append(f"{one.moved.left_out} hole{'s are' if one.moved.left_out > 1 else ' is'} left out")
        ribs = and_words([f"“{taking.design.thing(name).says}”" for name in one.moved.ribs])
        outcome: Outcome = "warning" if one.moved.left_out else "pass"
        sentence = f"{says}: {' and '.join(done)}, to keep clear of {ribs}."
        taking.checks.append(Check(f"holes/{one.entry.name}/clear", outcome, sentence, (one.count.id,)))
    holes = one.numbered()
    struck = {}
    for rib, crossings in strikes(one.lines, one.diameter / 2, one.behind):
        numbers = [holes[hole] for hole in crossings if hole in holes]
        if numbers:
            struck[rib] = numbers
    if not one.behind:
        return
    if not struck:
        taking.checks.append(
            Check(key, "pass", f"{says}: what meets “{one.part.part.says}” behind falls between the holes.")
        )
        return
    pieces = len(one.part.placed)
    parts: dict[str, list[str]] = {}
    for rib, numbers in struck.items():
        of = f" in no. {rib.of_piece}" if pieces > 1 else ""
        parts.setdefault(rib.part, []).append(f"no. {rib.number} {_numbers(numbers)}{of}")
    hit = len({(rib.of_piece, number) for rib, numbers in struck.items() for number in numbers})
    told = "; ".join(f"“{taking.design.thing(name).says}” {', '.join(each)}" for name, each in parts.items())
    strike = "hole runs" if hit == 1 else "holes run"
    taking.checks.append(
        Check(
            key, "failure",
            f"{says}: {hit} of {int(one.count.value)} {strike} into what meets “{one.part.part.says}” behind: {told}.",
            (one.count.id,),
        )
    )  # fmt: skip


def _numbers(numbers: Sequence[int]) -> str:
    """Numbers of holes in words: 'at holes 17 to 32 and 40'."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    said = [f"{run[0]} to {run[-1]}" if len(run) > 2 else and_words([str(one) for one in run]) for run in runs]
    return f"at hole{'s' if len(numbers) > 1 else ''} {and_words(said)}"


def _check_skin(taking: Taking, one: Drilled) -> None:
    """A field of holes that something stands in wants as much wood as it is wide; a thinner skin gets a doubler."""
    sheet = one.part.taken.kind in (Kind.SHEET, Kind.BOARD)
    if one.depth or not sheet or min(len(line) for line in one.lines) < 2 or one.side.through >= one.diameter:
        return
    lacking = one.diameter - one.side.through
    taking.checks.append(
        Check(
            f"holes/{one.entry.name}/skin", "warning",
            f"{one.entry.says}: “{one.part.part.says}” is {taking.length(one.side.through)} thick, thinner than its "
            f"holes are wide ({taking.length(one.diameter)}): what stands in them leans. A doubler of "
            f"{taking.fine(lacking)} or more behind the holes helps (common practice).",
            (one.count.id,), Held(one.diameter, one.side.through, "nm"),
        )
    )  # fmt: skip


def _check_what_goes_in(taking: Taking, one: Drilled) -> None:
    """Whether what goes in goes in, by its diameter; how a hole turns out the shop's own test cut tells."""
    if not one.entry.takes:
        return
    hardware = taking.design.hardware.get(one.entry.takes)
    role = hardware.stock if hardware is not None else one.entry.takes
    if role not in taking.stock:
        return
    name, key = taking.stock[role].name, f"holes/{one.entry.name}/fit"
    wide = taking.stated.get(role, {}).get("diameter")
    if wide is None:
        said = f"“{name}” states no diameter, so whether it goes into the holes is not known: type it."
        taking.checks.append(Check(key, "unknown", f"{one.entry.says}: {said}"))
        return
    room = one.diameter - wide
    hole, peg = taking.length(one.diameter), taking.length(wide)
    outcome: Outcome
    if room < 0:
        outcome, said = "failure", f"“{name}” is {peg} wide and the hole {hole}: it does not go in."
    elif room > LOOSE * wide:
        outcome, said = "warning", f"“{name}” is {peg} wide and the hole {hole}: it hangs loose."
    else:
        outcome, said = "pass", f"“{name}”, {peg} wide, goes into a hole of {hole}; a test cut tells how tight it is."
    held = Held(wide, one.diameter, "nm")
    taking.checks.append(Check(key, outcome, f"{one.entry.says}: {said}", (one.count.id,), held))
