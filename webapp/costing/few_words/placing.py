"""Where something stands, in words: 'four corners inset 50', 'between the sides' -> places of the short form."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from webapp.costing.designs.model import Axis
from webapp.costing.designs.places import ENDS, reworded
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.line.clauses import by_table, table
from webapp.costing.few_words.line.words import NotReadError, with_figures
from webapp.costing.few_words.named import as_length, find_part, formula, is_formula, with_unit

_LOW: Final[Mapping[str, Axis]] = {"left": "x", "front": "y", "bottom": "z", "floor": "z", "start": "x"}
_HIGH: Final[Mapping[str, Axis]] = {"right": "x", "back": "y", "top": "z", "end": "x"}
_SIDE: Final = "left|right|front|back|bottom|top|floor"
#: What stands beside another part: the axis, what the short form says, and whether a distance is added.
_BESIDE: Final[Mapping[str, tuple[Axis, str, str]]] = {
    "on top of": ("z", "on", "plus"), "on": ("z", "on", "plus"), "above": ("z", "on", "plus"),
    "over": ("z", "on", "plus"), "under": ("z", "under", "less"), "below": ("z", "under", "less"),
    "beneath": ("z", "under", "less"), "behind": ("y", "behind", "plus"), "in front of": ("y", "in front of", "less"),
    "right of": ("x", "right of", "plus"), "left of": ("x", "left of", "less"),
    "to the right of": ("x", "right of", "plus"), "to the left of": ("x", "left of", "less"),
}  # fmt: skip
_BESIDES: Final = "|".join(sorted(_BESIDE, key=len, reverse=True))
_WAYS: Final[Mapping[str, Axis]] = {
    "up": "z",
    "upwards": "z",
    "along": "x",
    "to the right": "x",
    "back": "y",
    "deep": "y",
}
#: Along which axis words go: from left to right, upright.
ALONG: Final[Mapping[str, Axis]] = {
    "from left to right": "x", "lengthways": "x", "lengthwise": "x", "along the length": "x", "along": "x",
    "from front to back": "y", "crosswise": "y", "crossways": "y", "across": "y", "front to back": "y",
    "left to right": "x", "upright": "z", "standing": "z", "up": "z", "upwards": "z",
}  # fmt: skip
#: What may be taken away as it stands: a name, or a measure.
_ALONE: Final = re.compile(r"[\w./]+(?: \w+)?")
#: What along an axis tells of several: 'left and right', '3 evenly from', 'every', 'and mirrored'.
_OFTEN: Final = re.compile(r"\band\b|evenly|every")
_ROWS: Final = table((
    (r"(?:at |in )?(?:the |all )?(?:four|4) corners(?: inset F)?", "corners"),
        (r"(?P<ends>left and right|front and back|bottom and top)(?P<rest> .+)?", "ends"),
        (r"top and bottom(?P<rest> .+)?", "top and bottom"),
        (rf"(?:at |flush (?:with )?|up to |on |along )?(?:the )?(?P<side>{_SIDE})", "side"),
        (rf"F (?:from|off|above) (?:the )?(?P<side>{_SIDE})", "from side"),
        (r"(?:set back|set in) F", "back"), (r"half ?way up", "half way"), (r"F up", "up"), (r"F down", "down"),
        (rf"(?P<beside>{_BESIDES}) (?P<each>each )?(?:the )?P(?: (?P<sign>plus|less) F)?", "beside"),
        (rf"F (?P<beside>{_BESIDES}) (?P<each>each )?(?:the )?P", "beside"),
        (r"between (?:the )?P (?P<way>from left to right|from front to back)", "between"),
    (r"between (?:the )?P", "between"), (r"N evenly between (?:the )?P", "evenly"),
        (r"in the middle|centred|centered", "centred"),
        (r"(?:centred|centered|in the middle) (?P<way>from left to right|from front to back|along|across)", "centred"),
    (r"up to F", "up to"),
        (r"N (?P<way>up|upwards|along|to the right|back) from F every G", "pitch"),
        (r"N (?P<way>up|along|back)(?:wards)? evenly from F to G", "spread"),
))  # fmt: skip


def said_places(clause: str, known: Known, line: str, along: Axis | None = None) -> list[str] | None:
    """The places that a clause says, as clauses of the short form; None where it says none.

    `along` is the axis that a part is long along, where that is known: between two is then most likely along it. Raises
    NotReadError or AskedError.
    """
    clause = with_figures(clause)
    axis = clause[:1]
    if axis in ("x", "y", "z") and clause[1:2] == " ":
        return [f"{axis} {_worded(clause[2:], axis, known, line)}"]  # type: ignore[arg-type]
    found = by_table(clause, _ROWS)
    if found is None:
        return None
    match, kind = found
    held = match.groupdict()
    if kind in ("back", "up", "down", "from side", "pitch", "spread") and not is_formula(held["f"], known):
        return None
    match kind:
        case "corners":
            return [f"four corners inset {formula(held['f'], known)}" if held["f"] else "four corners"]
        case "ends" | "top and bottom":
            ends = (held.get("ends") or "bottom and top").lower()
            where: Axis = next(one for one, words in ENDS.items() if f"{words[0]} and {words[1]}" == ends)
            return [f"{where} {_worded(ends + (held['rest'] or ''), where, known, line)}"]
        case "side":
            return [_at_side(held["side"].lower(), "", known)]
        case "from side":
            return [_at_side(held["side"].lower(), formula(held["f"], known), known)]
        case "back":
            return [f"y {formula(held['f'], known)}"]
        case "up":
            return [f"z {formula(held['f'], known)}"]
        case "down":
            return [_at_side("top", formula(held["f"], known), known)]
        case "beside":
            return _beside(held, known, line)
        case "between":
            part = find_part(held["p"], known, line)
            where = ALONG[held["way"].lower()] if held.get("way") else two_along(part, known, along)
            return [f"{where} between {part}"]
        case "evenly":
            part = find_part(held["p"], known, line)
            return [f"{two_along(part, known, along)} {formula(held['n'], known)} evenly between {part}"]
        case "centred":
            way = (held.get("way") or "").lower()
            axes = (ALONG[way],) if way else tuple(one for one in ("x", "y") if known.size_along(one))
            return [f"{one} centred" for one in axes]
        case "half way":
            height = known.size_along("z")
            return [f"z ({height}) / 2" if " " in height else f"z {height} / 2"] if height else None
        case "up to":
            return [f"z up to {end_of(held['f'], 'z', known, low=False)}"]
        case _:
            said = {name: as_length(str(held[name]), known) for name in "fg"}
            spread = (
                f"evenly from {said['f']} to {said['g']}" if kind == "spread" else f"from {said['f']} every {said['g']}"
            )
            return [f"{_WAYS[held['way'].lower()]} {formula(held['n'], known)} {spread}"]


def _worded(text: str, axis: Axis, known: Known, line: str) -> str:
    return reworded(
        text, axis, lambda said: formula(said, known), lambda part: find_part(part.replace("_", " "), known, line)
    )


def _at_side(side: str, off: str, known: Known) -> str:
    if side in _LOW:
        return f"{_LOW[side]} {off or '0 mm'}"
    axis = _HIGH[side]
    size = known.size_along(axis)
    if not size:
        raise NotReadError(
            f"How far does the whole go, that it may be held to the {side}? Type a size first, as 'height 900'."
        )
    less = with_unit(off, known)
    return f"{axis} up to {size} - {less if _ALONE.fullmatch(less) else f'({less})'}" if off else f"{axis} up to {size}"


def _beside(held: Mapping[str, str | None], known: Known, line: str) -> list[str] | None:
    axis, said, added = _BESIDE[str(held["beside"]).lower()]
    off = held.get("f")
    if off and not is_formula(off, known):
        return None
    part = find_part(str(held["p"]), known, line)
    sign = held.get("sign") or added
    return [
        f"{axis} {said} {'each ' if held.get('each') else ''}{part}" + (f" {sign} {formula(off, known)}" if off else "")
    ]


def end_of(text: str, axis: Axis, known: Known, *, low: bool) -> str:
    """A place on an axis: a formula, the floor, or the near side of a part, where something begins or ends at it."""
    words = text.strip().lower()
    if words in ("floor", "the floor"):
        return "0 mm"
    if words in ("the top", "top") and "top" not in known.standing and known.size_along("z"):
        return known.size_along("z")
    if is_formula(text, known):
        return formula(text, known)
    first, second = ENDS[axis]
    return f"{find_part(text, known, text)}.{second if low else first}"


def two_along(part: str, known: Known, along: Axis | None) -> Axis:
    """The axis along which a part stands twice, with room between: `along` where it is one of several."""
    entry = known.standing.get(part, {})
    at = entry.get("at")
    twice: list[Axis] = ["x", "y"] if "four_corners" in entry else []
    for axis in ("x", "y", "z"):
        text = at.get(axis) if isinstance(at, Mapping) else None
        if isinstance(text, str) and stands_often(text):
            twice.append(axis)
    if along in twice:
        return along
    return twice[0] if twice else along or "x"


def extent(part: str, axis: Axis, known: Known) -> str:
    """How far one piece of a part goes along an axis, as a formula; '' where it doesn't say along which it lies."""
    return f"{part}.{side}" if (side := _side_along(known.standing.get(part, {}), axis)) else ""


def stands_often(text: str) -> bool:
    """Whether words of a place say several along their axis."""
    return _OFTEN.search(text) is not None


def stands_between(at: Mapping[str, Any]) -> tuple[Axis, str] | None:
    """Along which axis something stands between the two of a part, and that part; None where it stands so nowhere."""
    for axis, text in at.items():
        if str(text).startswith("between "):
            return axis, str(text).removeprefix("between ")  # type: ignore[return-value]
    return None


def room_between(part: str, axis: Axis, known: Known) -> str:
    """How much room there is between the two of a part along an axis, as a formula."""
    low, high = ENDS[axis]
    return f"{part}.{high} - {part}.{low} - 2 * {extent(part, axis, known) or f'{part}.thickness'}"


def _side_along(entry: Mapping[str, Any], axis: Axis) -> str:
    runs = entry.get("runs")
    if not isinstance(runs, Mapping) or "length" not in runs or "width" not in runs:
        return ""
    return next((side for side in ("length", "width") if runs[side] == axis), "thickness")
