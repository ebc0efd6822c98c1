"""Reads one field of the design form at a time; what is wrong is noted with path and sentence, and reading goes on."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.design_form.tables.form_fields import Section
from webapp.costing.design_form.tables.form_tables import LONGEST_WORDS
from webapp.costing.designs.formulas import (
    LENGTH,
    Dimension,
    dimension_words,
    find_dimension,
    judged_as_measured,
    pair_value,
    read_formula,
    read_measure,
    split_pair,
)
from webapp.costing.designs.model import Value
from webapp.costing.designs.names import NAME_SPACE, fill_names, sentence_names
from webapp.costing.errors import FormulaError, MeasureError, Problem
from webapp.costing.ledger.formula import Expression
from webapp.costing.measures.quantities import SYSTEMS, System, a_quantity
from webapp.costing.measures.typed_text import quoted
from webapp.costing.measures.written import parse_measure

#: Stands where something could not be read; a design with problems is never handed out, so it is never worked with.
NOTHING: Final = read_formula("0")

_MEASURE_START: Final = re.compile(r"[-+.,0-9¼½¾⅐-⅞](?![0-9]*$)[^*()_]*$")
_MOST_HINTS: Final = 20


class Reading:
    """What is known while a form is read: the names that formulas may use, what refers to what, and what is wrong."""

    def __init__(self, document: Mapping[str, object]) -> None:
        self.document = document
        self.form = str(document.get("form", "1"))
        self.problems: list[Problem] = []
        self.dimensions: dict[str, Dimension | None] = {}
        self.roles: dict[str, Kind | None] = {}
        self.answers: dict[str, str] = {}
        self.whens: dict[str, str] = {}
        self.implicit_values: dict[str, Value] = {}  # the pairs that stand in fields
        self.in_space: dict[str, None] = {}  # parts, uses and standing hardware; within a use by the corner of that
        self._hints = 0

    def wrong(self, path: str, message: str) -> None:
        """Note what is wrong with a field, as a sentence."""
        self.problems.append(Problem(path, message))

    def declared(self, section: str) -> Sequence[str]:
        """The names of a section as written, right or wrong, so that one mistake isn't reported twice."""
        entries = self.document.get(section)
        return tuple(entries) if isinstance(entries, Mapping) else ()

    def hint(self, word: str, known: Sequence[str]) -> str:
        """'; did you mean …?' where a known word is close. Only for the first few: looking takes time."""
        self._hints += 1
        close = get_close_matches(word[:60], known, 1) if self._hints <= _MOST_HINTS else []
        return f"; did you mean '{close[0]}'?" if close else "."

    def amount_or_formula(
        self, text: str, dimensions: Mapping[str, Dimension | None]
    ) -> tuple[Expression, Dimension | None]:
        """ONE measure or ONE formula, and its dimension (None: any, or not known). Raises FormulaError."""
        if "|" in text:
            raise FormulaError("", f"{quoted(text)} is a pair for two length systems; one text is needed here.")
        refused = ""
        if _MEASURE_START.match(text):
            try:
                return read_measure(text, may_dash=self.document.get("form") == "1")
            except MeasureError as error:
                refused = error.reason
        try:
            expression = read_formula(text)
        except FormulaError as error:
            formula_like = any(sign in text for sign in "*()_") or " - " in text or " + " in text
            raise (error if formula_like or not refused else FormulaError("", refused)) from None
        self.check_names(expression, dimensions)
        return judged_as_measured(expression, dimensions), find_dimension(expression, dimensions)

    def pair(self, path: str, sides: Mapping[System, str]) -> tuple[Expression, Dimension | None]:
        """A field's pair of metric and inch as the name of a value that belongs to no section, and its dimension."""
        if not self.answers.keys().isdisjoint(SYSTEMS):
            raise FormulaError("", "metric and inch are answers of this design; name a value that follows them.")
        read = {system: self.amount_or_formula(side, self.dimensions) for system, side in sides.items()}
        value = pair_value(path, sides, read, self.implicit_values)
        self.implicit_values[value.name] = value
        return read_formula(value.name), value.dimension

    def check_names(self, expression: Expression, dimensions: Mapping[str, Dimension | None]) -> None:
        """Raises FormulaError for the first name that a formula may not use here."""
        for name in expression.names:
            if name not in dimensions:
                raise FormulaError(
                    "", f"The formula '{expression.text}' uses '{name}', {self._why_unknown(name, dimensions)}"
                )

    def _why_unknown(self, name: str, dimensions: Mapping[str, Dimension | None]) -> str:
        if name == "number":
            return "which counts the pieces of a part and means something only in 'at'."
        owner, dot, _ = name.partition(".")
        if owner in self.declared("stock"):
            lent = [each for each in dimensions if each.startswith(f"{owner}.")]
            such = f"; there is {', '.join(lent)}." if lent else "."
            return (
                f"which that stock does not have{such}" if dot else f"a stock role, which is no value by itself{such}"
            )
        if name in self.declared("choices"):
            return "a choice, which has no value: give a value one formula for each of its answers."
        return f"which nothing defines{self.hint(name, tuple(dimensions))}"


class Entry:
    """One entry of a section, its fields read by name as the section's table says; a faulty one gives a stand-in."""

    def __init__(self, reading: Reading, section: Section, name: str, content: object) -> None:
        self.reading, self.section, self.name = reading, section, name
        self.path = ".".join(each for each in (section.name, name) if each)
        self.fields = {field.name: field for field in section.fields}
        self.content: Mapping[str, object] = content if isinstance(content, Mapping) else {}
        if not isinstance(content, Mapping):
            needed = ", ".join(field.name for field in section.fields if field.required)
            reading.wrong(self.path, f"{self.subject} has to hold its fields in curly brackets: {needed}.")
            return
        for key in self.content:
            if key not in self.fields:
                reading.wrong(
                    self._path_of(key),
                    f"{self.subject} has a field '{key}', which there isn't{reading.hint(key, tuple(self.fields))}",
                )
        for field in section.fields:
            if field.required and field.name not in self.content:
                reading.wrong(
                    self._path_of(field.name),
                    f"{self.subject} lacks '{field.name}': {field.says[0].lower()}{field.says[1:]}",
                )

    @property
    def subject(self) -> str:
        """What the entry is called in sentences."""
        return f"{self.section.entry[0].upper()}{self.section.entry[1:]} {self.name}".rstrip()

    def _path_of(self, field: str) -> str:
        return ".".join(each for each in (self.path, field) if each)

    def has(self, field: str) -> bool:
        """Whether a field is given."""
        return field in self.content

    def wrong(self, field: str, message: str) -> None:
        """Note what is wrong with a field. The sentence starts with the entry and the field."""
        said = f"t{message[1:]}" if message.startswith("The ") else message
        self.reading.wrong(self._path_of(field), f"{self.subject}{', ' if field else ''}{field}: {said}")

    def text(self, field: str) -> str | None:
        """A field's text; '' where it is missing, which is noted where it must be there."""
        value = self.content.get(field)
        if value is None:
            return None
        if not isinstance(value, str):
            self.wrong(field, "one value is needed here, not a list or a mapping.")
            return None
        if not value.strip():
            self.wrong(field, "nothing is written here.")
            return None
        if len(value) > LONGEST_WORDS:
            self.wrong(field, f"{quoted(value)} is longer than {LONGEST_WORDS} characters.")
            return None
        return value

    def words(self, field: str) -> str:
        """A text in words for people, of bounded length."""
        return self.text(field) or ""

    def sentence(self, field: str) -> str:
        """Words with {names}; each name has to be a size, value, choice or stock role, or a property of one."""
        text = self.words(field)
        known = [*self.reading.dimensions, *(each for section in NAME_SPACE for each in self.reading.declared(section))]
        for name in sentence_names(text):
            if name not in known:
                self.wrong(
                    field, f"the sentence asks for {{{name}}}, which nothing defines{self.reading.hint(name, known)}"
                )
        if any(sign in fill_names(text, lambda _: "") for sign in "{}"):
            self.wrong(field, f"{quoted(text)} has a curly bracket without its partner.")
        return text

    def one_of(self, field: str, usual: str = "") -> str:
        """One of the answers that a field takes; another is noted."""
        text = self.text(field)
        answers = self.fields[field].answers
        if text is None:
            return usual
        if text not in answers:
            self.wrong(field, f"'{text}' is none of {', '.join(answers)}.")
            return usual
        return text

    def yes_no(self, field: str, usual: bool) -> bool:
        """A yes or no."""
        text = self.text(field)
        if text is not None and text not in ("yes", "no"):
            self.wrong(field, f"'{text}' is neither yes nor no.")
        return usual if text is None else text == "yes"

    def whole(self, field: str, usual: int) -> int:
        """A whole number within its bounds; another is noted."""
        text = self.text(field)
        if text is None:
            return usual
        most = self.fields[field].most
        if not (text.isascii() and text.isdigit() and len(text) <= 6 and 1 <= int(text) <= most):
            self.wrong(field, f"{quoted(text)} is no whole number from 1 to {most}.")
            return usual
        return int(text)

    def formula(self, field: str) -> Expression:
        """The measure or formula of a field, of the dimension that the table asks for."""
        return self._formula(self.fields[field].dimension, field, self.text(field), {})

    def formula_or_none(self, field: str) -> Expression | None:
        """A formula, or None where none is given; one that can't be read is noted."""
        return self.formula(field) if self.has(field) else None

    def length_at(self, place: str, text: str, **further: Dimension) -> Expression:
        """A length that stands deeper than the fields, where further names have a meaning."""
        return self._formula(LENGTH, place, text, further)

    def formula_at(self, place: str, text: str, dimension: Dimension) -> Expression:
        """A formula of a dimension that stands deeper than the fields."""
        return self._formula(dimension, place, text, {})

    def _formula(
        self, wanted: Dimension | None, place: str, text: str | None, further: Mapping[str, Dimension]
    ) -> Expression:
        if text is None:
            return NOTHING
        known = {**self.reading.dimensions, **further} if further else self.reading.dimensions
        try:
            sides = split_pair(text)
            if sides is None:
                expression, found = self.reading.amount_or_formula(text, known)
            else:
                expression, found = self.reading.pair(self._path_of(place), sides)
        except FormulaError as error:
            self.wrong(place, error.reason)
            return NOTHING
        if wanted is not None and found is not None and found != wanted:
            self.wrong(place, f"'{text}' is {dimension_words(found)}, and {dimension_words(wanted)} is needed.")
        return expression

    def rule(self, field: str) -> Expression:
        """A comparison of two formulas."""
        text = self.text(field)
        if text is None:
            return NOTHING
        try:
            expression = read_formula(text, comparisons=True)
            self.reading.check_names(expression, self.reading.dimensions)
            find_dimension(expression, self.reading.dimensions)
        except FormulaError as error:
            self.wrong(field, error.reason)
            return NOTHING
        return judged_as_measured(expression, self.reading.dimensions)

    def amount(self, field: str, text: str) -> tuple[Fraction, bool] | None:
        """A length with its unit in nm, or a plain whole number; and whether it is a length."""
        if text.isascii() and text.isdigit() and len(text) <= 6:
            return Fraction(int(text)), False
        value = self._measure(field, text, "length")
        return None if value is None else (value, True)

    def load(self, field: str) -> Fraction:
        """A load along a length, in N/mm."""
        text = self.text(field)
        return (self._measure(field, text, "load_per_length") if text is not None else None) or Fraction(0)

    def _measure(self, field: str, text: str, wanted: str) -> Fraction | None:
        try:
            value, quantity = parse_measure(text)
        except MeasureError as error:
            self.wrong(field, error.reason)
            return None
        if quantity != wanted:
            needed = {
                "length": "a length such as 760 mm or 30 in, or a whole number,",
                "load_per_length": "a load along a length, such as 0.3 N/mm,",
            }
            self.wrong(field, f"{quoted(text)} is {a_quantity(quantity)}; {needed[wanted]} is needed.")
            return None
        return value

    def role(self, field: str) -> str:
        """The name of a stock role, of a kind that the table allows."""
        text = self.text(field)
        return "" if text is None else self.check_role(field, text, self.fields[field].kinds)

    def check_role(self, place: str, name: str, kinds: tuple[Kind, ...]) -> str:
        """Note a role that the design does not have."""
        roles = self.reading.declared("stock")
        if name not in roles:
            self.wrong(place, f"'{name[:80]}' is no stock role{self.reading.hint(name, roles)}")
            return ""
        kind = self.reading.roles.get(name)
        if kind is not None and kind not in kinds:
            self.wrong(
                place,
                f"the stock '{name}' is of kind {kind.value}, and {' or '.join(kinds)} is needed.",
            )
        return name

    def part(self, field: str) -> str:
        """The name of a part of the design; another is noted."""
        text = self.text(field)
        parts = self.reading.declared("parts")
        if text is not None and text not in parts:
            self.wrong(field, f"'{text}' is no part{self.reading.hint(text, parts)}")
        return text or ""

    def names(self, field: str, known: Sequence[str], called: str) -> tuple[str, ...]:
        """A list of names, each once, that have to be among the known ones; `called` is what those are."""
        value = self.content.get(field)
        if value is None:
            return ()
        listed = [value] if isinstance(value, str) else value
        if not isinstance(listed, list | tuple) or not listed:
            self.wrong(field, "a list of names in square brackets is needed.")
            return ()
        for number, name in enumerate(listed):
            if not isinstance(name, str):
                self.wrong(field, "a list of names in square brackets is needed.")
                return ()
            if name not in known:
                self.wrong(field, f"'{name[:80]}' is no {called}{self.reading.hint(name, known)}")
            if name in listed[:number]:
                self.wrong(field, f"'{name[:80]}' is listed twice.")
        return tuple(listed)

    def lines(self, field: str) -> tuple[str, ...]:
        """A list of free texts."""
        value = self.content.get(field)
        if value is None:
            return ()
        listed = (
            tuple(each for each in value if isinstance(each, str) and each.strip())
            if isinstance(value, list | tuple)
            else ()
        )
        if not isinstance(value, list | tuple) or len(listed) != len(value):
            self.wrong(field, "a list of texts in square brackets is needed.")
        elif len(listed) > self.fields[field].most:
            self.wrong(field, f"{len(listed)} lines are more than the {self.fields[field].most} that can be printed.")
        return listed

    def when(self) -> str:
        """The answers under which the entry holds."""
        text = self.answer("when")
        if text:
            self.reading.whens[self.path] = text
        return text

    def within(self) -> str:
        """The use in which it stands, in the written-out form."""
        within = self.content.get("within")
        return within if isinstance(within, str) and "within" in self.fields else ""

    def together(self, kind: Kind | None) -> str:
        """The word under which sheet parts are kept together."""
        name = self.words("together")
        if name and kind not in (Kind.SHEET, None):
            self.wrong("together", "only parts cut from sheets can be kept together on one.")
        if self.has("together_when") and not name:
            self.wrong("together_when", "says when parts are kept together; 'together' has to say as what.")
        return name

    def answer(self, field: str) -> str:
        """An answer of one of the choices; nothing where the field isn't there."""
        text = self.text(field)
        if text is None:
            return ""
        if text not in self.reading.answers:
            self.wrong(
                field, f"'{text}' is no answer of a choice{self.reading.hint(text, tuple(self.reading.answers))}"
            )
        return text
