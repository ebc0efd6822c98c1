"""A design of the library in few words: 'cabinet 600 x 720 x 560: toe 100, two drawers 150, doors below, one shelf'."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from webapp.costing.catalogue.materials import described
from webapp.costing.design_lines.lines import entry_of
from webapp.costing.designs.names_within import held
from webapp.costing.few_words.known import InLibrary, Known
from webapp.costing.few_words.library_clauses import Inside, Said
from webapp.costing.few_words.line.clauses import read_clauses
from webapp.costing.few_words.line.words import (
    NotReadError,
    bare_words,
    clauses,
    free_name,
    name_from,
    with_figures,
    without_article,
)
from webapp.costing.few_words.named import formula, in_words, is_formula
from webapp.costing.few_words.placing import room_between, stands_between, stands_often
from webapp.costing.few_words.reading import AskedError, Entry, Reading, asked

_DIMENSIONS: Final = re.compile(r" (?:x|×) ")
_NOT_OF: Final = ("of", "from", "in", "into", "onto", "to", "drawn", "swung", "=")
#: What is left free over one of several that stand one above the other.
_GAP: Final = "20 mm"


def read_use(line: str, known: Known) -> Reading | None:
    """A design of the library put in, with sizes and answers as the line says; None where the line names none.

    Raises NotReadError or AskedError.
    """
    head, colon, rest = line.partition(":")
    pieces = clauses(head) if colon else clauses(line)
    if not pieces:
        return None
    later = [*pieces[1:], *(clauses(rest) if colon else ())]
    count, words = _counted(pieces[0], known)
    readings: list[tuple[InLibrary, Reading]] = []
    refused: NotReadError | AskedError | None = None
    for one, named, left in _candidates(words, known):
        try:
            read = _Use(line, known, one, named, count).read(left, later, surely=bool(colon))
        except (NotReadError, AskedError) as error:
            refused = refused or error
            continue
        if read is not None:
            readings.append((one, read))
    if len(readings) > 1:
        offered = {one.name: one.name.lower() for one, _ in readings[:8]}
        raise asked(f"Which one: {' or '.join(offered)}?", line, words.split()[0], offered)
    if readings:
        return readings[0][1]
    if refused is not None:
        raise refused
    return None


def _counted(head: str, known: Known) -> tuple[str, str]:
    first, _, rest = with_figures(head).partition(" ")
    if first.isdigit() and rest:
        return first, rest
    return "", without_article(with_figures(head))


def _candidates(words: str, known: Known) -> list[tuple[InLibrary, str, str]]:
    """The designs that the beginning of some words names, each with that beginning and what is left."""
    found: list[tuple[InLibrary, str, str]] = []
    said = words.split()
    for one in known.library:
        if one.code == known.document.get("design"):
            continue
        of_code = bare_words(one.code.replace("_", " "))
        told = {*of_code, *bare_words(one.name)}
        several = 0
        while several < len(said) and (each := bare_words(said[several])) and {*each} <= told:
            several += 1
        begin = bare_words(" ".join(said[:several]))
        left = " ".join(said[several:])
        if not begin or of_code[-1] not in begin or (left.split() or [""])[0] in _NOT_OF:
            continue
        found.append((one, " ".join(said[:several]), left))
    longest = max((len(named.split()) for _, named, _ in found), default=0)
    return [each for each in found if len(each[1].split()) == longest]


class _Use:
    """What was read of a use so far."""

    def __init__(self, line: str, known: Known, one: InLibrary, named: str, count: str) -> None:
        self.line, self.known, self.one, self.named, self.count = line, known, one, named, count
        self.inside = Inside(known, line, one)
        self.fields: dict[str, Any] = {"design": one.code}
        self.derived: list[str] = []

    def read(self, left: str, later: list[str], *, surely: bool) -> Reading | None:
        """The use, or None where nothing but its name is said and that not wholly."""
        pieces = [left, *later] if left else later
        whole = {*bare_words(self.one.code.replace("_", " "))} <= {*bare_words(self.named)}
        if not surely and not whole and not any(_DIMENSIONS.search(piece) for piece in pieces):
            return None
        groups = read_clauses(pieces, self.clause, f"the {self.named}")
        texts = [one for group in groups for one in group.short]
        for group in groups:
            group = replace(
                group, sizes={name: self.inside.measured_as(name, said) for name, said in group.sizes.items()}
            )
            for field, more in (("sizes", group.sizes), ("materials", group.materials), ("choices", group.choices)):
                there = self.fields.setdefault(field, {})
                for name, said in more.items():
                    if there.get(name, said) != said:
                        raise NotReadError(f"“{name.replace('_', ' ')}” of the {self.named} is said twice.")
                    there[name] = said
            self.derived += group.derived
        placed, problems = entry_of("uses", "; ".join((self.one.code, *texts)))
        if problems:
            raise NotReadError(problems[0].message)
        assert isinstance(placed, dict)
        self.fields |= {name: one for name, one in placed.items() if name != "design"}
        self._follow()
        of_code = bare_words(self.one.code.replace("_", " "))
        wanted = name_from(" ".join(word for word in bare_words(self.named) if word in of_code))
        taken = {*self.known.entries("parts"), *self.known.own("uses"), *self.known.own("hardware")}
        name = free_name(wanted, taken)
        if name != wanted:
            self.derived.insert(0, f"There is a “{wanted}” already; this one is called “{name}”.")
        fields = {field: one for field, one in self.fields.items() if one not in ({}, "")}
        return Reading((*self.inside.added, Entry("uses", name, fields)), derived=tuple(self.derived))

    def clause(self, clause: str) -> Said | None:
        pieces = _DIMENSIONS.split(clause)
        if len(pieces) > 1 and all(is_formula(piece, self.known) for piece in pieces):
            names = tuple(held(self.one.document, "sizes"))
            if len(pieces) > len(names):
                raise NotReadError(f"{self.one.name} has {len(names)} sizes: {', '.join(names)}.")
            return Said(sizes={name: formula(piece, self.known) for name, piece in zip(names, pieces, strict=False)})
        return self.inside.clause(clause)

    def _follow(self) -> None:
        """How many there are one above the other, and how wide one is that stands between two others."""
        at = self.fields.get("at", {})
        between = stands_between(at)
        sizes = self.fields.setdefault("sizes", {})
        if between is not None:
            axis, part = between
            size = held(self.one.document, "closes").get(axis)
            if isinstance(size, str) and size in held(self.one.document, "sizes") and size not in sizes:
                room = self._side_room()
                sizes[size] = room_between(part, axis, self.known) + (f" - {room}" if room else "")
                self.derived.append(f"Its {size} is {in_words(sizes[size])}.")
        if self.count and self.count != "1":
            several = any(stands_often(str(text)) for text in at.values())
            if not several and between is not None and "z" not in at:
                part = between[1]
                self.fields["at"] = {**at, "z": f"{self.count} in equal shares from {part}.bottom to {part}.top"}
                high = held(self.one.document, "closes").get("z")
                if isinstance(high, str) and high in held(self.one.document, "sizes"):
                    sizes.setdefault(high, f"({part}.top - {part}.bottom) / {self.count} - {_GAP}")
                self.derived.append(f"The {self.count} stand one above the other, evenly.")
            elif not several:
                self.fields["count"] = self.count

    def _side_room(self) -> str:
        """What its runners need beside it, both sides together."""
        for role in held(self.one.document, "stock").values():
            material = self.known.by_code.get(str(role.get("usual"))) if isinstance(role, Mapping) else None
            room = described(material).get("side_room") if material is not None else None
            if room:
                return f"{float(2 * room / 10**6):g} mm"
        return ""
