"""Names of a design called otherwise wherever they stand: in formulas, sentences, words, lists and references."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final, cast

from webapp.costing.design_form.called import field_called
from webapp.costing.design_form.fill_in import FilledIn
from webapp.costing.design_form.tables.form_fields import Field
from webapp.costing.design_form.tables.form_tables import CLOSES, DESIGN, SHORT_FORM, USES, sections_of
from webapp.costing.design_form.unfold import Unfolded
from webapp.costing.design_form.usual_steps import USUAL_STEPS
from webapp.costing.designs.canonical import plain_copy
from webapp.costing.designs.model import Axis
from webapp.costing.designs.names import fill_names
from webapp.costing.designs.names_within import formula_called, held, section_in_space, section_meant
from webapp.costing.designs.places import reworded
from webapp.costing.designs.within import APART
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.formula import read_expression

#: The names that entries have and those that they get, by section.
NewNames = Mapping[str, Mapping[str, str]]

#: What counts in a step whose driver is not said, by where its entry stands: that of the shop's own step of the name.
_DRIVERS: Final = {f"operations.{step.name}.": {"driver": step.driver} for step in USUAL_STEPS}
#: A value is one formula, or one for each of some answers.
_VALUE: Final = Field("values", "formula", "")
_REMARKS: Final = "remarks"


def followed(document: Mapping[str, Any], names: NewNames) -> dict[str, Any]:
    """The document with these entries called otherwise, each in its place, and followed wherever it is named.

    An entry may be of a design that is used here, under the name that it has here ('drawer_side'). Raises FormulaError
    where a formula that would have to follow is unreadable, or a list may mean an entry of another section too.
    """
    changed = _once(document, names)
    moved = _of_the_program(document, changed)
    return _once(changed, {"surfaces": moved}) if moved else changed


def _of_the_program(before: Mapping[str, Any], after: Mapping[str, Any]) -> dict[str, str]:
    """The surfaces that the program names by others, as that of all welded tube, with the names that they get."""
    if before.get("form") != SHORT_FORM:
        return {}
    names = [list(held(FilledIn(one).document, "surfaces")) for one in (before, after)]
    return {old: new for old, new in zip(*names, strict=False) if old != new and old not in held(before, "surfaces")}


def _once(document: Mapping[str, Any], names: NewNames) -> dict[str, Any]:
    """The document with these names followed to where they stand themselves."""
    follow = _Follow(document, names)
    changed = cast(dict[str, Any], plain_copy(document))
    for section, table in sections_of(document.get("form")).items():
        entries = changed.get(section)
        if not isinstance(entries, dict):
            continue
        for name, entry in entries.items():
            if not table.fields:
                entries[name] = follow.value(f"{section}.{name}", entry)
            elif isinstance(entry, dict):
                follow.fields(f"{section}.{name}.", table.fields, entry)
        if section in names:
            changed[section] = {names[section].get(name, name): entry for name, entry in entries.items()}
    if isinstance(closes := changed.get(CLOSES.name), dict):
        follow.fields(f"{CLOSES.name}.", CLOSES.fields, closes)
    follow.fields("", tuple(field for field in DESIGN.fields if field.sort != "section"), changed)
    if isinstance(remarks := changed.get(_REMARKS), dict):
        changed[_REMARKS] = {follow.path_of(path): remark for path, remark in remarks.items()}
    return changed


class _Follow:
    """How the names of a document are called from now on; `at` is the path of the field that is gone through."""

    def __init__(self, document: Mapping[str, Any], names: NewNames) -> None:
        self.form = document.get("form")
        self.names = names
        self.at = ""
        # What stands in a use is named as in the document that is written out.
        self.written = Unfolded(document).document if held(document, USES.name) else document
        olds = [re.escape(old).replace("_", "_{1,2}") for record in names.values() for old in record]
        self._named = re.compile(rf"(?<![\w.])(?:{'|'.join(olds)})(?!\w)" if olds else r"(?!)")

    def fields(self, path: str, fields: tuple[Field, ...], entry: dict[str, Any]) -> None:
        """Follow the names into the fields of an entry."""
        # A step whose driver is not said goes by that of the shop's own step of its name.
        before = {**_DRIVERS.get(path, {}), **entry}
        for field in fields:
            if field.name in entry:
                self.at = f"{path}{field.name}"
                entry[field.name] = field_called(field, before[field.name], self, before, self.form)

    def value(self, path: str, content: Any) -> Any:
        """Follow the names into the formulas of a value."""
        self.at = path
        if isinstance(content, Mapping):
            return {key: self.value(f"{path}.{key}", text) for key, text in content.items()}
        return field_called(_VALUE, content, self, {}, self.form)

    def path_of(self, path: str) -> str:
        """The path of an entry, as remarks name it."""
        section, dot, rest = path.partition(".")
        name, inner, field = rest.partition(".")
        return f"{section}{dot}{self.names.get(section, {}).get(name, name)}{inner}{field}"

    # ---- as the tables of the form ask for it ------------------------------------------------------------------------

    def formula(self, text: str) -> str:
        """A formula, a rule, a measure or a pair of them."""
        for side in text.split("|"):
            if found := self._named.search(side):
                try:
                    read_expression(side, comparisons=True)
                except FormulaError as error:
                    said = f"“{self.at}” can't follow the new name: {error.reason}"
                    raise FormulaError(found[0], said) from None
        return formula_called(text, self._in_formula) if self._named.search(text) else text

    def sentence(self, text: str) -> str:
        """A sentence with {names}."""
        return fill_names(text, lambda name: f"{{{self._in_formula(*_parted(name))}}}")

    def place(self, text: str, axis: Axis) -> str:
        """Where something stands along an axis; the first form knows no words for it."""
        if self.form != SHORT_FORM or not self._named.search(text):
            return self.formula(text)
        return reworded(text, axis, self.formula, self._in_space)

    def entry(self, name: str, sections: tuple[str, ...]) -> str:
        """An entry of one of these sections. Raises FormulaError where it may be one of another of them too."""
        found = next((section for section in sections if name in self.names.get(section, {})), "")
        if not found:
            return name
        other = next((one for one in sections if one != found and name in held(self.written, one)), "")
        if other:
            tables = sections_of(self.form)
            raise FormulaError(
                name,
                f"'{name}' is a {tables[found].entry} and a {tables[other].entry}, and “{self.at}” names both by it: "
                "name them apart there first.",
            )
        return self.names[found][name]

    def first(self, name: str, sections: tuple[str, ...]) -> str:
        """An entry of the first of these sections that has one of this name."""
        has = [one for one in sections if name in held(self.written, one) or name in self.names.get(one, {})]
        return self.names.get(has[0], {}).get(name, name) if has else name

    def _in_formula(self, owner: str, attribute: str) -> str:
        first_form = self.form != SHORT_FORM
        section = "stock" if attribute and first_form else section_meant(self.written, owner, attribute)
        if attribute and section != "stock":
            return f"{self._in_space(owner)}.{attribute}"
        name = self.names.get(section, {}).get(owner, owner)
        return f"{name}.{attribute}" if attribute else name

    def _in_space(self, name: str) -> str:
        """What stands in space, in the whole or ('drawer__side') within one place of a use."""
        within, apart, rest = name.partition(APART)
        whole = f"{within}_{rest}" if apart else name
        called = self.names.get(section_in_space(self.written, name), {}).get(whole, whole)
        return f"{within}{APART}{called.removeprefix(f'{within}_')}" if apart else called


def _parted(name: str) -> tuple[str, str]:
    owner, _, attribute = name.partition(".")
    return owner, attribute
