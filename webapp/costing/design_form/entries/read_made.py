"""Entries of the short form that say what is made into parts or what moves -> values of the model."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal, cast

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.tags import is_tagged
from webapp.costing.design_form.entries.read_entries import part_there
from webapp.costing.design_form.entries.read_fields import NOTHING, Entry
from webapp.costing.design_form.entries.read_roles import needed_tags
from webapp.costing.design_form.tables.form_made import CORNER_FIELDS, JOINED_AT
from webapp.costing.designs.made import (
    Folds,
    Holds,
    HoleField,
    InRow,
    Joinery,
    Move,
    OnFace,
    Opening,
    Outline,
    OutlineCorner,
)
from webapp.costing.designs.model import FACES, Face
from webapp.costing.designs.names_within import held
from webapp.costing.ledger.formula import Expression

_IN_ROW: Final = ("first", "last")
#: So many folds stand one on another at most: more is rolled, not folded.
MOST_ON_EACH_OTHER: Final = 6


def read_hole_field(entry: Entry) -> HoleField:
    """Holes: one way of saying how many, and how far apart where there are several."""
    counted = [field for field in ("columns", "rows") if entry.has(field)]
    apart = [field for field in ("apart", "apart_along", "apart_across") if entry.has(field)]
    if entry.has("every") and (counted or apart):
        entry.wrong("every", f"it says already how many and how far apart they are; '{(counted + apart)[0]}' does too.")
    if counted and not apart:
        entry.wrong("apart", "it says how many there are; 'apart' has to say how far from middle to middle.")
    if apart and not counted:
        entry.wrong(apart[0], "it says how far apart they are; 'columns' and 'rows', or 'every', have to say how many.")
    if entry.has("apart") and len(apart) > 1:
        entry.wrong("apart", f"it says how far apart they are both ways; '{apart[1]}' does so again.")
    in_row = [field for field in _IN_ROW if entry.has(field)]
    if in_row and (len(in_row) < len(_IN_ROW) or not entry.has("every")):
        entry.wrong(in_row[0], "a row is said as 'every … from … up to …'.")
    if entry.has("from_edges") and (not entry.has("every") or in_row):
        entry.wrong("from_edges", "how far they stay from the edges goes with 'every … each way'.")
    if entry.has("every") and not in_row and not entry.has("from_edges"):
        entry.wrong("from_edges", "'every … each way' needs how far they stay from the edges: '… from the edges'.")
    if entry.has("depth"):
        if not entry.has("face"):
            entry.wrong("face", f"what does not go through needs its side: {', '.join(FACES)}, inside or outside.")
        if entry.has("clear"):
            entry.wrong("clear", "a hole that does not go through meets no ribs behind; it needs no room beside them.")
    every, both = entry.formula_or_none("every"), entry.formula_or_none("apart")
    return HoleField(
        entry.name, entry.words("says"), part_there(entry, "part"), entry.formula("diameter"),
        entry.formula_or_none("depth"), cast(OnFace, entry.one_of("face")),
        entry.formula_or_none("columns"), entry.formula_or_none("rows"),
        (both or entry.formula_or_none("apart_along"), both or entry.formula_or_none("apart_across")),
        every if not in_row else None, entry.formula_or_none("from_edges"),
        InRow(every, entry.formula("first"), entry.formula("last")) if in_row and every is not None else None,
        _edges(entry), _takes(entry), entry.formula_or_none("clear"), entry.when(), _in_leg(entry),
    )  # fmt: skip


def read_opening(entry: Entry) -> Opening:
    """An opening or a pocket: a rectangle, a circle or an outline; a plate let in says its thickness and its ledge."""
    rectangle = [field for field in ("length", "width") if entry.has(field)]
    if sum((entry.has("diameter"), bool(rectangle), entry.has("points"))) != 1 or len(rectangle) == 1:
        entry.wrong("", "it needs its length and its width, or its diameter where it is round, or the corners of its "
                    "outline: one of the three.")  # fmt: skip
    if entry.has("diameter") and entry.has("corners"):
        entry.wrong("corners", "a round opening has no corners.")
    if entry.has("points") and entry.has("corners"):
        entry.wrong("corners", "an outline says at each of its corners how that is rounded.")
    let_in = entry.yes_no("let_in", False)
    if entry.has("points") and entry.has("leg"):
        entry.wrong("points", "an opening in the leg of a fold is a rectangle or round.")
    if let_in and entry.has("points"):
        entry.wrong("let_in", "a plate that is let in is a rectangle or round.")
    if let_in != entry.has("ledge"):
        entry.wrong("ledge", "a plate let in needs the ledge that it lies on." if let_in
                    else "a ledge is what a plate lies on that is let in.")  # fmt: skip
    if let_in and not entry.has("depth"):
        entry.wrong("depth", "a plate let in needs its thickness: it lies flush.")
    if entry.has("depth") and not entry.has("face"):
        entry.wrong("face", f"what does not go through needs its side: {', '.join(FACES)}, inside or outside.")
    behind = entry.yes_no("behind", False)
    if behind and entry.has("depth") and not let_in:
        entry.wrong("behind", "a pocket ends in its part: what goes through all behind it has no depth.")
    return Opening(
        entry.name, entry.words("says"), part_there(entry, "part"), entry.formula_or_none("length"),
        entry.formula_or_none("width"), entry.formula_or_none("diameter"), entry.formula_or_none("depth"),
        cast(OnFace, entry.one_of("face")), entry.formula_or_none("corners"), entry.formula_or_none("ledge"), let_in,
        _edges(entry), _takes(entry), entry.when(), behind, _corners(entry), _in_leg(entry),
    )  # fmt: skip


def read_move(entry: Entry) -> Move:
    """What is drawn or swung; one of the two, with what it needs."""
    named = entry.content.get("parts")
    listed = [named] if isinstance(named, str) else named
    known = entry.reading.declared("parts")
    parts = tuple(name for name in listed if isinstance(name, str)) if isinstance(listed, list | tuple) else ()
    for name in parts:
        if name not in known:
            entry.wrong("parts", f"'{name[:80]}' is no part{entry.reading.hint(name, known)}")
    way, hinge = entry.one_of("way"), entry.one_of("hinge")
    if entry.has("degrees") != entry.has("hinge"):
        entry.wrong("degrees", "what swings needs its degrees and the edge that its hinge is on.")
    if entry.has("degrees") and entry.has("travel"):
        entry.wrong("travel", "it swings already; what is drawn has no degrees.")
    if not entry.has("degrees") and not entry.has("travel") and not entry.has("on"):
        entry.wrong("travel", "how far it is drawn has to be said, or 'on' what it runs.")
    if way and hinge and FACES[cast(Face, way)][0] == FACES[cast(Face, hinge)][0]:
        entry.wrong("hinge", f"a hinge at the {hinge} does not let it open to the {way}.")
    return Move(
        entry.name, entry.words("says"), parts, cast(Face, way or "front"), entry.formula_or_none("travel"),
        entry.formula_or_none("degrees"), cast(Face, hinge) if hinge else None, _takes(entry, "on"),
        entry.formula_or_none("room"), entry.when(),
    )  # fmt: skip


def read_joinery(entry: Entry) -> Joinery:
    """Tenons, a housing or a rebate, each with what it needs."""
    sort = entry.one_of("sort", "tenon")
    needs = {"tenon": ("wide",), "housing": ("into",), "rebate": ("wide", "edges")}[sort]
    for field in ("wide", "into", "at", "edges"):
        if field in needs and not entry.has(field):
            entry.wrong(field, f"'{field}' is missing: a {sort} needs it.")
        elif entry.has(field) and (field, sort) in (("wide", "housing"), ("into", "rebate"), ("at", "rebate")):
            entry.wrong(field, f"a {sort} has none.")
        elif field == "edges" and sort != "rebate" and entry.has(field):
            entry.wrong(field, f"a {sort} is said 'at' ends or edges.")
    if entry.name in entry.reading.declared("openings"):
        entry.wrong("", "an opening has the same name; what counts metres could not tell them apart.")
    edges = entry.lines("edges") if entry.has("edges") else ()
    for edge in edges:
        if edge not in FACES:
            entry.wrong("edges", f"'{edge[:80]}' is none of {', '.join(FACES)}.")
    return Joinery(
        entry.name, entry.words("says"), cast(Literal["tenon", "housing", "rebate"], sort), part_there(entry, "part"),
        entry.formula("deep"), entry.formula_or_none("wide"), part_there(entry, "into") if entry.has("into") else "",
        JOINED_AT.get(entry.one_of("at", "both ends"), 2), cast(tuple[Face, ...], tuple(edges)), entry.when(),
    )  # fmt: skip


def read_folds(entry: Entry) -> Folds:
    """Folded edges of sheet metal, each edge once; or what is folded again on the legs of another row."""
    leg, degrees, back = entry.formula("fold_leg"), entry.formula_or_none("degrees"), entry.formula_or_none("cut_back")
    if entry.has("on"):
        inwards = entry.one_of("turn") != "outwards"
        part = _on_legs(entry)
        return Folds(entry.name, entry.words("says"), part, leg, "top", (), entry.when(), degrees, entry.words("on"),
                     inwards, back)  # fmt: skip
    if entry.has("turn"):
        entry.wrong("turn", "which way a leg goes from the flat says 'way'; what is folded on a leg says on which.")
    for field in ("part", "way", "edges"):
        if not entry.has(field):
            entry.wrong(field, f"'{field}' is missing: what is folded is the edges of a part, or on the legs of a row.")
    name = part_there(entry, "part")
    way, edges = _edges_folded(entry, name)
    return Folds(entry.name, entry.words("says"), name, leg, way, edges, entry.when(), degrees, cut_back=back)


def _on_legs(entry: Entry) -> str:
    """The part of what is folded on the legs of another row, which says all of it."""
    for field in ("part", "way", "edges"):
        if entry.has(field):
            entry.wrong(field, "what is folded on the legs of another row is of that part, and follows its edges.")
    if not entry.has("turn"):
        entry.wrong("turn", "whether it is folded inwards, further round, or outwards, back again, has to be said.")
    rows = held(entry.reading.document, "folds")
    chain, on = [entry.name], entry.words("on")
    while True:
        if on not in rows:
            known = entry.reading.declared("folds")
            entry.wrong("on", f"'{on[:80]}' is no row of folds{entry.reading.hint(on, known)}")
            return ""
        chain.append(on)
        if on in chain[:-1]:
            entry.wrong("on", f"the folds go round in a circle: {' on '.join(chain)}.")
            return ""
        if len(chain) > MOST_ON_EACH_OTHER:
            entry.wrong("on", f"{MOST_ON_EACH_OTHER} folds, one on another, are the most.")
            return ""
        below = str(held(rows, on).get("on", ""))
        if not below:
            return str(held(rows, on).get("part", ""))
        on = below


def _edges_folded(entry: Entry, name: str) -> tuple[Face, tuple[Face, ...]]:
    """Which way the legs go from the flat, and along which of its edges; of sheet metal, square to the axes."""
    part = held(held(entry.reading.document, "parts"), name)
    runs = held(part, "runs")
    flat = [str(runs.get(side, usual)) for side, usual in (("length", "x"), ("width", "y"))]
    stock = str(part.get("stock", ""))
    tags = needed_tags(held(held(entry.reading.document, "stock"), stock))
    if name and entry.reading.roles.get(stock, Kind.SHEET) is not Kind.SHEET:
        entry.wrong("part", f"'{name}' is cut from no sheet, and only sheet metal is folded.")
    elif name and not is_tagged(tags, "sheet_metal"):
        entry.wrong("part", f"'{name}' may be of wood: its stock '{stock}' has to say 'needs sheet_metal'.")
    for field, words in (("layers", "is glued up"), ("splayed", "stands aslant"), ("leans", "stands aslant")):
        if field in part:
            entry.wrong("part", f"'{name}' {words}, and what is folded is one sheet, square to the axes.")
    way = cast(Face, entry.one_of("way") or "top")
    if name and FACES[way][0] in flat:
        ways = " or ".join(face for face, (axis, _) in FACES.items() if axis not in flat)
        entry.wrong("way", f"'{way}' lies along the sheet as it stands; its legs go to the {ways}.")
    edges = entry.lines("edges") if entry.has("edges") else ()
    for number, edge in enumerate(edges):
        if edge not in FACES or FACES[cast(Face, edge)][0] not in flat:
            of = ", ".join(face for face, (axis, _) in FACES.items() if axis in flat)
            entry.wrong("edges", f"'{edge[:80]}' is no edge of '{name}' as it stands: {of}.")
        elif edge in edges[:number]:
            entry.wrong("edges", f"'{edge}' is folded twice.")
    return way, cast(tuple[Face, ...], tuple(edges))


def read_outline(entry: Entry) -> Outline:
    """An outline by its corners, each so far along and across a part that is flat."""
    name = part_there(entry, "part")
    part = held(held(entry.reading.document, "parts"), name)
    if name and entry.reading.roles.get(str(part.get("stock")), Kind.SHEET) not in (Kind.SHEET, Kind.BOARD, None):
        entry.wrong("part", f"'{name}' is cut from a length; only flat parts are cut to an outline.")
    for field, words in (("mitres", "has mitres"), ("band", "has edge band"), ("splayed", "stands aslant"),
                         ("leans", "stands aslant")):  # fmt: skip
        if field in part:
            entry.wrong("part", f"'{name}' {words}, which is said of straight edges; an outline says all of its own.")
    if any(held(held(entry.reading.document, "folds"), each).get("part") == name
           for each in entry.reading.declared("folds")):  # fmt: skip
        entry.wrong("part", f"'{name}' is folded; what is folded is a rectangle when it is flat.")
    if any(entry.name in entry.reading.declared(section) for section in ("openings", "joinery")):
        entry.wrong("", "an opening or joinery has the same name; what counts metres could not tell them apart.")
    return Outline(entry.name, entry.words("says"), name, _corners(entry), entry.when())


def _corners(entry: Entry) -> tuple[OutlineCorner, ...]:
    """The corners of an outline; none where it has none."""
    listed = entry.content.get("points")
    corners = listed if isinstance(listed, list | tuple) else ()
    most = entry.fields["points"].most
    if listed is not None and not 3 <= len(corners) <= most:
        entry.wrong("points", f"there are {len(corners)} corners; an outline has from 3 to {most}.")
    return tuple(_corner(entry, number, corner) for number, corner in enumerate(corners[:most], 1))


def _corner(entry: Entry, number: int, content: object) -> OutlineCorner:
    fields = content if isinstance(content, Mapping) else {}
    for key in (*fields, *CORNER_FIELDS[:2]):
        if key not in CORNER_FIELDS or not isinstance(fields.get(key), str):
            entry.wrong("points", f"corner {number} needs how far it is along and across, and may be rounded or bowed.")
            return OutlineCorner(NOTHING, NOTHING)

    def read(key: str) -> Expression | None:
        text = str(fields.get(key, "")).strip()
        return entry.length_at(f"points.{number}.{key}", "0 mm" if text == "0" else text) if text else None

    if fields.get("rounded") and fields.get("bowed"):
        entry.wrong("points", f"corner {number} is rounded, and the side that comes to it is bowed: one of the two.")
    return OutlineCorner(read("along") or NOTHING, read("across") or NOTHING, read("rounded"), read("bowed"))


def read_holds(entry: Entry) -> Holds:
    """What lives over a part."""
    return Holds(
        entry.name, entry.words("says"), part_there(entry, "part"), entry.formula("tall"),
        part_there(entry, "within") if entry.has("within") else "", entry.when(),
    )  # fmt: skip


def _edges(entry: Entry) -> Mapping[Face, Expression]:
    """How far from which edges; two have to run across each other."""
    found: dict[Face, Expression] = {}
    for off, edge in (("off", "edge"), ("off_too", "edge_too")):
        if entry.has(off) != entry.has(edge):
            entry.wrong(off if entry.has(edge) else edge, "how far, and from which edge, are said together.")
        named = entry.one_of(edge)
        if not named or not entry.has(off):
            continue
        face = cast(Face, named)
        if any(FACES[face][0] == FACES[one][0] for one in found):
            entry.wrong(edge, "two edges that lie across from each other say the same; one is enough.")
        found[face] = entry.formula(off)
    return found


def _in_leg(entry: Entry) -> str:
    """The row of folds in whose legs something is made: right through, and of the same part."""
    name = entry.words("leg")
    if not name:
        return ""
    known, rows = entry.reading.declared("folds"), held(entry.reading.document, "folds")
    if name not in known:
        entry.wrong("leg", f"'{name[:80]}' is no row of folds{entry.reading.hint(name, known)}")
        return ""
    for field in ("depth", "face", "let_in", "behind", "clear"):
        if entry.has(field):
            entry.wrong(field, "what is made in the leg of a fold goes through that and nothing else.")
    root, part = name, str(entry.content.get("part", ""))
    for _ in range(MOST_ON_EACH_OTHER):
        root = str(held(rows, root).get("on", "")) or root
    folded = str(held(rows, root).get("part", part))
    if part and folded != part:
        entry.wrong("leg", f"the folds '{name}' are of '{folded}', and this is made in '{part}'.")
    return name


def _takes(entry: Entry, field: str = "takes") -> str:
    """What goes in, or what it runs on: a stock role or a piece of hardware."""
    name = entry.words(field)
    known = (*entry.reading.declared("stock"), *entry.reading.declared("hardware"))
    if name and name not in known:
        entry.wrong(field, f"'{name}' is no stock role and no piece of hardware{entry.reading.hint(name, known)}")
    return name
