"""Does every joint meet at both its ends, is every piece held by something, and does nothing float?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from webapp.costing.designs.model import Joint
from webapp.costing.space.boxes import Ends
from webapp.costing.takeoff.checks.closeness import Closeness, gap_between, grouped, said_piece, stands_at
from webapp.costing.takeoff.context import Taking
from webapp.costing.takeoff.meetings import side_across
from webapp.costing.takeoff.model import Check
from webapp.costing.takeoff.placed.solid import Placed, one_piece


def check_held(taking: Taking, close: Closeness) -> None:
    """Note joints that fall short at one end, pieces that nothing holds, and pieces that hang in the air."""
    if taking.design.loose or not close.placed:
        return
    _check_both_ends(taking, close)
    loose = _check_all_held(taking, close)
    _check_nothing_floats(taking, close, loose)


# ---- both ends -------------------------------------------------------------------------------------------------------


def _check_both_ends(taking: Taking, close: Closeness) -> None:
    short = False
    for joint in close.joints:
        if not joint.touches:
            continue
        ends = {(place, axis): (met, other) for place, axis, met, other in _short_ends(taking, close, joint)}
        if not ends:
            continue
        short = True
        (place, _), (met, other) = min(ends.items())
        piece, beyond = close.placed[place], close.placed[other]
        gap = gap_between(piece, beyond)
        assert gap is not None
        more = f" ({len(ends)} such pieces in all)" if len(ends) > 1 else ""
        taking.checks.append(
            Check(
                f"both_ends/{joint.name}",
                "failure",
                f"{joint.says}: {said_piece(taking, piece)} meets {said_piece(taking, close.placed[met])} and falls "
                f"{taking.fine(gap[0])} short of {said_piece(taking, beyond)}{more}.",
            )
        )
    if not short and any(joint.touches for joint in close.joints):
        taking.checks.append(Check("both_ends", "pass", "Every joint meets at both its ends."))


def _short_ends(taking: Taking, close: Closeness, joint: Joint) -> Iterator[tuple[int, int, int, int]]:
    """Pieces that meet one piece of the joint and end short of another beyond: place, axis, the one met, the other."""
    for one, other in {*close.between(joint)}:
        for place, met in ((one, other), (other, one)):
            kind = close.placed[met].part
            for axis, upper in close.ends_on.get((place, met), ()):
                if not _is_broad(taking, close.placed[place], axis):
                    beyond = _falls_short(close, place, kind, axis, not upper)
                    if beyond is not None:
                        yield place, axis, met, beyond


def _is_broad(taking: Taking, piece: Placed, axis: int) -> bool:
    """Whether a piece turns its broad face along an axis: what lies flat on one thing need not reach another."""
    part = taking.design.parts.get(piece.part)
    return part is None or side_across(part, axis) == "thickness"


def _falls_short(close: Closeness, place: int, kind: str, axis: int, upper: bool) -> int | None:
    """What a piece falls short of with one end along an axis: the nearest piece there, where that is of this kind and
    no other piece as this one, in the same row, reaches it.

    Of what stands aslant nothing is said here: what an end of it misses is said where joints have to touch. Nor is
    anything of one leg of what is folded: it ends where the next begins.
    """
    if close.placed[place].body is not None or close.placed[place].share != 1:
        return None
    if any(each.across == axis and (each.one == place) == upper for each in close.meetings.of(place)):
        return None
    ends = close.ends[place]
    low, high = 2 * axis, 2 * axis + 1
    nearest: tuple[int, int] | None = None
    for other, beside in enumerate(close.ends):
        away = beside[low] - ends[high] if upper else ends[low] - beside[high]
        if away > 0 and (nearest is None or away < nearest[0]) and _in_row(ends, beside, axis):
            nearest = away, other
    if nearest is None or close.placed[nearest[1]].part != kind or close.placed[nearest[1]].body is not None:
        return None
    reached = any(
        close.placed[met].part == close.placed[place].part and _in_row(ends, close.ends[met], axis)
        for met in close.touching[nearest[1]]
    )
    return None if reached else nearest[1]


def _in_row(one: Ends, other: Ends, axis: int) -> bool:
    """Whether two pieces overlap in the two axes across one."""
    return all(
        one[side] < other[side + 1] and other[side] < one[side + 1] for side in (0, 2, 4) if side != 2 * axis
    )


# ---- held ------------------------------------------------------------------------------------------------------------


def _check_all_held(taking: Taking, close: Closeness) -> set[int]:
    """Note pieces that no joint, no hardware and nothing below holds; returns their places."""
    held = {place for joint in close.joints for pair in close.between(joint) for place in pair}
    pieces = [group for group in grouped(len(close.placed), one_piece(close.placed)) if len(group) > 1]
    for joint in close.joints:
        # Where a joint touches nowhere, that is said of the joint.
        if not joint.touches or not any(close.between(joint)):
            held |= {place for name in (joint.source, *joint.held) for place in close.by_part.get(name, ())}
    hardware = {place for place, piece in enumerate(close.placed) if piece.of_hardware}
    lying, loose = list[str](), list[int]()
    floor = _lowest(close.placed)
    for legs in pieces:
        # What holds or bears one leg of a piece does so with all of it.
        if any(place in held or close.touching[place] & hardware for place in legs):
            held.update(legs)
        elif any(stands_at(close.placed[place], floor) or _is_borne(close, place) for place in legs):
            lying.append(close.placed[legs[0]].part)
            held.update(legs)
    for place, piece in enumerate(close.placed):
        if place in held or place in hardware or close.touching[place] & hardware:
            continue
        if stands_at(piece, floor) or _is_borne(close, place):
            lying.append(piece.part)
        else:
            loose.append(place)
    if lying:
        names = ", ".join(f"“{taking.design.parts[name].says}”" for name in dict.fromkeys(lying))
        taking.checks.append(Check("lies_loose", "pass", f"Held by nothing but what bears it, so loose: {names}."))
    unsaid = close.holding_nowhere(taking)
    for name in dict.fromkeys(close.placed[place].part for place in loose):
        here = [close.placed[place] for place in loose if close.placed[place].part == name]
        many = sum(not piece.nth for piece in here)
        number = f", {many} pieces," if many > 1 else ""
        says = f"“{taking.design.parts[name].says}”{number}"
        if unsaid:
            said = (
                f"{says} is in no joint that touches and lies on nothing. Whether {_either(unsaid)} holds it is not "
                "known: type where that stands, or the joint."
            )
            taking.checks.append(Check(f"held/{name}", "unknown", said))
        else:
            said = f"{says} is held by nothing: it is in no joint that touches, and lies on nothing."
            taking.checks.append(Check(f"held/{name}", "failure", said))
    return set(loose)


def _is_borne(close: Closeness, place: int) -> bool:
    return any(each.across == 2 and each.other == place for each in close.meetings.of(place))


def _lowest(placed: Sequence[Placed]) -> Fraction:
    return min(piece.corner[2] for piece in placed)


def _either(names: Sequence[str]) -> str:
    return " or ".join(f"“{name}”" for name in names)


# ---- floating --------------------------------------------------------------------------------------------------------


def _check_nothing_floats(taking: Taking, close: Closeness, said: set[int]) -> None:
    """Note pieces that are linked by nothing to what stands lowest; those that are said to be held by nothing aside."""
    links = [(place, other) for place, others in enumerate(close.touching) for other in others if place < other]
    pieces = [*one_piece(close.placed), *close.held_apart(), *_hung_on_slides(taking, close)]
    groups = grouped(len(close.placed), [*links, *pieces])
    floor = _lowest(close.placed)
    stands = [any(stands_at(close.placed[place], floor) for place in group) for group in groups]
    standing = [place for group, low in zip(groups, stands, strict=True) if low for place in group]
    afloat = [group for group, low in zip(groups, stands, strict=True) if not low and not {*group} <= said]
    unsaid = close.holding_nowhere(taking)
    for group in afloat:
        names = list(dict.fromkeys(close.placed[place].part for place in group))
        called = ", ".join(f"“{taking.design.thing(name).says}”" for name in names)
        near = _nearest(close, group, standing)
        clear = "" if near is None else (
            f" {said_piece(taking, close.placed[near[1]])} stands {taking.fine(near[0])} clear of "
            f"{said_piece(taking, close.placed[near[2]])}."
        )  # fmt: skip
        if unsaid:
            tail = f" Whether {_either(unsaid)} holds it is not known: type where that stands, or the joint."
            taking.checks.append(Check(f"floats/{names[0]}", "unknown", f"{called}: touches nothing.{clear}{tail}"))
        else:
            tail = f"{called}: linked to nothing that stands on the floor.{clear}"
            taking.checks.append(Check(f"floats/{names[0]}", "failure", tail))
    if not afloat and not said:
        taking.checks.append(Check("floats", "pass", "All parts hang together, down to what stands lowest."))


def _hung_on_slides(taking: Taking, close: Closeness) -> Iterator[tuple[int, int]]:
    """What is drawn on something hangs on it: each piece that goes, with the first of those that stay. Whether anything
    stands beside that could hold it is looked at where its room is."""
    for move in filter(taking.environment.active, taking.design.moves.values()):
        stays = next((place for place, piece in enumerate(close.placed) if piece.part not in move.parts), None)
        if move.on and move.hinge is None and stays is not None:
            yield from ((place, stays) for name in move.parts for place in close.by_part.get(name, ()))


def _nearest(close: Closeness, group: Sequence[int], standing: Sequence[int]) -> tuple[Fraction, int, int] | None:
    found = [
        (gap[0], place, other)
        for place in group
        for other in standing
        if (gap := gap_between(close.placed[place], close.placed[other])) is not None
    ]
    return min(found, default=None)
