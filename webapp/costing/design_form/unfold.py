"""A design in which others are used -> one that holds all they are made of, under the names of the uses.

The designs themselves stand whole in the document under `inside`. What is in a use goes on being told by its own
corner: where the boxes of the uses stand is what the section `stands` of the written-out document holds.
"""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any, Final

from webapp.costing.design_form.entries.read_fields import Entry, Reading
from webapp.costing.design_form.put_in import PutIn
from webapp.costing.design_form.tables.form_tables import AXES, INSIDE, LONGEST_NAME, MOST_PARTS, NAME, SHORT_FORM, USES
from webapp.costing.designs.names_within import held

#: So many designs stand one in another at most, the outermost counted.
MOST_DEEP: Final = 4
#: The sections that grow with each use: none grows beyond what a design may have of parts.
_BOUNDED: Final = {
    "parts": "parts", "stands": "uses", "values": "values", "stock": "stock roles", "joints": "joints",
    "hardware": "pieces of hardware", "musts": "rules",
}  # fmt: skip


class Unfolded:
    """A document written out: its own copy, what is wrong by place, and the use from which each entry came.

    `expected` tells for each size that is said here which use and size it is of, and whether that is a length; `steps`
    are the steps of the work that the designs within say otherwise, by use.
    """

    def __init__(self, document: Mapping[str, object], around: tuple[str, ...] = ()) -> None:
        self.document: dict[str, Any] = dict(document)
        self.wrong: list[tuple[str, str]] = []
        self.origins: dict[str, str] = {}
        self.expected: dict[str, tuple[str, str, bool]] = {}
        self.steps: dict[str, dict[str, Any]] = {}
        self._around = (*around, str(document.get("design", "")))
        self._inside = held(self.document, INSIDE)
        uses = self.document.pop(USES.name, {})
        self.document.pop(INSIDE, None)
        if not isinstance(uses, Mapping):
            self.wrong.append((USES.name, "The section uses has to hold named entries."))
            uses = {}
        if len(uses) > USES.most:
            self.wrong.append((USES.name, f"The section uses has {len(uses)} entries; {USES.most} are the most."))
            uses = {}
        self._written_out: dict[str, Unfolded] = {}
        reading = Reading(document)
        for name, entry in uses.items():
            self._use(reading, str(name), entry)
            if many := next((one for one in _BOUNDED if len(held(self.document, one)) > MOST_PARTS), None):
                self._say(str(name), "", f"with it there are more than {MOST_PARTS} {_BOUNDED[many]} in all.")
                break

    def _say(self, name: str, field: str, sentence: str) -> None:
        path = ".".join(one for one in (USES.name, name, field) if one)
        self.wrong.append((path, f"Use {name}{', ' if field else ''}{field}: {sentence}"))

    def _use(self, reading: Reading, name: str, entry: object) -> None:
        reading.problems.clear()
        Entry(reading, USES, name, entry)
        self.wrong += [(one.field, one.message) for one in reading.problems]
        if reading.problems or not isinstance(entry, Mapping):
            return
        if not NAME.fullmatch(name) or len(name) > LONGEST_NAME:
            self._say(name[:80], "", f"that is no name: lower-case words are needed, at most {LONGEST_NAME} letters.")
        elif name in held(self.document, "parts"):
            self._say(name, "", "there is a part of that name already; it has to mean one thing.")
        elif (document := self._document(name, entry.get("design"))) is not None:
            self._put_in(name, entry, document)

    def _document(self, name: str, code: object) -> Mapping[str, object] | None:
        """The document of the design that is used, where it can be."""
        if not isinstance(code, str):
            self._say(name, "design", "the code of one design is needed here.")
            return None
        document = self._inside.get(code)
        if code in self._around:
            rounds = " uses ".join((*self._around[self._around.index(code):], code))
            self._say(name, "design", f"the designs go round in a circle: {rounds}.")
        elif len(self._around) >= MOST_DEEP:
            chain = " uses ".join((*self._around, code))
            self._say(name, "design", f"{chain}: designs stand {MOST_DEEP} deep in each other at most.")
        elif not isinstance(document, Mapping):
            self._say(name, "design", f"no design “{code[:80]}” is at hand. Take the code of a design that is kept.")
        elif document.get("form") != SHORT_FORM or document.get("loose") == "yes":
            said = f"“{code}” is not of form {SHORT_FORM} with parts in space; only such are put in."
            self._say(name, "design", said)
        elif any(not isinstance(held(document, "closes").get(axis), str) for axis in AXES):
            self._say(name, "design", f"“{code}” does not say under 'closes' how far it goes along x, y and z.")
        else:
            return document
        return None

    def _put_in(self, name: str, entry: Mapping[str, Any], document: Mapping[str, object]) -> None:
        code = str(entry["design"])
        if code not in self._written_out:
            self._written_out[code] = Unfolded(document, self._around)
        within = self._written_out[code]
        if within.wrong:
            self._say(name, "design", f"“{code}” can't be put in. {within.wrong[0][1]}")
            return
        one = PutIn(name, entry, within.document, within.steps, self.document)
        for field, known in (("sizes", "sizes"), ("materials", "stock"), ("choices", "choices")):
            self._check_known(name, entry, field, tuple(held(within.document, known)))
        for field, sentence in one.wrong:
            self._say(name, field, sentence)
        for section, entries in one.sections().items():
            there = held(self.document, section)
            if twice := next((each for each in entries if each in there), None):
                self._say(name, "", f"'{twice}' is a name of its own in {section} already; call one of them otherwise.")
            self.document[section] = {**there, **entries}
            self.origins |= {f"{section}.{each}": f"{USES.name}.{name}" for each in entries if each not in there}
        self.expected |= one.expected
        self.steps |= one.steps

    def _check_known(self, name: str, entry: Mapping[str, Any], field: str, known: tuple[str, ...]) -> None:
        given = entry.get(field, {})
        if not isinstance(given, Mapping) or not all(isinstance(each, str) and each.strip() for each in given.values()):
            self._say(name, field, "names, each with what it is here, are needed.")
            return
        for each in given:
            if each not in known:
                close = get_close_matches(str(each)[:60], known, 1)
                hint = f"; did you mean '{close[0]}'?" if close else f"; there is {', '.join(known) or 'none'}."
                called = {"sizes": "size", "materials": "stock role", "choices": "question"}[field]
                self._say(name, f"{field}.{each}", f"“{entry['design']}” has no {called} '{str(each)[:80]}'{hint}")
