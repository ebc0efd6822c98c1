"""Where pieces stand, said in words along one axis: 'left and right', '3 evenly from A to B', 'on leg', 'up to B'."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from webapp.costing.designs.formulas import LENGTH, NUMBER, Dimension
from webapp.costing.designs.model import Axis, Stations
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
_BESIDE_PART: Final = re.compile(
    rf"(?:against )?(?P<side>right of|left of|behind|in front of|on top of|on|under) (?P<part>{_NAME})"
    r"(?: (?P<sign>plus|less) (?P<off>.+))?"
)
_EVENLY: Final = re.compile(r"(?P<count>.+?) evenly (?P<way>from|between) (?P<first>.+?) (?:to|and) (?P<last>.+)")
_PITCH: Final = re.compile(r"(?P<count>.+?) from (?P<first>.+?) every (?P<pitch>.+)")
_MIDDLE: Final = re.compile(r"centred between (?P<first>.+?) and (?P<last>.+)")
_UP_TO: Final = re.compile(r"up to (?P<last>.+)")


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
    parts: frozenset[str]
    size: str


def read_stations(text: str, frame: Frame, read: ReadFormula) -> Stations | None:
    """The stations that words say; None where the text holds none and is a formula. Raises FormulaError.

    Words along x: 'left and right', '4 evenly from A to B' (the first begins at A, the last ends at B), '4 evenly
    between A and B' (equal gaps, at the ends too), '4 from A every P', 'up to B', 'centred between A and B', 'left of
    leg', 'right of leg', 'between side', 'A and B'. Along y 'front', 'back', 'in front of' and 'behind', along z
    'bottom', 'top', 'under' and 'on'.
    """
    text = " ".join(text.split())
    low, high = ENDS[frame.axis]
    found = re.fullmatch(rf"{low} and {high}{_INSET}(?: from (?P<first>.+?) to (?P<last>.+))?", text)
    if found:
        return _both_ends(found, frame, read)
    found = _BETWEEN_PART.fullmatch(text)
    if found and _part(found["part"], frame):
        return Stations("between", (), None, found["part"])
    found = _BESIDE_PART.fullmatch(text)
    if found and _part(found["part"], frame):
        return _beside(found, frame, read)
    for pattern, made in ((_EVENLY, _evenly), (_PITCH, _pitch), (_MIDDLE, _middle), (_UP_TO, _up_to)):
        found = pattern.fullmatch(text)
        if found:
            return made(found, read)
    places = text.split(" and ")
    if len(places) > 1:
        return Stations("at", tuple(read(place, LENGTH) for place in places))
    return None


def _part(name: str, frame: Frame) -> bool:
    if name in frame.parts:
        return True
    raise FormulaError("", f"'{name}' is no part beside which it could stand.")


def _both_ends(found: re.Match[str], frame: Frame, read: ReadFormula) -> Stations:
    first, last = found["first"], found["last"]
    if first is None:
        if not frame.size:
            low, high = ENDS[frame.axis]
            raise FormulaError(
                "", f"'{low} and {high}' of what? Say how far the whole goes along {frame.axis} under 'closes', or "
                f"'{low} and {high} from A to B'.",
            )  # fmt: skip
        first, last = "0 mm", frame.size
    inset = found["inset"]
    if inset:
        first, last = f"{first} + ({inset})", f"{last} - ({inset})"
    return Stations("ends", (read(first, LENGTH), read(last, LENGTH)), read("2", NUMBER))


def _beside(found: re.Match[str], frame: Frame, read: ReadFormula) -> Stations:
    axis, side, beyond = _BESIDE[found["side"]]
    if axis != frame.axis:
        raise FormulaError("", f"'{found['side']}' says where it stands along {axis}, not along {frame.axis}.")
    place = f"{found['part']}.{side}"
    if found["off"]:
        place += f" {'+' if found['sign'] == 'plus' else '-'} ({found['off']})"
    return Stations("at" if beyond else "up_to", (read(place, LENGTH),))


def _evenly(found: re.Match[str], read: ReadFormula) -> Stations:
    pattern = "ends" if found["way"] == "from" else "gaps"
    return Stations(
        "ends" if pattern == "ends" else "gaps",
        (read(found["first"], LENGTH), read(found["last"], LENGTH)),
        read(found["count"], NUMBER),
    )


def _pitch(found: re.Match[str], read: ReadFormula) -> Stations:
    return Stations(
        "pitch", (read(found["first"], LENGTH), read(found["pitch"], LENGTH)), read(found["count"], NUMBER)
    )


def _middle(found: re.Match[str], read: ReadFormula) -> Stations:
    return Stations("middle", (read(found["first"], LENGTH), read(found["last"], LENGTH)))


def _up_to(found: re.Match[str], read: ReadFormula) -> Stations:
    return Stations("up_to", (read(found["last"], LENGTH),))
