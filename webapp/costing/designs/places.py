"""Where pieces stand, said in words along one axis: 'left and right', '3 evenly from A to B', 'on leg', 'up to B'."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from typing import Final

from webapp.costing.designs.formulas import LENGTH, NUMBER, Dimension
from webapp.costing.designs.model import Axis
from webapp.costing.designs.stations import Pattern, Stations
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.formula import Expression

#: Reads a formula of a dimension; raises FormulaError with a sentence.
ReadFormula = Callable[[str, Dimension], Expression]

#: The two ends of the whole along an axis, as people call them.
ENDS: Final[Mapping[Axis, tuple[str, str]]] = {
    "x": ("left", "right"), "y": ("front", "back"), "z": ("bottom", "top"),
}  # fmt: skip
#: What beside another part is called: the axis, and whether the piece stands beyond it or before it.
_BESIDE: Final[Mapping[str, tuple[Axis, str, bool]]] = {
    "right of": ("x", "right", True), "left of": ("x", "left", False), "behind": ("y", "back", True),
    "in front of": ("y", "front", False), "on top of": ("z", "top", True), "on": ("z", "top", True),
    "under": ("z", "bottom", False),
}  # fmt: skip

_NAME: Final = "[a-z][a-z0-9_]*"
_INSET: Final = r"(?: inset (?P<inset>.+?))?"
_BETWEEN_PART: Final = re.compile(rf"between (?P<part>{_NAME})")
_BAYS: Final = re.compile(rf"(?P<how>in|at both sides of) each bay of (?P<part>{_NAME})")
_BESIDE_PART: Final = re.compile(
    rf"(?:against )?(?P<side>right of|left of|behind|in front of|on top of|on|under) "
    rf"(?P<each>each )?(?P<part>{_NAME})"
    r"(?: (?P<sign>plus|less) (?P<off>.+))?"
)
_EVENLY: Final = re.compile(
    r"(?P<count>.+?) (?P<way>evenly from|evenly between|in equal shares from) (?P<first>.+?) (?:to|and) (?P<last>.+)"
)
_EVENLY_BETWEEN_PART: Final = re.compile(rf"(?P<count>.+?) evenly between (?P<part>{_NAME})")
#: The pattern that each way of standing evenly is.
_WAYS: Final[Mapping[str, Pattern]] = {
    "evenly from": "ends", "evenly between": "gaps", "in equal shares from": "shares",
}  # fmt: skip
_PITCH: Final = re.compile(r"(?P<count>.+?) from (?P<first>.+?) every (?P<pitch>.+)")
_MIDDLE: Final = re.compile(r"centred(?: between (?P<first>.+?) and (?P<last>.+))?")
_UP_TO: Final = re.compile(r"up to (?P<last>.+)")
_RUN: Final = re.compile(r"from (?P<first>.+?) (?:up )?to (?P<last>.+?)(?P<mirrored> and mirrored)?")
#: What of these is a formula, or the name of a part.
_SAID_WITHIN: Final = ("inset", "first", "last", "count", "pitch", "off", "part")


#: A word that no formula holds: what stands after it is a formula or the name of a part.
WORDS: Final = (
    "evenly", "from", "to", "between", "and", "every", "inset", "up to", "centred", "against", "plus", "less",
    *_BESIDE, *(end for ends in ENDS.values() for end in ends),
)  # fmt: skip
_SAYS_PLACES: Final = re.compile(rf"(?<![\w.])(?:{'|'.join(sorted(WORDS, key=len, reverse=True))})(?![\w(.])")


def says_places(text: str) -> bool:
    """Whether a text says places in words, and is no formula."""
    return _SAYS_PLACES.search(text) is not None


@dataclass(frozen=True, slots=True)
class Frame:
    """What words about a place go by: the parts there are, and whether the whole says its size along the axis."""

    axis: Axis
    parts: Collection[str]
    size: str


def read_stations(text: str, frame: Frame, read: ReadFormula) -> Stations | None:
    """The stations that words say; None where the text holds none and is a formula. Raises FormulaError.

    Words along x, for places of the whole: 'left and right', '4 evenly from A to B' (the first begins at A, the last
    ends at B), '4 evenly between A and B' (equal gaps, at the ends too), '4 in equal shares from A to B' (each in the
    middle of its share), '4 from A every P', 'up to B', 'centred', 'centred between A and B', 'A and B'. By another
    part: 'left of leg', 'right of leg', 'right of each leg' (one to each of its pieces), 'left and right of shelf' (one
    at each side), 'between side' (in the middle of its first two pieces), '3 evenly between side', 'in each bay of
    post' (one between any two), 'at both sides of each bay of post'. Along y 'front', 'back', 'in front of' and
    'behind', along z 'bottom', 'top', 'under' and 'on'. What stands aslant goes 'from A to B', 'from A to B and
    mirrored' a second time from the other end of the whole, or 'from A up to B'.
    """
    text = " ".join(text.split())
    low, high = ENDS[frame.axis]
    found = re.fullmatch(rf"{low} and {high}{_INSET}(?: from (?P<first>.+?) to (?P<last>.+))?", text)
    if found:
        return _both_ends(found, frame, read)
    found = _RUN.fullmatch(text)
    if found:
        return _run(found, frame, read)
    found = re.fullmatch(rf"{low} and {high} of (?P<part>{_NAME})", text)
    if found and _part(found["part"], frame):
        return Stations("around", tuple(read(f"{found['part']}.{end}", LENGTH) for end in (low, high)))
    found = _BETWEEN_PART.fullmatch(text)
    if found and _part(found["part"], frame):
        return Stations("between", (), None, found["part"])
    found = _EVENLY_BETWEEN_PART.fullmatch(text)
    if found and _part(found["part"], frame):
        return Stations("gaps", (), read(found["count"], NUMBER), found["part"])
    found = _BAYS.fullmatch(text)
    if found and _part(found["part"], frame):
        return Stations("bays" if found["how"] == "in" else "bay_sides", (), None, found["part"])
    found = _BESIDE_PART.fullmatch(text)
    if found and _part(found["part"], frame):
        return _beside(found, frame, read)
    found = _MIDDLE.fullmatch(text)
    if found:
        first, last = found["first"], found["last"]
        if first is None:
            first, last = _ends_of_whole(text, frame)
        return Stations("middle", (read(first, LENGTH), read(last, LENGTH)))
    for pattern, made in ((_EVENLY, _evenly), (_PITCH, _pitch), (_UP_TO, _up_to)):
        found = pattern.fullmatch(text)
        if found:
            return made(found, read)
    places = text.split(" and ")
    if len(places) > 1:
        return Stations("at", tuple(read(place, LENGTH) for place in places))
    return None


def reworded(text: str, axis: Axis, formula: Callable[[str], str], part: Callable[[str], str]) -> str:
    """A place in words with the formulas and parts in it said otherwise; a text without words is a formula itself.

    >>> reworded("2 from width every 100 mm", "x", str.upper, str)
    '2 from WIDTH every 100 MM'
    """
    text = " ".join(text.split())
    low, high = ENDS[axis]
    ends = re.compile(rf"{low} and {high}{_INSET}(?: from (?P<first>.+?) to (?P<last>.+))?")
    around = re.compile(rf"{low} and {high} of (?P<part>{_NAME})")
    for pattern in (
        around, ends, _RUN, _BETWEEN_PART, _BAYS, _BESIDE_PART, _EVENLY_BETWEEN_PART, _EVENLY, _PITCH, _MIDDLE, _UP_TO,
    ):  # fmt: skip
        if found := pattern.fullmatch(text):
            spans = {found.span(group): part if group == "part" else formula
                     for group, held in found.groupdict().items() if held and group in _SAID_WITHIN}  # fmt: skip
            for (begin, end), said in sorted(spans.items(), reverse=True):
                text = f"{text[:begin]}{said(text[begin:end])}{text[end:]}"
            return text
    return " and ".join(formula(place) for place in text.split(" and "))


def _part(name: str, frame: Frame) -> bool:
    if name in frame.parts:
        return True
    raise FormulaError("", f"'{name}' is no part beside which it could stand.")


def _both_ends(found: re.Match[str], frame: Frame, read: ReadFormula) -> Stations:
    first, last = found["first"], found["last"]
    if first is None:
        first, last = _ends_of_whole(" and ".join(ENDS[frame.axis]), frame)
    inset = found["inset"]
    if inset:
        first, last = f"{first} + ({inset})", f"{last} - ({inset})"
    return Stations("ends", (read(first, LENGTH), read(last, LENGTH)), read("2", NUMBER))


def _ends_of_whole(said: str, frame: Frame) -> tuple[str, str]:
    if frame.size:
        return "0 mm", frame.size
    between = "between A and B" if said == "centred" else "from A to B"
    raise FormulaError(
        "", f"'{said}' of what? Say how far the whole goes along {frame.axis} under 'closes', or '{said} {between}'."
    )


def _beside(found: re.Match[str], frame: Frame, read: ReadFormula) -> Stations:
    axis, side, beyond = _BESIDE[found["side"]]
    if axis != frame.axis:
        raise FormulaError("", f"'{found['side']}' says where it stands along {axis}, not along {frame.axis}.")
    if found["each"]:
        off = f"{'-' if found['sign'] == 'less' else ''}({found['off']})" if found["off"] else "0 mm"
        return Stations("beyond_each" if beyond else "before_each", (read(off, LENGTH),), None, found["part"])
    place = f"{found['part']}.{side}"
    if found["off"]:
        place += f" {'+' if found['sign'] == 'plus' else '-'} ({found['off']})"
    return Stations("at" if beyond else "up_to", (read(place, LENGTH),))


def _evenly(found: re.Match[str], read: ReadFormula) -> Stations:
    first, last = read(found["first"], LENGTH), read(found["last"], LENGTH)
    return Stations(_WAYS[found["way"]], (first, last), read(found["count"], NUMBER))


def _pitch(found: re.Match[str], read: ReadFormula) -> Stations:
    return Stations("pitch", (read(found["first"], LENGTH), read(found["pitch"], LENGTH)), read(found["count"], NUMBER))


def _up_to(found: re.Match[str], read: ReadFormula) -> Stations:
    return Stations("up_to", (read(found["last"], LENGTH),))


def _run(found: re.Match[str], frame: Frame, read: ReadFormula) -> Stations:
    ends = [found["first"], found["last"]]
    if found["mirrored"]:
        if not frame.size:
            raise FormulaError(
                "", f"'mirrored' about what? Say how far the whole goes along {frame.axis} under 'closes'."
            )
        ends += [f"{frame.size} - ({end})" for end in ends]
    return Stations("run", tuple(read(end, LENGTH) for end in ends))
