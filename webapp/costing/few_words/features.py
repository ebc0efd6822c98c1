"""What is made into parts, in few words: openings, plates let in, holes and rows of them, tenons, housings, folds."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.design_lines.lines import entry_of
from webapp.costing.designs.model import Axis
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.line.clauses import as_written, by_table, read_clauses, table
from webapp.costing.few_words.line.words import NotReadError, bare_words, free_name, listed, name_from, with_figures
from webapp.costing.few_words.named import (
    find,
    find_answer,
    find_part,
    formula,
    in_words,
    is_formula,
    matching,
    with_names,
)
from webapp.costing.few_words.reading import Entry, Reading, asked
from webapp.costing.few_words.stock import find_stock, materials_by_words

_OPENING: Final = re.compile(
    r"(?P<what>(?:round )?(?:opening|cut-?out|hatch|slot|pocket|plate|insert)s?) (?P<said>\S.*?)"
    r"(?: (?:in|into|through) (?:the )?(?P<part>[a-z][a-z _]*))?",
    re.IGNORECASE,
)
_HOLES: Final = re.compile(
    r"(?:(?P<rows>\d+|[a-z_]+) rows? of )?(?:(?P<count>\d+) )?holes? (?P<said>\S.*?)(?: deep (?P<depth>\S+))?"
    r"(?: (?:in|into|through) (?:the )?(?P<part>[a-z][a-z _]*))?", re.IGNORECASE,
)  # fmt: skip
_FACES: Final = "left|right|front|back|top|bottom"
_EDGES: Final = rf"(?P<edges>(?:{_FACES})(?:(?: and |, )(?:{_FACES}))*)"
_BY: Final = re.compile(r" ?[x×] ?(?=[\d(a-z])")
_ROWS: Final = table((
    (rf"F from (?:the )?(?P<edge>{_FACES})", "from"), (r"corners F", "corners"), (r"ledge F", "ledge"),
        (r"(?:let in )?flush|let in", "flush"), (r"F deep(?: (?:in|into) (?:the )?P)?", "depth"),
        (r"for (?:the )?P", "takes"),
        (r"every F(?: each way)?", "every"), (r"F apart", "apart"), (r"F apart each way", "apart"),
        (r"clear of (?:the )?ribs(?: by F)?", "clear"), (r"F from (?:the|all) edges", "from edges"),
        (r"N to a row || N in (?:a|each) row", "columns"), (r"N by G", "grid"), (r"N rows", "rows"),
        (r"through all(?: that lies)? behind", "behind"), (r"(?:in|into|through) (?:the )?P", "part"),
        (rf"(?:from|on) (?:the )?(?P<face>{_FACES})(?: face| side)?", "face"),
        (r"(?:only )?(?:when|with) P", "when"),
))  # fmt: skip
_TENON: Final = re.compile(
    r"tenons? (?P<deep>.+?) (?:x|×) (?P<wide>.+?) (?:at (?P<at>both ends|one end) )?(?:of|on) (?:the )?(?P<part>.+?)"
    r"(?: into (?:the )?(?P<into>.+))?",
    re.IGNORECASE,
)
_HOUSED: Final = re.compile(
    r"(?P<part>.+?) (?:housed|dadoed|let) (?:(?P<deep>[\d(].*?) )?into (?:the )?(?P<into>.+?)(?: by (?P<by>.+))?",
    re.IGNORECASE,
)
#: What both sets of trade words call an edge that is cut away.
_CUT_AWAY: Final = "rebates?|rabbets?"
_REBATE: Final = re.compile(
    rf"(?:{_CUT_AWAY}) (?P<wide>.+?) (?:x|×) (?P<deep>.+?) (?:along|on) (?:the )?{_EDGES}(?: edges?)? "
    r"(?:of|in) (?:the )?(?P<part>.+)",
    re.IGNORECASE,
)
_FOLD: Final = re.compile(
    rf"{_EDGES}(?: edges?)? of (?:the )?(?P<part>.+?) folded (?P<leg>.+?) (?P<way>up|down|to the (?:{_FACES}))",
    re.IGNORECASE,
)
_BROAD: Final[Mapping[str, str]] = {"x": "right", "y": "front", "z": "top"}


def read_opening(line: str, known: Known, pieces: tuple[str, ...]) -> Reading | None:
    """An opening, a pocket or a plate let in: 'opening 300 x 200, 400 from left, 250 from front, corners 10'.

    Raises NotReadError or AskedError.
    """
    found = _OPENING.fullmatch(with_figures(pieces[0]))
    if found is None:
        return None
    sides = [one.strip() for one in _BY.split(found["said"])]
    if not all(is_formula(one, known) for one in sides):
        return None
    what = found["what"].lower()
    round_, plate = what.startswith("round"), bool(re.search("plate|insert", what))
    needed = (1 if round_ else 2) + (1 if plate or "pocket" in what else 0)
    if len(sides) < needed - (1 if "pocket" in what else 0) or len(sides) > 3:
        raise NotReadError(_sizes_missing(what, round_=round_, plate=plate))
    names = ("diameter", "depth") if round_ else ("length", "width", "depth")
    fields: dict[str, Any] = {name: formula(one, known) for name, one in zip(names, sides, strict=False)}
    if plate:
        fields["let_in"] = "yes"
    made = _Made("openings", line, known, fields, found["part"])
    return made.read(pieces[1:], what.removeprefix("round ").rstrip("s"))


def _sizes_missing(what: str, *, round_: bool, plate: bool) -> str:
    if plate:
        return f"How large is the {what}, and how thick? Type as 'plate 306 x 229 x 10'."
    return f"How large is the {what}? Type as '{'round opening 200' if round_ else 'opening 300 x 200'}'."


def read_holes(line: str, known: Known, pieces: tuple[str, ...]) -> Reading | None:
    """Holes, rows and fields of them: 'holes 20, every 100, clear of ribs', '4 rows of holes 5, 8 to a row, 32 apart'.

    Raises NotReadError or AskedError.
    """
    found = _HOLES.fullmatch(with_figures(pieces[0]))
    if found is None or not is_formula(found["said"], known):
        return None
    fields: dict[str, Any] = {"diameter": formula(found["said"], known)}
    if found["depth"]:
        fields["depth"] = formula(found["depth"], known)
    if found["rows"]:
        fields["rows"] = formula(found["rows"], known)
    if found["count"] and int(found["count"]) > 1:
        fields["columns"] = found["count"]
    made = _Made("holes", line, known, fields, found["part"])
    return made.read(pieces[1:], "holes")


class _Made:
    """What of an opening or of holes was read so far."""

    def __init__(self, section: str, line: str, known: Known, fields: dict[str, Any], part: str | None) -> None:
        self.section, self.line, self.known, self.fields = section, line, known, fields
        self.added: list[Entry] = []
        self.derived: list[str] = []
        #: Whether a clause has said how far it is from one edge: the next says so from another.
        self.from_an_edge = False
        part, _, use = (part or "").partition(" for ")
        self.use = use.removeprefix("the ")
        if use and self.is_bought(self.use):
            self.fields["takes"], self.use = self.taken(self.use), ""
        if part:
            self.fields["part"] = find(part, known.entries("parts"), line)

    def read(self, pieces: tuple[str, ...], what: str) -> Reading:
        """The entry, with the role that what goes in needs."""
        for more in read_clauses(pieces, self.clause, f"the {what}"):
            for name, text in more.items():
                if name in self.fields and name != "face":
                    raise NotReadError(f"“{name.replace('_', ' ')}” of the {what} is said twice.")
                self.fields[name] = text
        if "part" not in self.fields:
            self.fields["part"] = self.only_part(what)
        part = self.fields["part"]
        if "face" not in self.fields:
            self.fields["face"] = _BROAD[_thin_along(self.known.entries("parts").get(part, {}))]
        if self.section == "holes" and "every" in self.fields and not {"first", "from_edges"} & self.fields.keys():
            self.fields["from_edges"] = self.fields["every"]
            self.derived.append(f"They stay {in_words(self.fields['every'])} from the edges.")
        taken = self.fields.get("takes", "")
        wanted = name_from(what) if self.section == "openings" else "hole"
        name = free_name(wanted, {*self.known.own(self.section)})
        single = what == "holes" and not {"every", "columns", "rows"} & self.fields.keys()
        what, use = "hole" if single else what, self.use or taken.replace("_", " ")
        self.fields["says"] = f"{what[:1].upper()}{what[1:]}" + (f" for {use}" if use else "")
        order = ("says", "part", "face")
        fields = {
            **{one: self.fields[one] for one in order},
            **{k: v for k, v in self.fields.items() if k not in order},
        }
        return Reading((*self.added, Entry(self.section, name, fields)), derived=tuple(self.derived))

    def clause(self, clause: str) -> dict[str, str] | None:
        """One clause as fields; None where it is none."""
        clause = with_figures(clause)
        for found in (by_table(clause, [row]) for row in _ROWS):
            if found is not None and (read := self.row(found[0].groupdict(), found[1])) is not None:
                return read
        written = as_written(self.section, with_names(clause, self.known))
        if written is None or len(clause.split()) < 2:
            return None
        fields = entry_of(self.section, f"Says; {written}")[0]
        return {name: one for name, one in fields.items() if name != "says"} if isinstance(fields, dict) else None  # type: ignore[misc]

    def row(self, held: Mapping[str, Any], kind: str) -> dict[str, str] | None:
        """A row of the table as fields; None where its words are no formulas."""
        known = self.known
        if any(held.get(one) and not is_formula(held[one], known) for one in ("f", "g", "n")):
            return None
        f, g, n = (formula(held[one], known) if held.get(one) else "" for one in ("f", "g", "n"))
        match kind:
            case "from":
                second = "_too" if self.from_an_edge else ""
                self.from_an_edge = True
                return {f"off{second}": f, f"edge{second}": held["edge"].lower()}
            case "depth":
                named = {"part": find(held["p"], known.entries("parts"), self.line)} if held["p"] else {}
                return {kind: f, **named}
            case "corners" | "ledge" | "apart" | "every":
                return {kind: f}
            case "from edges":
                return {"from_edges": f}
            case "clear":
                return {"clear": f or "0 mm"}
            case "columns" | "rows":
                return {kind: n}
            case "grid":
                return {"columns": n, "rows": g}
            case "flush":
                return {} if "let_in" in self.fields else {"let_in": "yes"}
            case "behind":
                return {"behind": "yes"}
            case "face":
                return {"face": held["face"].lower()}
            case "part":
                found = matching(held["p"], known.entries("parts"))
                return {"part": find(held["p"], known.entries("parts"), self.line)} if found else None
            case "takes":
                return {"takes": self.taken(held["p"])}
            case _:
                answer = find_answer(held["p"], known)
                return {"when": answer} if answer else None

    def is_bought(self, words: str) -> bool:
        """Whether something that goes in is known: hardware of the design, its stock, or a material."""
        sections = (self.known.entries(one) for one in ("hardware", "stock"))
        fitted = materials_by_words(words, self.known, (Kind.PIECE, Kind.FASTENER))
        return bool(fitted) or any(len(matching(words, one)) == 1 for one in sections)

    def taken(self, words: str) -> str:
        """The stock role or the hardware that goes in; a role is added for a material that has none yet."""
        known = self.known
        for section in ("hardware", "stock"):
            if len(found := matching(words, known.entries(section))) == 1:
                return found[0]
        kinds = (Kind.PIECE, Kind.FASTENER)
        if not materials_by_words(words, known, kinds):
            find(words, known.entries("hardware"), self.line, "fitting")
        stock = find_stock(words, known, self.line, kinds)
        self.added += stock.added
        return stock.role

    def only_part(self, what: str) -> str:
        """The part that it can only be in: a top, or what lies flat. Raises AskedError where there are several."""
        parts = self.known.entries("parts")
        flat = [name for name, one in parts.items() if _is_panel(self.known, one) and _thin_along(one) == "z"]
        tops = [name for name in flat if {"top", "worktop"} & {*bare_words(name.replace("_", " "))}]
        upper = [name for name in tops if "upper" in name.split("_")]
        for fitting in (upper, tops, flat, [name for name, one in parts.items() if _is_panel(self.known, one)]):
            if len(fitting) == 1:
                said = fitting[0].replace("_", " ")
                self.derived.append(f"It is in the {said}.")
                return fitting[0]
            if fitting:
                offered = {
                    name.replace("_", " "): f"{self.line}, in the {name.replace('_', ' ')}" for name in fitting[:8]
                }
                raise asked(f"In which part: {listed(offered)}?", self.line, self.line, offered)
        raise NotReadError(f"In which part is the {what}? There is none yet that it could be in.")


def _is_panel(known: Known, part: Mapping[str, Any]) -> bool:
    role = known.entries("stock").get(str(part.get("stock")), {})
    return role.get("kind") in (Kind.SHEET, Kind.BOARD)


def _thin_along(part: Mapping[str, Any]) -> Axis:
    runs = part.get("runs")
    taken = set(runs.values()) if isinstance(runs, Mapping) else {"x", "y"}
    return next((axis for axis in ("z", "y", "x") if axis not in taken), "z")


def read_joinery(line: str, known: Known) -> Reading | None:
    """Tenons, housings, rebates and folds: 'shelf housed 6 into sides', 'front edge of the tray folded 20 up'.

    Raises NotReadError or AskedError.
    """
    tenon, housed, rebate, fold = (one.fullmatch(line) for one in (_TENON, _HOUSED, _REBATE, _FOLD))
    if tenon is not None:
        part = find_part(tenon["part"], known, line)
        fields: dict[str, Any] = {
            "sort": "tenon",
            "part": part,
            "deep": formula(tenon["deep"], known),
            "wide": formula(tenon["wide"], known),
            "at": (tenon["at"] or "both ends").lower(),
        }
        if tenon["into"]:
            fields["into"] = find_part(tenon["into"], known, line)
        return Reading((Entry("joinery", free_name(f"{part}_tenon", known.own("joinery")), fields),))
    if rebate is not None:
        part = find_part(rebate["part"], known, line)
        fields = {
            "sort": "rebate",
            "part": part,
            "deep": formula(rebate["deep"], known),
            "wide": formula(rebate["wide"], known),
            "edges": _sides(rebate["edges"]),
        }
        return Reading((Entry("joinery", free_name(f"{part}_rebate", known.own("joinery")), fields),))
    if fold is not None:
        part = find_part(fold["part"], known, line)
        way = {"up": "top", "down": "bottom"}.get(fold["way"].lower(), fold["way"].split()[-1].lower())
        fields = {"part": part, "fold_leg": formula(fold["leg"], known), "way": way, "edges": _sides(fold["edges"])}
        return Reading((Entry("folds", free_name(f"{part}_fold", known.own("folds")), fields),))
    if housed is None or not matching(housed["part"], known.entries("parts")):
        return None
    part, deep = find_part(housed["part"], known, line), housed["deep"] or housed["by"]
    if not deep:
        raise NotReadError("How deep is it let in? Type as 'shelf housed 6 into sides'.")
    fields = {
        "sort": "housing",
        "part": part,
        "into": find_part(housed["into"], known, line),
        "deep": formula(deep, known),
        "at": "both ends",
    }
    return Reading((Entry("joinery", free_name(f"{part}_housing", known.own("joinery")), fields),))


def _sides(text: str) -> list[str]:
    return re.findall(_FACES, text.lower())
