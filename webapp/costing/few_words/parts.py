"""A part in few words: '2 sides of birch plywood 18, height long upright, depth wide, left and right'."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from webapp.costing.catalogue.kinds import CUT_STOCK, Kind
from webapp.costing.design_lines.lines import entry_of
from webapp.costing.designs.model import Axis
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.line.clauses import as_written, by_table, read_clauses, table
from webapp.costing.few_words.line.words import (
    NotReadError,
    free_name,
    listed,
    name_from,
    one_said,
    several,
    with_figures,
    without_article,
)
from webapp.costing.few_words.named import find_answer, find_part, formula, is_formula, matching, with_names
from webapp.costing.few_words.part_follows import Following
from webapp.costing.few_words.placing import ALONG, end_of, said_places
from webapp.costing.few_words.reading import Entry, Reading, asked
from webapp.costing.few_words.stock import Stock, find_stock, materials_by_words, short_words

_HEAD: Final = re.compile(
    r"(?:(?P<count>[^,;:=]{1,60}?) (?:x )?)?(?P<noun>[a-z][a-z' _-]{0,39}?) (?:of|from|in) (?P<stock>.+)", re.IGNORECASE
)
_WAYS: Final = "|".join(sorted(ALONG, key=len, reverse=True))
_EDGES: Final = (
    r"(?P<edges>(?:front|back|left|right|top|bottom|all|long)(?:(?: and |, | )(?:front|back|left|right|top|bottom))*)"
)
_ROWS: Final = table((
    (rf"F long (?P<way>{_WAYS})", "long way"), (rf"F wide (?P<way>{_WAYS})", "wide way"),
        (rf"F thick (?P<way>{_WAYS})", "thick"), (r"F long", "long"), (r"F wide", "wide"), (r"F thick", "thick"),
        (r"F (?:high|tall)", "high"), (r"F deep", "deep"),
        (r"F (?:x|×|by) G (?:x|×|by) H", "three"), (r"F (?:x|×|by) G", "two"),
        (r"flush all round", "all round"), (rf"(?:long )?(?P<way>{_WAYS})", "way"), (r"(?:laid |lying )?flat", "flat"),
        (r"evenly(?: between them| from bottom to top)?", "evenly"),
        (r"on edge", "on edge"), (r"from (?:the )?F (?:up )?to (?:the )?G", "run"),
        (r"grain (?:along|lengthways|lengthwise)", "grain length"), (r"grain (?:across|crosswise)", "grain width"),
        (r"grain either way", "grain free"),
        (rf"{_EDGES} edges? banded(?: (?:with|in) P)?", "banded"),
        (rf"banded on (?:the )?{_EDGES}(?: (?:with|in) P)?", "banded"),
        (r"(?:all )?edges banded(?: (?:with|in) P)?", "banded all"),
        (r"glued up (?:from|of|in) N(?: layers)?", "layers"), (r"(?:in )?N layers", "layers"), (r"doubled", "doubled"),
        (r"splayed P", "splayed"), (r"lean(?:s|ing) P", "leans"), (r"cut (?P<cut>.+)", "cut"),
        (r"mitred F(?: degrees?)?(?: at (?:the )?(?P<end>both ends|start|end))?", "mitred"),
        (r"turned(?: to)? F(?: across)?", "turned"), (r"(?:only )?(?:when|for|with) P", "when"),
))  # fmt: skip


def read_part(line: str, known: Known, pieces: tuple[str, ...]) -> Reading | None:
    """The part that a line says, with the stock role that it needs; None where the line is none.

    Raises NotReadError or AskedError.
    """
    head, *rest = pieces
    split = _HEAD.fullmatch(with_figures(head))
    if split is None:
        return _of_the_same(line, known, pieces)
    noun, count = without_article(split["noun"]), (split["count"] or "").strip()
    count, noun = _counted(count, noun, known)
    stock = find_stock(split["stock"], known, line, CUT_STOCK)
    return _Part(line, known, noun, count, stock).read(rest)


def _of_the_same(line: str, known: Known, pieces: tuple[str, ...]) -> Reading | None:
    """A part whose line has no 'of': the material stands behind the noun, or it is of what all parts are cut from."""
    words = without_article(with_figures(pieces[0])).split()
    for number in range(1, min(len(words), 4)):
        noun, rest = " ".join(words[:number]), " ".join(words[number:])
        measured = len(pieces) > 1 and rest[0].isalpha() and any(sign.isdigit() for sign in rest)
        if measured and materials_by_words(rest, known, CUT_STOCK):
            count, noun = _counted(words[0], " ".join(words[1:number]), known) if number > 1 else ("", noun)
            return _Part(line, known, noun, count, find_stock(rest, known, line, CUT_STOCK)).read([*pieces[1:]])
    used = dict.fromkeys(str(one.get("stock")) for one in known.own("parts").values() if isinstance(one, Mapping))
    said = re.fullmatch(r"(?:(\d+) )?([a-z]+(?: [a-z]+){0,2})", " ".join(words), re.IGNORECASE)
    if said is None or len(pieces) == 1 or len(used) != 1 or matching(said[2], known.entries("parts")):
        return None
    stock = find_stock(next(iter(used)).replace("_", " "), known, line, CUT_STOCK)
    made = _Part(line, known, said[2], said[1] or "", stock).read([*pieces[1:]])
    same = f"It is of {stock.role.replace('_', ' ')}, as all that is there."
    return replace(made, derived=(*made.derived, same))


_HALF: Final = re.compile(r"(?:.{1,60} )?[a-z][a-z _-]{0,39} (?:of|from)", re.IGNORECASE)


def half_typed(line: str, known: Known) -> NotReadError | None:
    """What is said of a line that ends where a material is to come; None for any other."""
    return NotReadError(f"Of what? {_materials_to_take(known)}") if _HALF.fullmatch(line) else None


def _materials_to_take(known: Known) -> str:
    codes = [str(one.get("usual")) for one in known.own("stock").values() if isinstance(one, Mapping)]
    used = [known.by_code[code] for code in codes if code in known.by_code]
    all_of_them = [one for one in (*used, *known.materials) if one.kind in CUT_STOCK and not one.retired]
    words = list(dict.fromkeys(short_words(one, known) for one in all_of_them[:6]))
    return f"{listed(words[:3])}." if words else "Type a material that parts are cut from."


def _counted(count: str, noun: str, known: Known) -> tuple[str, str]:
    """How many there are and what one is called: the count is a number or a formula before the words."""
    count = without_article(f"{count} ").strip() if count else ""
    if not count:
        return "", noun
    if is_formula(count, known):
        return count, noun
    words = count.split()
    if words and is_formula(words[0], known) and not words[0].isalpha():
        return words[0], " ".join((*words[1:], noun))
    return "", f"{count} {noun}"


class _Part:
    """What of a part's line was read so far."""

    def __init__(self, line: str, known: Known, noun: str, count: str, stock: Stock) -> None:
        self.line, self.known, self.stock = line, known, stock
        self.noun, self.count = noun, count
        wanted = name_from(noun)
        if not wanted:
            raise NotReadError(f"“{noun[:40]}” is no name for a part; call it by a word, as 'shelf'.")
        self.name = free_name(wanted, {*known.entries("parts"), *known.entries("uses"), *known.entries("hardware")})
        self.derived = (
            [f"There is a “{wanted}” already; this one is called “{self.name}”."] if self.name != wanted else []
        )
        self.added = list(stock.added)
        self.along: Axis | None = None
        self.follows = Following(known, stock, self.name)

    def read(self, rest: list[str]) -> Reading:
        for piece in rest:
            # How it lies says which two others it stands between, wherever that is said.
            found = by_table(with_figures(piece), _ROWS)
            if found is not None and found[1] in ("way", "long way"):
                self.along = ALONG[found[0]["way"].lower()]
        groups = read_clauses(rest, self.clause, f"the {self.noun}")
        said = [clause for group in groups for clause in group]
        count = f"{formula(self.count, self.known)} of" if self.count and self.count != "1" else "of"
        text = "; ".join(
            [one_said(self.noun), f"{count} {self.stock.role}", *(one for one in said if not one.startswith("!"))]
        )
        fields, problems = entry_of("parts", text, self.name)
        if problems:
            raise NotReadError(problems[0].message)
        assert isinstance(fields, dict)
        if self.stock.thick and "thickness" not in fields:
            fields["thickness"] = formula(self.stock.thick, self.known)
        followed = self.follows.filled(fields, [one[1:] for one in said if one.startswith("!")])
        if str(fields.get("says", "")).lower() == self.name.replace("_", " "):
            followed.pop("says", None)
        derived = (*self.derived, *self.follows.derived)
        return Reading((*self.added, Entry("parts", self.name, followed)), derived=tuple(derived))

    def clause(self, clause: str) -> list[str] | None:
        """One clause as clauses of the short form; what begins with '!' follows once all is read."""
        found = by_table(with_figures(clause), _ROWS)
        if found is not None and (read := self.by_row(found[0].groupdict(), found[1])) is not None:
            return read
        if (places := said_places(clause, self.known, self.line, self.along)) is not None:
            return places
        written = as_written("parts", with_names(clause, self.known))
        return [written] if written and (len(clause.split()) > 1) else None

    def by_row(self, held: Mapping[str, Any], kind: str) -> list[str] | None:
        """A clause that is a row of the table; None where its words are no formulas."""
        known = self.known
        if kind in ("long", "wide", "thick", "high", "deep", "long way", "wide way", "two", "three"):
            if not all(is_formula(held[one], known) for one in ("f", "g", "h") if held.get(one)):
                return None
            return self.measured(held, kind)
        match kind:
            case "all round":
                return ["!all round"]
            case "way":
                return [f"long along {ALONG[held['way'].lower()]}"] if self.along else None
            case "flat" | "on edge":
                return [f"!{kind}"]
            case "evenly":
                if not self.count or self.count == "1":
                    raise NotReadError(f"How many are to stand evenly? Type as '3 {several(self.noun)} of …'.")
                evenly, self.count = f"!evenly {formula(self.count, known)}", ""
                return [evenly]
            case "run":
                return self.run(held["f"], held["g"])
            case "grain length" | "grain width" | "grain free":
                return [kind]
            case "banded" | "banded all":
                return [self.band(held.get("edges") or "all", held.get("p"))]
            case "layers":
                return [f"layers {formula(held['n'], known)}"]
            case "doubled":
                return ["layers 2"]
            case "splayed" | "leans":
                return [f"{kind} {_degrees(held['p'])}"]
            case "cut":
                return [self.cut(held["cut"])]
            case "mitred":
                degrees, end = held["f"], (held["end"] or "both ends").lower()
                ends = ("start", "end") if end == "both ends" else (end,)
                return [f"mitres {', '.join(f'{one} {degrees}' for one in ends)}"]
            case "turned":
                return [f"turned {formula(held['f'], known)}"]
            case _:
                answer = find_answer(held["p"], known)
                return [f"when {answer}"] if answer else None

    def measured(self, held: Mapping[str, Any], kind: str) -> list[str]:
        """Sizes of one: so long, so wide, or one by the other."""
        f, g, h = (formula(held[one], self.known) if held.get(one) else "" for one in ("f", "g", "h"))
        way = ALONG[held["way"].lower()] if held.get("way") else ""
        match kind:
            case "long" | "wide" | "thick":
                return [f"{kind} {f}"]
            case "long way" | "wide way":
                return [f"{kind.removesuffix(' way')} {f} along {way}"]
            case "high" | "deep":
                return [f"!{kind} {f}"]
            case "two":
                return [f"long {f}", f"wide {g}"]
            case _:
                return [f"long {f}", f"wide {g}", f"thick {h}"]

    def run(self, first: str, last: str) -> list[str]:
        axis: Axis = self.along or "z"
        mirrored = last.endswith(" and mirrored")
        low = end_of(first, axis, self.known, low=True)
        high = end_of(last.removesuffix(" and mirrored"), axis, self.known, low=False)
        return [f"!run {axis}|{low}|{high}{'|mirrored' if mirrored else ''}"]

    def band(self, edges: str, words: str | None) -> str:
        """Which edges are banded and with what: as said, or with the band that goes with the sheet."""
        sides = (
            "left, right, front, back, top, bottom"
            if edges.lower() == "all"
            else ", ".join(re.findall(r"[a-z]+", edges.lower().replace(" and ", " ")))
        )
        role = self.band_stock(words)
        return f"band {role} on {sides}"

    def band_stock(self, words: str | None) -> str:
        known = self.known
        if not words:
            bands = [one for one in known.materials if "edge_band" in one.tags and not one.retired]
            own = set(re.findall(r"[a-z]{3,}", self.stock.material.name.lower())) if self.stock.material else set()
            fitting = [one for one in bands if own & set(re.findall(r"[a-z]{3,}", one.name.lower()))] or bands
            if not fitting:
                raise NotReadError("Banded with what? No material is tagged “edge band”.")
            if len(fitting) > 1:
                offered = {one.name: f"banded with {short_words(one, known)}" for one in fitting[:8]}
                raise asked(f"Banded with what: {listed(one.name for one in fitting)}?", self.line, "banded", offered)
            words = short_words(fitting[0], known)
            self.derived.append(f"Its edges are banded with {fitting[0].name}.")
        found = find_stock(words, known, self.line, (Kind.LENGTH,), added=self.added)
        self.added += found.added
        return found.role

    def cut(self, text: str) -> str:
        """What its ends are cut to, with parts by their names."""
        words = re.sub(
            r"(against (?:the )?|and (?:the )?)([a-z][a-z0-9_ ]*?)(?= and | at |,|$)",
            lambda found: f"{found[1].split()[0]} {find_part(found[2], self.known, self.line)}", text,
        )  # fmt: skip
        return f"cut {words}"


def _degrees(text: str) -> str:
    """Tilts with their unit: '8 from the front, 5 from the side'."""
    return re.sub(r"(\d(?:\.\d+)?)(?: degrees?| ?°)? (from|to) ", r"\1 degrees \2 ", text)
