"""Parts that stand aslant, as a short form says it: how far they lean, and what their ends are cut to."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Final

from webapp.costing.design_form.entries.read_fields import Entry
from webapp.costing.design_form.tables.form_tables import SHORT_FORM
from webapp.costing.designs.formulas import NUMBER
from webapp.costing.designs.model import Axis
from webapp.costing.designs.stations import EndSaid, Slanting, Stations
from webapp.costing.ledger.formula import Expression

_SPLAY: Final = re.compile(r"(?P<degrees>.+?) ?(?:degrees?|°) from the (?P<way>front|side)")
_LEAN: Final = re.compile(r"(?P<degrees>.+?) ?(?:degrees?|°) to the (?P<way>right|left|back|front)")
_CUT: Final = re.compile(
    r"(?P<way>square|level|against (?P<part>[a-z][a-z0-9_]*))(?: at (?:the )?(?P<end>both ends|start|end))?"
)
_CUT_BETWEEN: Final = re.compile(r"against (?P<start>[a-z][a-z0-9_]*) and (?P<end>[a-z][a-z0-9_]*)")
#: A tilt of so many degrees lays a part flat.
FLAT: Final = 90
_PLAIN: Final = re.compile(r"-?[0-9]{1,6}(\.[0-9]{1,6})?")


def read_slanting(entry: Entry, length_axis: Axis, stations: Mapping[Axis, Stations]) -> Slanting | None:
    """How a part stands aslant; None for one that is square to the axes. What does not go together is noted."""
    if entry.reading.form != SHORT_FORM:
        return None
    runs = [axis for axis, each in stations.items() if each.pattern == "run"]
    leans = entry.has("splayed") or entry.has("leans")
    if not leans and not runs and not entry.has("cut"):
        if not entry.has("length"):
            entry.wrong("length", "'length' is missing; only that of a part that stands aslant follows.")
        return None
    if entry.has("length"):
        entry.wrong("length", "the length of a part that stands aslant follows from its ends; leave it out.")
    if entry.has("mitres"):
        entry.wrong("mitres", "what the ends of a part that stands aslant are cut to is said under 'cut'.")
    front, side = _degrees(entry)
    ends = _read_ends(entry, EndSaid("level" if leans else "square"))
    met = all(end.way == "against" for end in ends)
    if leans and (length_axis != "z" or runs != ["z"]):
        entry.wrong("at.z", "a part that leans stands between two levels: it is long along z, and 'z from A up to B'.")
    elif not met and length_axis not in runs:
        entry.wrong(
            f"at.{length_axis}",
            f"a part that stands aslant goes from one place to another along its length: '{length_axis} from A to B'.",
        )
    elif any(end.way == "level" for end in ends) and "z" not in runs:
        entry.wrong("cut", "a level cut needs a level at each end: 'z from A up to B'.")
    return Slanting(front, side, entry.has("splayed"), ends)


def _degrees(entry: Entry) -> tuple[Expression | None, Expression | None]:
    """How far a part leans as seen from the front and from the side."""
    if entry.has("splayed") and entry.has("leans"):
        entry.wrong("leans", "a part is splayed, each piece its own way, or all its pieces lean one way; not both.")
    found: dict[str, Expression] = {}
    for field, pattern, said in (
        ("splayed", _SPLAY, "8 degrees from the front, 5 degrees from the side"),
        ("leans", _LEAN, "8 degrees to the right, 5 degrees to the back"),
    ):
        for text in entry.words(field).split(",") if entry.has(field) else ():
            words = pattern.fullmatch(" ".join(text.split()))
            if words is None:
                entry.wrong(field, f"'{text.strip()[:80]}' says no tilt; write it as '{said}'.")
                continue
            way = words["way"]
            seen = "front" if way in ("right", "left") or (field, way) == ("splayed", "front") else "side"
            if seen in found:
                entry.wrong(field, f"how far it leans as seen from the {seen} is said twice.")
            degrees = words["degrees"].strip()
            if _PLAIN.fullmatch(degrees) and abs(Fraction(degrees)) >= FLAT:
                entry.wrong(field, f"a tilt of {degrees}° lays a part flat or turns it over; it is less than {FLAT}°.")
            away = field == "leans" and way in ("left", "front")
            found[seen] = entry.formula_at(field, f"-({degrees})" if away else degrees, NUMBER)
    return found.get("front"), found.get("side")


def _read_ends(entry: Entry, usual: EndSaid) -> tuple[EndSaid, EndSaid]:
    """What the two ends are cut to: 'level', 'against leg at both ends', 'level at the start, against top at the end',
    'against leg and top'.

    The start is where a piece goes from, and the foot of one that leans.
    """
    between = _CUT_BETWEEN.fullmatch(" ".join(entry.words("cut").split())) if entry.has("cut") else None
    if between is not None:
        return (
            EndSaid("against", _other_part(entry, between["start"])),
            EndSaid("against", _other_part(entry, between["end"])),
        )
    ends: dict[str, EndSaid] = {}
    for text in entry.words("cut").split(",") if entry.has("cut") else ():
        said = _CUT.fullmatch(" ".join(text.split()))
        if said is None:
            entry.wrong(
                "cut",
                f"'{text.strip()[:80]}' says no cut; there is 'square', 'level' and 'against' a part, 'at both ends', "
                "'at the start' or 'at the end'.",
            )
            continue
        end = EndSaid("against", _other_part(entry, said["part"])) if said["part"] else _plain(said["way"])
        for place in ("start", "end") if said["end"] in (None, "both ends") else (said["end"],):
            if place in ends:
                entry.wrong("cut", f"what its {place} is cut to is said twice.")
            ends[place] = end
    return ends.get("start", usual), ends.get("end", usual)


def _plain(way: str) -> EndSaid:
    return EndSaid("level" if way == "level" else "square")


def _other_part(entry: Entry, name: str) -> str:
    if name == entry.name:
        entry.wrong("cut", "a part can't be cut against itself.")
    elif name not in entry.reading.declared("parts"):
        entry.wrong("cut", f"'{name}' is no part that it could be cut against.")
    else:
        parts = entry.reading.document.get("parts")
        held = parts.get(name) if isinstance(parts, Mapping) else None
        needed = held.get("when") if isinstance(held, Mapping) else None
        if needed and entry.content.get("when") != needed:
            entry.wrong("cut", f"the part '{name}' is there only when {needed}; this part needs 'when: {needed}' too.")
    return name
