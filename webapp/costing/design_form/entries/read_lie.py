"""Fields of a part that hold small mappings: how it lies, where it stands, its edge band, its mitred ends."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Final, cast

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.design_form.entries.read_fields import NOTHING, Entry
from webapp.costing.design_form.tables.form_tables import AXES, SHORT_FORM
from webapp.costing.designs.formulas import NUMBER, Dimension
from webapp.costing.designs.model import FACES, Axis, Face, Mitres
from webapp.costing.designs.places import Frame, read_stations
from webapp.costing.designs.stations import Stations
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.formula import Expression
from webapp.costing.measures.typed_text import quoted

#: Degrees off square that the form takes at most; saws stop well before.
STEEPEST: Final = 75
DEGREES: Final = re.compile(r"[0-9]{1,2}(\.[0-9]{1,3})?")


def _inner(entry: Entry, field: str, allowed: tuple[str, ...], required: bool) -> Mapping[str, object]:
    """The content of a field that is a small mapping itself."""
    content = entry.content.get(field)
    if content is None:
        return {}
    if not isinstance(content, Mapping):
        entry.wrong(field, f"{' and '.join(allowed)} are needed here, in curly brackets.")
        return {}
    for key in content:
        if key not in allowed:
            entry.wrong(f"{field}.{key}", f"there is no '{key[:80]}' here; {' and '.join(allowed)} are what it has.")
    for key in allowed:
        if required and key not in content:
            entry.wrong(f"{field}.{key}", f"'{key}' is missing.")
    return content


def read_runs(entry: Entry) -> tuple[Axis, Axis]:
    """The axes that the length and the width of a part follow."""
    content = _inner(entry, "runs", ("length", "width"), required=True)
    for key, axis in content.items():
        if key in ("length", "width") and axis not in AXES:
            entry.wrong(f"runs.{key}", f"{quoted(str(axis))} is none of the axes x, y and z.")
    length, width = (next((axis for axis in AXES if axis == content.get(key)), None) for key in ("length", "width"))
    if length is None or width is None:
        return "x", "y"
    if length == width:
        entry.wrong("runs", f"length and width both run along {length}; they have to differ.")
    return length, width


def read_at(entry: Entry) -> tuple[Mapping[Axis, Expression], Mapping[Axis, Stations]]:
    """The corner at which a part stands: by formulas, and along some axes by words."""
    content = dict(_inner(entry, "at", AXES, required=False))
    if entry.has("four_corners"):
        _at_corners(entry, content)
    placed: dict[Axis, Expression] = dict.fromkeys(AXES, NOTHING)
    stations: dict[Axis, Stations] = {}
    for axis in AXES:
        text = content.get(axis)
        if isinstance(text, str):
            said = _in_words(entry, axis, text) if entry.reading.form != "1" else None
            if said is not None:
                stations[axis] = said
            else:
                placed[axis] = entry.length_at(f"at.{axis}", text, number=NUMBER)
        elif text is not None:
            entry.wrong(f"at.{axis}", "one formula is needed here.")
    return placed, stations


def _at_corners(entry: Entry, content: dict[str, object]) -> None:
    """'four corners' is left and right, front and back, how far in as it says."""
    inset = entry.words("four_corners")
    said = f" inset {inset.removeprefix('inset ')}" if inset not in ("", "yes") else ""
    for axis, words in (("x", "left and right"), ("y", "front and back")):
        if axis in content:
            entry.wrong(f"at.{axis}", "the four corners say already where it stands along this axis.")
        content[axis] = words + said


def _in_words(entry: Entry, axis: Axis, text: str) -> Stations | None:
    """What words say of a place; what can't be read of them is noted."""
    reading = entry.reading
    frame = Frame(axis, reading.in_space, _far_end(entry, axis))

    def read(formula: str, dimension: Dimension) -> Expression:
        return entry.formula_at(f"at.{axis}", formula, dimension)

    try:
        return read_stations(text, frame, read)
    except FormulaError as error:
        entry.wrong(f"at.{axis}", error.reason)
        return Stations("at", (NOTHING,))


def _far_end(entry: Entry, axis: Axis) -> str:
    """How far the whole goes along an axis, or the use in which the entry stands; nothing where that isn't said."""
    document, within = entry.reading.document, entry.content.get("within")
    uses = document.get("stands")
    use = uses.get(within) if isinstance(uses, Mapping) and isinstance(within, str) else None
    closes = use.get("size") if isinstance(use, Mapping) else document.get("closes")
    size = closes.get(axis) if isinstance(closes, Mapping) else None
    return size if isinstance(size, str) else ""


def read_band(entry: Entry, length_axis: Axis, width_axis: Axis) -> tuple[str, tuple[Face, ...]]:
    """The role of the edge band of a part, and the edges that have it."""
    content = _inner(entry, "band", ("with", "edges"), required=True)
    stock, edges = content.get("with"), content.get("edges")
    if stock is not None:
        stock = entry.check_role("band.with", stock if isinstance(stock, str) else "", (Kind.LENGTH,))
    listed = tuple(edges) if isinstance(edges, list | tuple) else ()
    if edges is not None and not listed:
        entry.wrong("band.edges", f"a list of edges in square brackets is needed: some of {', '.join(FACES)}.")
    for number, edge in enumerate(listed):
        if not isinstance(edge, str) or edge not in FACES:
            entry.wrong("band.edges", f"{quoted(str(edge))} is none of {', '.join(FACES)}.")
        elif FACES[cast(Face, edge)][0] not in (length_axis, width_axis):
            entry.wrong("band.edges", f"'{edge}' is a broad face of the part as it stands, not an edge.")
        elif edge in listed[:number]:
            entry.wrong("band.edges", f"'{edge}' is listed twice.")
    return (stock if isinstance(stock, str) else ""), cast(tuple[Face, ...], listed)


def read_mitres(entry: Entry, length_axis: Axis, kind: Kind | None) -> Mitres | None:
    """The ends of a length that are cut on the slant, and where its length is measured."""
    if not entry.has("mitres"):
        return None
    if kind not in (Kind.LENGTH, None) and entry.reading.form != SHORT_FORM:
        entry.wrong("mitres", "only parts cut from lengths can have their ends mitred.")
    content = _inner(entry, "mitres", ("start", "end", "long", "measured"), required=False)
    angles = {end: _degrees(entry, end, content.get(end)) for end in ("start", "end")}
    long, measured = content.get("long"), content.get("measured", "long")
    if content and not any(angles.values()) and not any(end in content for end in angles):
        entry.wrong("mitres", "degrees off square are needed at the start, at the end, or at both.")
    face = next((face for face in FACES if face == long), None)
    if face is None:
        entry.wrong("mitres.long", f"the face on which the part is longest is needed: one of {', '.join(FACES)}.")
    elif FACES[face][0] == length_axis:
        entry.wrong("mitres.long", f"'{face}' is an end of the part as it lies; the longest face runs along it.")
    if measured not in ("long", "short"):
        entry.wrong("mitres.measured", f"{quoted(str(measured))} is neither 'long' nor 'short'.")
    if face is None or not any(angles.values()):
        return None
    return Mitres(angles["start"], angles["end"], face, measured != "short")


def _degrees(entry: Entry, end: str, content: object) -> Fraction:
    """An angle off square; 0, noted where it can't be sawn."""
    if content is None:
        return Fraction(0)
    text = content.strip() if isinstance(content, str) else ""
    angle = Fraction(text) if DEGREES.fullmatch(text) else Fraction(0)
    if not 0 < angle <= STEEPEST:
        entry.wrong(
            f"mitres.{end}", f"{quoted(str(content))} is no angle from more than 0 to {STEEPEST} degrees off square."
        )
        return Fraction(0)
    return angle
