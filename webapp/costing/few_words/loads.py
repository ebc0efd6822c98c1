"""What stands on it, moves and lives there, and what is put on: loads, spans, moves, room and finish in few words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.design_form.tables.form_made import BOUGHT
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.line.clauses import read_clauses
from webapp.costing.few_words.line.words import (
    NotReadError,
    clauses,
    free_name,
    name_from,
    with_figures,
    without_article,
)
from webapp.costing.few_words.named import as_formula, find, find_answer, find_parts, formula, longest_named
from webapp.costing.few_words.reading import Entry, Reading
from webapp.costing.few_words.stock import find_stock, materials_by_words

_MASS: Final = r"(?P<mass>.*?(?:\d ?(?:kg|lb|lbs|N/mm|kg/m|lb/ft)\b|kg\b).*?)"
_LOAD: Final = re.compile(rf"{_MASS} (?:up)?on (?:each |every |the |a )?(?P<part>.+)", re.IGNORECASE)
_SPAN: Final = re.compile(
    rf"(?P<part>.+?)(?: over (?P<span>.+?))? carr(?:y|ies) {_MASS}(?:,? (?:as|like) an? (?P<limit>shelf|bench))?",
    re.IGNORECASE,
)
_MOVE: Final = re.compile(
    r"(?P<parts>.+?) (?P<how>drawn|pulled|swung) (?:to|towards) the (?P<way>left|right|front|back|top|bottom)"
    r"(?: by (?P<by>.+?))?(?: about (?:its|their|the) (?P<hinge>[a-z]+)(?: edges?)?)?(?: on (?P<on>.+))?",
    re.IGNORECASE,
)
_HOLD: Final = re.compile(
    r"(?P<tall>.+?)(?: (?:tall|high|clear))? (?:up)?on (?:each |the |a )?(?P<part>.+?)(?: within (?P<within>.+))?",
    re.IGNORECASE,
)
_COATS: Final = re.compile(
    r"(?P<coats>\d+) coats? of (?P<what>.+?)(?: (?P<how>sprayed|brushed))?(?: on (?P<on>.+))?", re.IGNORECASE
)
#: What of a part words say; the same words as the form has them.
_FACES: Final = re.compile(
    r"(?:faces?|one face|edges?|(?:long|banded|raw|bare|bare long|top|front) edges?|ends?|bare ends|around|all round)"
    r"(?: and .+)?", re.IGNORECASE,
)  # fmt: skip
_LASTING: Final = re.compile(
    r"(?P<share>half|all|none|a quarter|\d+/\d+|0?\.\d+)(?: of it)?(?: is)? lasting", re.IGNORECASE
)
_SHARES: Final = {"half": "1/2", "all": "1", "none": "0", "a quarter": "1/4"}


def read_load(line: str, known: Known, pieces: tuple[str, ...]) -> Reading | None:
    """A load on a part: '120 kg on the top, half lasting'. Raises NotReadError or AskedError."""
    found = _LOAD.fullmatch(with_figures(pieces[0]))
    if found is None:
        return None
    part = find(found["part"], known.entries("parts"), line)
    fields: dict[str, Any] = {"kilograms": as_formula(found["mass"], known), "on": part}

    def clause(said: str) -> dict[str, str] | None:
        low = said.lower()
        if lasting := _LASTING.fullmatch(low):
            return {"lasting": _SHARES.get(lasting["share"], lasting["share"])}
        if low in ("in the middle", "at the edge", "spread"):
            return {"lies": low.split()[-1]}
        answer = find_answer(said.partition(" ")[2], known) if low.startswith(("when ", "for ")) else ""
        return {"when": answer} if answer else None

    for more in read_clauses(pieces[1:], clause, "the load"):
        fields |= more
    return Reading((Entry("loads", free_name(f"on_{part}", known.own("loads")), fields),))


def read_span(line: str, known: Known) -> Reading | None:
    """A part that spans: 'worktop carries 120 kg as a bench'. Raises NotReadError or AskedError."""
    line, _, flat = with_figures(line).partition(", out of flat by at most ")
    found = _SPAN.fullmatch(line)
    if found is None:
        return None
    part = find(found["part"], known.entries("parts"), line)
    fields = {"part": part, "load": as_formula(found["mass"], known)}
    if found["span"]:
        fields["span"] = formula(found["span"], known)
    if found["limit"]:
        fields["limit"] = found["limit"].lower()
    if flat:
        fields["flat"] = formula(flat, known)
    return Reading((Entry("spans", free_name(f"{part}_span", known.own("spans")), fields),))


def read_move(line: str, known: Known) -> Reading | None:
    """What is drawn or swung: 'drawers and fronts drawn to the front on slides'. Raises NotReadError or AskedError."""
    found = _MOVE.fullmatch(line)
    if found is None:
        return None
    names: list[str] = []
    for words in (one for piece in clauses(found["parts"]) for one in re.split(r" and ", piece)):
        names += [one for one in find_parts(words, known, line) if one not in names]
    fields: dict[str, Any] = {"parts": names if len(names) > 1 else names[0], "way": found["way"].lower()}
    if found["how"].lower() == "swung":
        degrees = re.sub(r" ?(?:degrees?|°)$", "", found["by"] or "90")
        fields |= {"degrees": formula(degrees, known), "hinge": (found["hinge"] or "left").lower()}
    elif found["by"]:
        fields["travel"] = formula(found["by"], known)
    if found["on"]:
        bought = {name: one for section in BOUGHT for name, one in known.entries(section).items()}
        hardware = known.entries("hardware")
        fields["on"] = find(found["on"], _runs_on(found["on"], hardware) or bought, line, "slide or hinge")
    says = found["parts"].split(" and ")[0]
    return Reading((Entry("moves", free_name(name_from(says) or "move", known.own("moves")), fields),))


def _runs_on(words: str, hardware: Any) -> dict[str, Any]:
    """Hardware whose name ends with the word, before stock roles of such a name."""
    last = name_from(words)
    return {name: one for name, one in hardware.items() if name == last or name.endswith(f"_{last}")}


def read_hold(line: str, known: Known) -> Reading | None:
    """What lives there: '50 tall on drawer bottoms within drawer sides'. Raises NotReadError or AskedError."""
    found = _HOLD.fullmatch(with_figures(line))
    if found is None or not re.match(
        r"[\d(]|[a-z_ ]+(?: tall| high| clear)", found["tall"] + (" tall" if " tall on" in line else "")
    ):
        return None
    part = find(found["part"], known.entries("parts"), line)
    fields = {"part": part, "tall": formula(found["tall"], known)}
    if found["within"]:
        fields["within"] = find(found["within"], known.entries("parts"), line)
    return Reading((Entry("holds", free_name(f"room_on_{part}", known.own("holds")), fields),))


def read_finish(line: str, known: Known, pieces: tuple[str, ...]) -> Reading | None:
    """What is put on: '2 coats of oil on all parts', '3 coats of lacquer sprayed on top faces and edges'.

    Raises NotReadError or AskedError.
    """
    found = _COATS.fullmatch(with_figures(pieces[0]))
    if found is None:
        once = re.fullmatch(r"(?P<what>[a-z -]+?)(?: sprayed| brushed)? on (?P<on>.+)", pieces[0], re.IGNORECASE)
        if once is not None and any(
            "glue" not in one.code for one in materials_by_words(once["what"], known, (Kind.LIQUID,))
        ):
            raise NotReadError(f"How many coats? Type as '2 coats of {once['what']} on {once['on']}'.")
        return None
    stock = _liquid(found["what"], known, line)
    fields: dict[str, Any] = {"coats": found["coats"], "stock": stock.role}
    if found["how"] and found["how"].lower() == "sprayed":
        fields["sprayed"] = "yes"
    later = [found["on"]] if found["on"] else []
    on: list[str] = []
    for piece in [*later, *pieces[1:]]:
        words = re.sub(r"^on ", "", piece)
        if words.lower() in ("sprayed", "sprayed on"):
            fields["sprayed"] = "yes"
        elif words.startswith(("when ", "for ")) and (answer := find_answer(words.partition(" ")[2], known)):
            fields["when"] = answer
        elif on and " " not in on[-1] and _FACES.fullmatch(words):
            on[-1] += f" {_as_form(words)}"
        else:
            on += _faces(words, known, line)
    if not on:
        raise NotReadError(f"{found['coats']} coats on what? Type as 'on all parts' or 'on the top, faces and edges'.")
    fields["on"] = on
    name = free_name(f"{name_from(found['what'].split()[-1])}_coats", known.own("finish"))
    return Reading((*stock.added, Entry("finish", name, fields)))


def _liquid(words: str, known: Known, line: str) -> Any:
    named = None if materials_by_words(words, known, (Kind.LIQUID,)) else name_from(words)
    return find_stock(words, known, line, (Kind.LIQUID,), wanted=named or name_from(words.split()[-1]))


def _faces(words: str, known: Known, line: str) -> list[str]:
    """The parts that a piece of the line names, each with which of its faces. Raises NotReadError."""
    if re.fullmatch(r"all(?: the)? parts|everything|all over", words, re.IGNORECASE):
        return _all_parts(known)
    entries = {**known.entries("stock"), **known.entries("parts")}
    name, rest = longest_named(words, entries)
    if not name:
        find(words, known.entries("parts"), line)
    if not rest:
        return [name]
    if _FACES.fullmatch(rest):
        return [f"{name} {_as_form(rest)}"]
    joined = re.fullmatch(r"(?:and|,) (.+)", rest)
    if joined is not None:
        return [name, *_faces(joined[1], known, line)]
    raise NotReadError(f"“{rest[:40]}” of the {name.replace('_', ' ')}: say faces, edges, ends or all round.")


def _as_form(rest: str) -> str:
    said = without_article(re.sub(r"\b(?:all )?round\b", "around", rest.lower()))
    said = re.sub(r"(?<!one )\bface\b", "faces", said)
    return re.sub(r"\bedge\b", "edges", said)


def _all_parts(known: Known) -> list[str]:
    own: Sequence[str] = list(known.own("parts"))
    if not own:
        raise NotReadError("There is no part yet that it could be put on.")
    return list(own)
