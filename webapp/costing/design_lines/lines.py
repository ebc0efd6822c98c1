"""An entry of a design as one line: 'Leg; 4 of leg_stock; long skin_top - lift along z', and the same as its fields."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from typing import Final

from webapp.costing.design_lines.table import ANSWERED, CLAUSES, Clause, Said, clauses_of, entry_words
from webapp.costing.design_lines.written import (
    QUOTED,
    SHAPES,
    LineError,
    keyed,
    name_first,
    parted,
    quoted,
    unquoted,
    value_of,
    written,
)
from webapp.costing.errors import Problem
from webapp.costing.measures.quantities import SYSTEMS

#: What an entry holds: its fields, or the one text of a value.
Fields = dict[str, object] | str

#: A line that is longer than this is no entry of ours; four hundred names in a list are shorter.
LONGEST_LINE: Final = 20_000
MOST_CLAUSES: Final = 200
#: So many sentences are said of one line; the rest of it is as wrong.
MOST_SAID: Final = 8
_QUOTED_BACK: Final = 60
#: The places within fields that clauses say by themselves.
_DOTTED: Final = frozenset(
    slot for clauses in CLAUSES.values() for one in clauses for slot, _ in one.slots if "." in slot
)


def entry_of(section: str, text: str, name: str = "") -> tuple[Fields, tuple[Problem, ...]]:
    """The fields that a line says, and what of it can't be read, each in a sentence with the entry and the clause.

    `name` is the entry's own; a problem's field is the one that it is about, '' for the line. Never raises. What can be
    read is read, whatever else is wrong. A value without answers is its text.

    >>> entry_of("hardware", "Feet; 4 of foot_stock; when feet_base")[0]
    {'says': 'Feet', 'count': '4', 'stock': 'foot_stock', 'when': 'feet_base'}
    """
    reading = _Line(section, name)
    if len(text) > LONGEST_LINE:
        reading.wrong("", f"the line has {len(text)} characters; {LONGEST_LINE} are the most.")
        return {}, tuple(reading.problems)
    pieces = list(parted(text, ";"))
    if len(pieces) > MOST_CLAUSES:
        reading.wrong("", f"the line has {len(pieces)} clauses; the first {MOST_CLAUSES} are read.")
    if section in ANSWERED:
        return reading.answers(text, pieces[:MOST_CLAUSES]), tuple(reading.problems)
    number = 0
    for begin, piece in pieces[:MOST_CLAUSES]:
        clause = piece.strip()
        if not clause:
            continue
        if reading.takes_rest(clause, text[begin:].strip(), number):
            break
        reading.read(clause, number)
        number += 1
    return reading.whole(), tuple(reading.problems)


class _Line:
    """What was read of one line so far."""

    def __init__(self, section: str, name: str) -> None:
        self.section = section
        self.said: Said = clauses_of(section)
        self.subject = f"The {entry_words(section)} {name}".rstrip()
        self.fields: dict[str, object] = {}
        self.problems: list[Problem] = []
        self.usual_first = False

    def wrong(self, field: str, sentence: str) -> None:
        """Note a problem; after so many the rest stays unsaid."""
        if len(self.problems) < MOST_SAID:
            self.problems.append(Problem(field, f"{self.subject}: {sentence}"))

    def read(self, clause: str, number: int) -> None:
        """Read one clause, the `number`th of its line."""
        try:
            found = self.found_in(clause, number)
        except LineError as error:
            said = f"{_back(clause)} {error}"
            self.wrong("", said if said.endswith("?") else f"{said}.")
            return
        for slot, value in found.items():
            self.take(slot, value, clause)

    def found_in(self, clause: str, number: int) -> dict[str, object]:
        """The fields in a clause, by slot; a name that stands in quotation marks keeps the first. Raises LineError."""
        if clause.startswith('"') and (found := QUOTED.match(clause)) and found.end() < len(clause):
            return {f'"{unquoted(found[1])}': value_of(clause[found.end() :])}
        if lead := self.lead_of(clause):
            return self.led(lead, clause)
        for one in self.said.placed:
            if (number or one.opens or not self.said.bare) and (read := _read(one, clause)) is not None:
                return read
        if number < len(self.said.bare):
            bare = self.said.bare[number]
            slot, shape = bare.slots[0]
            self.usual_first = self.usual_first or shape == "answers"
            return {slot: SHAPES[shape][0](clause)}
        raise LineError(f"is no clause{self.hint(clause)}")

    def lead_of(self, clause: str) -> str:
        """The longest lead with which a clause begins."""
        first = clause.split(maxsplit=1)[0]
        words = " ".join(clause[:80].split())
        return next(
            (lead for lead in self.said.leads_by_first_word.get(first, ()) if f"{words} ".startswith(f"{lead} ")), ""
        )

    def led(self, lead: str, clause: str) -> dict[str, object]:
        """What a clause with that lead says. Raises LineError."""
        refused: LineError | None = None
        for one in self.said.by_lead[lead]:
            if not one.slots and one.texts(clause) is not None:
                return dict(one.fixed)
            try:
                read = _read(one, clause)
            except LineError as error:
                refused = refused or error
                continue
            if read is not None:
                return read
        field = lead.replace(" ", "_")
        if " ".join(clause.split()) == lead and field in self.said.flags:
            return {field: "yes"}
        raise refused or LineError(f"says nothing after '{lead}'")

    def hint(self, clause: str) -> str:
        """'; did you mean …?' where the beginning of a clause is like a lead."""
        if len(self.problems) >= MOST_SAID:
            return ""
        words = clause[:40].split()
        for several in (2, 1):
            close = get_close_matches(" ".join(words[:several]), tuple(self.said.by_lead), 1, 0.7)
            if close:
                return f"; did you mean '{close[0]}'?"
        known = ", ".join(lead for lead in self.said.by_lead)
        ends = "; a sentence begins with a capital letter or stands in quotation marks" if self.said.rest else ""
        return f": it begins with none of {known}{ends}" if known else ""

    def take(self, slot: str, value: object, clause: str) -> None:
        """Note what a clause says of a field, or of one place in it."""
        field, added = slot.removeprefix('"'), value
        if slot in _DOTTED:
            field, _, place = slot.partition(".")
            added = {place: value}
        before = self.fields.get(field)
        if field not in self.fields:
            self.fields[field] = added
        elif isinstance(before, dict) and isinstance(added, Mapping) and not before.keys() & added.keys():
            before.update(added)
        else:
            self.wrong(field, f"{_back(clause)} says again what stands before it.")

    def takes_rest(self, clause: str, rest: str, number: int) -> bool:
        """Whether a sentence that goes on to the end of the line begins here; it is read then."""
        one = self.said.rest
        if one is None or number < len(self.said.bare) or self.lead_of(clause):
            return False
        if (found := QUOTED.match(rest)) is not None:
            if found.end() < len(clause):
                return False
            if found.end() == len(rest):
                rest = unquoted(found[1])
        elif rest[0].islower():
            return False
        self.take(one.slots[0][0], rest, clause)
        return True

    def answers(self, text: str, pieces: list[tuple[int, str]]) -> Fields:
        """A value: its text, or what it is under each of some answers."""
        try:
            if len(pieces) == 1:
                found = value_of(text)
                return found if isinstance(found, str | dict) else text
        except LineError as error:
            self.wrong("", f"{_back(text)} {error}.")
            return text
        for _, piece in pieces:
            clause = piece.strip()
            answer, rest = name_first(clause)
            if clause and not rest:
                self.wrong("", f"{_back(clause)} needs an answer and what holds under it.")
            elif clause:
                try:
                    self.take(f'"{answer}', value_of(rest), clause)
                except LineError as error:
                    self.wrong(answer, f"{_back(clause)} {error}.")
        return self.fields

    def whole(self) -> dict[str, object]:
        """The fields, with the first of some answers as the usual one where no other is named."""
        answers = self.fields.get("answers")
        if self.usual_first and isinstance(answers, list) and answers:
            self.fields.setdefault("usual", answers[0])
        return self.fields


def _back(clause: str) -> str:
    shown = clause if len(clause) <= _QUOTED_BACK else f"{clause[:_QUOTED_BACK].rstrip()} …"
    return f"'{shown}'"


def _read(one: Clause, clause: str) -> dict[str, object] | None:
    """What a clause says as one of the table, or None where it isn't that one. Raises LineError."""
    texts = one.texts(clause)
    if texts is None:
        return None
    read: dict[str, object] = {}
    for (slot, shape), text in zip(one.slots, texts, strict=True):
        try:
            read[slot] = SHAPES[shape][0](text.strip())
        except LineError:
            if one.lead:
                raise
            return None
    return {**read, **one.fixed}


def line_of(section: str, fields: Mapping[str, object] | str) -> str:
    """An entry as one line, which `entry_of` reads back as the same fields.

    A pair of lengths, one for each length system, is written as one text ('900 mm | 36 in') and read back as that.

    >>> line_of("sizes", {"says": "Width", "usual": {"metric": "900 mm", "inch": "36 in"}, "least": "600 mm"})
    'Width; 900 mm | 36 in; least 600 mm'
    """
    if section in ANSWERED:
        return _answers_line(fields)
    writing = _Writing(section, settled(section, fields) if isinstance(fields, Mapping) else {})
    return "; ".join(writing.clauses())


def settled(section: str, fields: Mapping[str, object]) -> dict[str, object]:
    """The fields as a line says them: a pair of lengths as one text."""
    return {name: _pair(value) if section == "sizes" else value for name, value in fields.items()}


def _pair(value: object) -> object:
    if not isinstance(value, Mapping) or set(value) != set(SYSTEMS):
        return value
    texts = [value[system] for system in SYSTEMS]
    return f"{texts[0]} | {texts[1]}" if all(isinstance(text, str) and text.strip() for text in texts) else value


def _answers_line(value: object) -> str:
    if not isinstance(value, Mapping):
        return written(value)
    said = [f"{keyed(key)} {written(each)}" for key, each in value.items()]
    return "; ".join(said) + ("" if len(said) > 1 else ";")


class _Writing:
    """What of an entry's fields is not said yet."""

    def __init__(self, section: str, fields: Mapping[str, object]) -> None:
        self.section = section
        self.said = clauses_of(section)
        self.left = {name: dict(each) if isinstance(each, Mapping) else each for name, each in fields.items()}
        self.number = 0

    def clauses(self) -> list[str]:
        """All of it, each clause in the form of the table where that reads back, else by the field's name."""
        found: list[str] = []
        rest = self.said.rest
        ending = rest.slots[0][0] if rest else None
        for one in self.said.clauses:
            if not one.takes_rest and (clause := self.clause(one)):
                found.append(clause)
                self.number += 1
        for name in list(self.left):
            if name != ending:
                found.append(f"{quoted(name)} {written(self.left.pop(name))}")
                self.number += 1
        return [*found, self.sentence(ending)] if ending in self.left and ending is not None else found

    def clause(self, one: Clause) -> str:
        """The clause, where the fields left have what it says and it reads back; then they are said."""
        if any(self.held(name) != value for name, value in one.fixed.items()):
            return ""
        if "answers" in self.left and one.slots and one.slots[0][1] == "answers" and "usual" not in self.left:
            return ""
        values = {slot: self.held(slot) for slot, _ in one.slots}
        if any(value is None for value in values.values()):
            return ""
        expected = {**values, **one.fixed}
        if self.is_flag(values) and self.reads_as(one.lead, expected):
            return self.said_by(one.lead, expected)
        shaped = tuple(SHAPES[shape][1](values[slot]) for slot, shape in one.slots)
        if all(shaped) and self.reads_as(clause := one.filled(shaped), expected):
            return self.said_by(clause, expected)
        if len(values) == 1 and one.lead and "." not in next(iter(values)):
            clause = f"{one.lead} {written(next(iter(values.values())), plain=False)}"
            if self.reads_as(clause, expected):
                return self.said_by(clause, expected)
        if one.is_bare and all(isinstance(value, str) for value in values.values()):
            clause = quoted(str(next(iter(values.values()))))
            if self.reads_as(clause, expected):
                return self.said_by(clause, expected)
        return ""

    def is_flag(self, values: Mapping[str, object]) -> bool:
        """Whether one field is all there is to say, and it is said by its name alone."""
        return all(name in self.said.flags and value == "yes" for name, value in values.items()) and len(values) == 1

    def held(self, slot: str) -> object:
        """What is left to be said at a place; None where there is nothing."""
        if slot not in _DOTTED:
            return self.left.get(slot)
        field, _, place = slot.partition(".")
        within = self.left.get(field)
        return within.get(place) if isinstance(within, dict) else None

    def reads_as(self, clause: str, expected: Mapping[str, object]) -> bool:
        """Whether a clause, where it would stand, says just that."""
        if [piece for _, piece in parted(clause, ";")] != [clause]:
            return False
        line = _Line(self.section, "")
        if line.takes_rest(clause, clause, self.number):
            return False
        try:
            return line.found_in(clause, self.number) == expected
        except LineError:
            return False

    def said_by(self, clause: str, expected: Mapping[str, object]) -> str:
        """The clause; what it says is no longer left."""
        for slot in expected:
            field, _, place = slot.partition(".")
            within = self.left.get(field)
            if slot in _DOTTED and isinstance(within, dict):
                del within[place]
                if not within:
                    del self.left[field]
            else:
                del self.left[slot]
        if any(shape == "answers" for shape in self.shapes(expected)) and self.usual_is_first(expected):
            del self.left["usual"]
        return clause

    def shapes(self, expected: Mapping[str, object]) -> list[str]:
        """The shapes in which some places are said when no lead is there."""
        return [shape for one in self.said.bare for slot, shape in one.slots if slot in expected]

    def usual_is_first(self, expected: Mapping[str, object]) -> bool:
        """Whether the usual answer is the first, and so need not be said."""
        answers = expected.get("answers")
        return isinstance(answers, list | tuple) and bool(answers) and self.left.get("usual") == answers[0]

    def sentence(self, field: str) -> str:
        """The sentence that ends the line, as it stands where it is read as that."""
        value = self.left.pop(field)
        if not isinstance(value, str) or self.number < len(self.said.bare):
            return f"{quoted(field)} {written(value)}"
        if value.isprintable() and value == value.strip() and value:
            line = _Line(self.section, "")
            begin = next(piece for _, piece in parted(value, ";")).strip()
            if begin and line.takes_rest(begin, value, self.number) and line.fields == {field: value}:
                return value
        return quoted(value)
