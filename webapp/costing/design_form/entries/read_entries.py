"""Entries of the design form -> parts, joints and other things of the model, with the rules between their fields."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal, cast

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.tags import is_tagged
from webapp.costing.design_form.entries.read_fields import Entry
from webapp.costing.design_form.entries.read_lie import read_at, read_band, read_mitres, read_runs
from webapp.costing.design_form.entries.read_roles import needed_tags
from webapp.costing.design_form.entries.read_slanting import read_slanting
from webapp.costing.design_form.tables.form_tables import LONGEST_NAME, NAME, SHORT_FORM
from webapp.costing.designs.formulas import read_formula
from webapp.costing.designs.model import (
    Axis,
    Bites,
    Choice,
    Finish,
    Grain,
    Hardware,
    Joint,
    Must,
    Part,
    Surface,
    Weld,
)
from webapp.costing.ledger.formula import Expression

#: One piece, where nothing says how many there are.
ONE: Final = read_formula("1")
_FASTENED_ONLY: Final = ("spacing", "end", "at_least", "grip", "room", "bites")
_NEVER_WELDED: Final = ("with", "run", "rows", "glue", "glue_width", *_FASTENED_ONLY)


def read_choice(entry: Entry) -> Choice:
    """A choice; its answers are names, and the usual one is among them."""
    says, usual = entry.words("says"), entry.words("usual")
    listed = entry.content.get("answers")
    answers = tuple(each for each in listed if isinstance(each, str)) if isinstance(listed, list | tuple) else ()
    entry.names("answers", answers, "answer")
    for answer in answers:
        if not (NAME.fullmatch(answer) and len(answer) <= LONGEST_NAME):
            entry.wrong("answers", f"'{answer[:80]}' is no name: lower-case words joined by underscores are needed.")
    if "answers" in entry.content and not 2 <= len(answers) <= 12:
        entry.wrong("answers", f"there are {len(answers)} answers; a choice has from 2 to 12.")
    if usual and answers and usual not in answers:
        entry.wrong("usual", f"'{usual}' is none of the answers {', '.join(answers)}.")
    return Choice(entry.name, says, answers, usual)


def read_part(entry: Entry) -> Part:
    """A kind of part; which sizes it needs follows from the kind of its stock."""
    stock = entry.role("stock")
    kind = entry.reading.roles.get(stock)
    if kind in (Kind.SHEET, Kind.BOARD) and not entry.has("width"):
        entry.wrong("width", f"a part of {kind.value} stock needs its width.")
    if kind is Kind.BOARD and not entry.has("thickness"):
        entry.wrong("thickness", "a part planed from boards needs its thickness.")
    if kind in (Kind.SHEET, Kind.LENGTH) and entry.has("thickness"):
        entry.wrong(
            "thickness", f"a part of {kind.value} stock is as thick as that; only parts from boards have their own."
        )
    length_axis, width_axis = read_runs(entry)
    band_stock, band = read_band(entry, length_axis, width_axis)
    at, stations = read_at(entry)
    count = entry.formula_or_none("count")
    if count is None and not stations and entry.reading.form == SHORT_FORM:
        count = ONE
    return Part(
        name=entry.name,
        says=entry.words("says"),
        stock=stock,
        count=count,
        length=entry.formula("length"),
        width=entry.formula_or_none("width"),
        thickness=entry.formula_or_none("thickness"),
        length_axis=length_axis,
        width_axis=width_axis,
        at=at,
        grain=cast(Grain, entry.one_of("grain", _usual_grain(entry, stock, kind))),
        band=band,
        band_stock=band_stock,
        joint_length=entry.formula_or_none("joint_length"),
        joint_width=entry.formula_or_none("joint_width"),
        layers=entry.whole("layers", 1),
        mitres=read_mitres(entry, length_axis, kind),
        when=entry.when(),
        together=entry.together(kind),
        together_when=entry.answer("together_when"),
        stations=stations,
        within=entry.within(),
        slanting=read_slanting(entry, length_axis, stations),
        turned=_turned(entry, kind),
    )


def _turned(entry: Entry, kind: Kind | None) -> Expression | None:
    """The diameter of a part that is turned: of a square blank, which stands for it where it is put together."""
    if entry.reading.form != SHORT_FORM or not entry.has("turned"):
        return None
    if kind is Kind.SHEET:
        entry.wrong("turned", "what is turned comes out of a length, or out of boards with a thickness.")
    for field in ("splayed", "leans", "cut", "mitres", "band"):
        if entry.has(field):
            entry.wrong("turned", f"a turned part stands square and ends square; '{field}' does not go with it.")
    return entry.formula("turned")


def _usual_grain(entry: Entry, stock: str, kind: Kind | None) -> Grain:
    """Which way the grain runs where nothing says it: along timber; a sheet lies either way, and metal has none."""
    if entry.reading.form != SHORT_FORM or kind not in (Kind.BOARD, Kind.LENGTH):
        return "free"
    roles = entry.reading.document.get("stock")
    role = roles.get(stock) if isinstance(roles, Mapping) else None
    tags = needed_tags(role) if isinstance(role, Mapping) else ()
    return "length" if not tags or is_tagged(tags, "timber") else "free"


def read_joint(entry: Entry) -> Joint:
    """A joint: rows of fastenings and lines of glue, or so many fastenings outright; or so many welds."""
    meets = entry.reading.form == SHORT_FORM
    if entry.has("weld"):
        _check_welded(entry, meets)
    else:
        _check_held(entry, meets)
    into, *others = _held_to(entry)
    return Joint(
        name=entry.name,
        says=entry.words("says"),
        source=part_there(entry, "from"),
        into=into,
        run=entry.formula_or_none("run"),
        rows=entry.formula_or_none("rows"),
        count=entry.formula_or_none("count"),
        fastener=entry.role("with"),
        spacing=entry.formula_or_none("spacing"),
        end=entry.formula_or_none("end"),
        at_least=entry.formula_or_none("at_least"),
        glue=entry.role("glue"),
        glue_width=entry.formula_or_none("glue_width"),
        grip=entry.formula_or_none("grip"),
        room=entry.formula_or_none("room"),
        bites=cast(Bites, entry.one_of("bites")),
        weld=cast(Weld, entry.one_of("weld")),
        weld_run=entry.formula_or_none("weld_run"),
        ground=entry.yes_no("ground", False),
        touches=entry.yes_no("touches", True),
        when=entry.when(),
        others=tuple(others),
        meets=meets and entry.content.get("touches") != "no",
        play=entry.formula_or_none("play"),
        within=entry.within(),
    )


def _held_to(entry: Entry) -> tuple[str, ...]:
    """What a joint goes into: parts, or hardware that stands in space; '' in place of what can't be told."""
    parts, hardware = (entry.reading.declared(section) for section in ("parts", "hardware"))
    source = entry.content.get("from")
    if source in hardware and source not in parts:
        entry.wrong("from", f"'{source}' is hardware, and a joint goes from a part: name the part here, and '{source}' "
                    "under 'into'.")  # fmt: skip
    if entry.reading.form != SHORT_FORM and not isinstance(entry.content.get("into"), list | tuple):
        return (part_there(entry, "into"),)
    if entry.reading.form != SHORT_FORM:
        hardware = ()
    names = entry.names("into", (*parts, *hardware), "part or hardware")
    for name in names:
        if name in parts:
            _there_with(entry, "into", name)
        elif name in hardware:
            _check_bought(entry, name)
    return names or ("",)


def _check_bought(entry: Entry, name: str) -> None:
    """Hardware that parts are held to stands in space, is there with them and can't be welded to."""
    held = entry.reading.document.get("hardware")
    content = held.get(name) if isinstance(held, Mapping) else None
    if not isinstance(content, Mapping):
        return
    if not {"wide", "deep", "tall"} & content.keys():
        entry.wrong("into", f"the hardware '{name}' is counted only, so nothing meets it: type there how wide, deep "
                    "and tall it is and where it stands, or leave it out here.")  # fmt: skip
    if entry.has("weld"):
        entry.wrong("into", f"the hardware '{name}' is bought whole and can't be welded to: name a fastening or glue.")
    needed = content.get("when")
    if needed and entry.content.get("when") != needed:
        entry.wrong("into", f"the hardware '{name}' is there only when {needed}; this entry needs 'when: {needed}' as "
                    "well.")  # fmt: skip


def _check_welded(entry: Entry, meets: bool) -> None:
    """A welded joint is counted, holds nothing but the weld, and joins what can be steel."""
    for field in _NEVER_WELDED:
        if entry.has(field):
            entry.wrong(field, "this is about fastenings or glue, and the joint is welded.")
    if not entry.has("count") and not meets:
        entry.wrong("count", "'count' is missing: a welded joint says how many of them there are in the whole thing.")
    given = entry.content.get("weld") == "given"
    if given != entry.has("weld_run"):
        entry.wrong(
            "weld_run",
            "it is needed where the weld is given."
            if given
            else "the weld runs by the section of the part; it is given only with 'weld: given'.",
        )
    into = entry.content.get("into")
    several = into if isinstance(into, list | tuple) else [into]
    joined = [("from", entry.content.get("from")), *(("into", part) for part in several)]
    for field, part in joined:
        kind = _stock_kind(entry, part)
        if kind is Kind.BOARD:
            entry.wrong(field, f"the part '{part}' is planed from boards, which can't be welded.")
        elif field == "from" and kind is Kind.SHEET and not given:
            entry.wrong(field, f"the part '{part}' is no bar or tube, so its section gives no weld: use 'weld: given'.")


def _stock_kind(entry: Entry, part: object) -> Kind | None:
    """The kind of stock that a part is cut from, as far as the form says it."""
    parts = entry.reading.document.get("parts")
    content = parts.get(part) if isinstance(parts, Mapping) and isinstance(part, str) else None
    stock = content.get("stock") if isinstance(content, Mapping) else None
    return entry.reading.roles.get(stock) if isinstance(stock, str) else None


def _check_held(entry: Entry, meets: bool) -> None:
    """A joint that is fastened, glued or both; what belongs to a weld has no place in it."""
    fastened, glued = entry.has("with"), entry.has("glue")
    if not fastened and not glued:
        entry.wrong(
            "",
            "nothing holds it; name a fastening under 'with', a glue under 'glue', or both; or say how it is welded.",
        )
    for field in ("weld_run", "ground"):
        if entry.has(field):
            entry.wrong(field, "this is about welds, and there is none under 'weld'.")
    if entry.has("count"):
        for field in ("run", "rows", "spacing", "end", "at_least"):
            if entry.has(field):
                entry.wrong(field, "a joint has either a count, or rows with a run; not both.")
        if glued:
            entry.wrong("glue", "lines of glue need a run and rows, not a count.")
        elif not fastened:
            entry.wrong("count", "this counts fastenings, and there is none under 'with'.")
    else:
        rows = () if meets and entry.content.get("touches") != "no" else ("run", "rows")
        spaced = ("spacing", "end") if meets else ("spacing", "end", "at_least")
        for field in (*rows, *(spaced if fastened else ())):
            if not entry.has(field):
                entry.wrong(
                    field,
                    f"'{field}' is missing; without a count there are rows with a run{', spaced' if fastened else ''}.",
                )
    if not fastened:
        for field in _FASTENED_ONLY:
            if entry.has(field):
                entry.wrong(field, "this is about fastenings, and there is none under 'with'.")
    if glued != entry.has("glue_width") and not (glued and meets):
        entry.wrong("glue_width", "it is needed with a glue." if glued else "it means nothing without a glue.")


def part_there(entry: Entry, field: str) -> str:
    """A part that is there whenever this entry is."""
    part = entry.part(field)
    _there_with(entry, field, part)
    return part


def _there_with(entry: Entry, field: str, part: str) -> None:
    needed = entry.reading.whens.get(f"parts.{part}", "")
    if needed and entry.content.get("when") != needed:
        entry.wrong(field, f"the part '{part}' is there only when {needed}; this entry needs 'when: {needed}' as well.")


def read_hardware(entry: Entry) -> Hardware:
    """A piece of hardware, which may stand in space in the short form."""
    if entry.reading.form != SHORT_FORM:
        return Hardware(
            entry.name, entry.words("says"), entry.role("stock"), entry.formula("count"), entry.when(),
            to_wall=entry.yes_no("to_wall", False),
        )  # fmt: skip
    stock = entry.role("stock")
    for field in ("through", "into", "room"):
        if entry.has(field) and entry.reading.roles.get(stock) is not Kind.FASTENER:
            entry.wrong(field, "this is about the screws that hold other hardware, and this is no fastening.")
    sides: tuple[tuple[Axis, str], ...] = (("x", "wide"), ("y", "deep"), ("z", "tall"))
    given = [field for _, field in sides if entry.has(field)]
    under = part_there(entry, "under_each")
    at, stations = read_at(entry)
    if any(each.pattern == "run" for each in stations.values()):
        entry.wrong("at", "only a part goes from one place to another aslant; hardware stands at one.")
    stands = bool(given)
    for field in ("wide", "deep", "tall") if stands else ():
        if field not in given:
            entry.wrong(field, f"it says how {' and '.join(given)} it is; to stand in space it needs '{field}' too.")
    if not stands and (under or entry.has("at") or entry.has("four_corners")):
        entry.wrong("", "it says where it stands; 'wide', 'deep' and 'tall' have to say how large it is.")
    if under and (entry.has("at") or entry.has("four_corners")):
        entry.wrong("under_each", "that says already where each stands; it has no places of its own beside.")
    if not stands and not entry.has("count"):
        entry.wrong("count", "'count' is missing: only what stands in space is counted by its places.")
    return Hardware(
        entry.name, entry.words("says"), stock, entry.formula_or_none("count"), entry.when(),
        {axis: entry.formula(field) for axis, field in sides if field in given}, at if stands else {}, stations, under,
        part_there(entry, "into"), entry.formula_or_none("through"), entry.formula_or_none("room"),
        entry.yes_no("to_wall", False), entry.within(),
    )  # fmt: skip


def read_surface(entry: Entry) -> Surface:
    """A surface: faces or edges of a part, the edges of all, or an area worked out."""
    ways = [field for field in ("faces", "edges", "area", "exposed") if entry.has(field)]
    if len(ways) != 1:
        entry.wrong(
            "",
            f"one of faces, edges and area is needed; there {'is none' if not ways else 'are ' + ' and '.join(ways)}.",
        )
    if entry.has("part") and entry.has("stock"):
        entry.wrong("stock", "there is a part already; it is either one part or all of a stock.")
    if entry.has("faces") and not entry.has("part") and not entry.has("stock"):
        entry.wrong("part", "faces need the part whose faces they are.")
    stock = entry.role("stock")
    kind = entry.reading.roles.get(stock) if stock else _stock_kind(entry, entry.content.get("part"))
    if entry.content.get("edges") == "around" and kind is not Kind.LENGTH:
        entry.wrong("part", "the sides around need a part that is cut from bar, tube or another length of stock.")
    if entry.has("area") and (entry.has("part") or entry.has("stock")):
        entry.wrong("part", "an area that is worked out belongs to no part.")
    return Surface(
        entry.name,
        part_there(entry, "part"),
        entry.whole("faces", 1) if entry.has("faces") else 0,
        cast(Literal["", "banded", "raw", "all", "long", "ends", "around"], entry.one_of("edges")),
        entry.formula_or_none("area"),
        entry.yes_no("raw_edge", False),
        entry.when(),
        stock,
        entry.yes_no("exposed", False) if entry.reading.form == SHORT_FORM else False,
    )


def read_finish(entry: Entry) -> Finish:
    """A finish."""
    on = entry.names("on", entry.reading.declared("surfaces"), "surface")
    return Finish(entry.name, entry.words("says"), entry.role("stock"), entry.whole("coats", 1), on, entry.when())




def read_must(entry: Entry) -> Must:
    """A rule with its sentence."""
    severity = cast(Literal["failure", "warning"], entry.one_of("severity", "failure"))
    return Must(entry.name, entry.rule("that"), entry.sentence("says"), severity, entry.when())
