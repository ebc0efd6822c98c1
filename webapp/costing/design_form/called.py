"""A field of an entry with every name in it called otherwise: the tables of the form say where names stand in it.

Who puts a design into another and who gives an entry a new name both go by this, so no field is known to one alone.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any, Final, Protocol

from webapp.costing.design_form.tables.driver_tables import DRIVER_SECTIONS, MADE_SECTIONS
from webapp.costing.design_form.tables.form_fields import Field
from webapp.costing.design_form.tables.form_tables import AXES, LIMIT_RULES, NAME, SHORT_FORM
from webapp.costing.designs.model import Axis

#: The words of a cut that name no part, and the degrees of a tilt before the way it goes.
_CUT_PART: Final = re.compile(r"[a-z][a-z0-9_]*")
_CUT_WORDS: Final = frozenset({"against", "and", "at", "the", "both", "ends", "start", "end", "square", "level"})
_DEGREES: Final = re.compile(r"([^,]+?)( ?(?:degrees?|°) (?:from the|to the) [a-z]+)")
_INSET: Final = re.compile(r"(?P<word>inset )?(?P<inset>.+)")
#: A load along a length, which is a measure and holds no names.
_ALONG_LENGTH: Final = re.compile(r"\b(?:N|lbf)/")


class Naming(Protocol):
    """How what is named in a design is called elsewhere. All of these may raise FormulaError."""

    def formula(self, text: str) -> str:
        """A formula, a rule, a measure or a pair of them."""

    def sentence(self, text: str) -> str:
        """A sentence with {names}."""

    def place(self, text: str, axis: Axis) -> str:
        """Where something stands along an axis, in words or by a formula."""

    def entry(self, name: str, sections: tuple[str, ...]) -> str:
        """An entry of one of these sections."""

    def first(self, name: str, sections: tuple[str, ...]) -> str:
        """An entry of the first of these sections that has one of this name."""


def field_called(field: Field, content: Any, names: Naming, entry: Mapping[str, Any], form: object = SHORT_FORM) -> Any:
    """The content of a field of an entry with the names in it as `names` calls them; what has another shape than the
    table says is left as it is, for the reader to say what is wrong with it. Raises what `names` raises."""
    if isinstance(content, Mapping):
        return _by_key(field, content, names)
    sections = _counted(entry, form) if field.sort == "counted" else field.looks_in
    if field.sort == "faces_of":
        return each_called(content, lambda text: _first_word(text, sections, names))
    if field.sort == "points":
        return [_corner(corner, names) for corner in content] if isinstance(content, list | tuple) else content
    if field.sort in ("names", "counted"):
        return each_called(content, lambda name: names.entry(name, sections)) if sections else content
    return _text(field, content, names) if isinstance(content, str) else content


def _corner(corner: Any, names: Naming) -> Any:
    """A corner of an outline, all of whose texts are formulas."""
    if not isinstance(corner, Mapping):
        return corner
    return {key: names.formula(text) if isinstance(text, str) else text for key, text in corner.items()}


def _text(field: Field, text: str, names: Naming) -> str:
    match field.sort:
        case "formula" | "rule":
            return names.formula(text)
        case "loading":
            return text if _ALONG_LENGTH.search(text) else names.formula(text)
        case "sentence":
            return names.sentence(text)
        case "role":
            # The one glue that there is is said without its name.
            return text if field.name == "glue" and text == "yes" else names.entry(text, ("stock",))
        case "part":
            return names.entry(text, ("parts",))
        case "entry":
            return names.entry(text, field.looks_in)
        case "inset":
            found = _INSET.fullmatch(text)
            return text if text == "yes" or not found else f"{found['word'] or ''}{names.formula(found['inset'])}"
        case "tilt":
            return _DEGREES.sub(lambda found: f"{names.formula(found[1])}{found[2]}", text)
        case "cut":
            return _CUT_PART.sub(
                lambda found: found[0] if found[0] in _CUT_WORDS else names.entry(found[0], field.looks_in), text
            )
    return text


def _by_key(field: Field, content: Mapping[str, Any], names: Naming) -> dict[str, Any]:
    match field.sort:
        case "at":
            return {axis: names.place(text, axis) if axis in AXES and isinstance(text, str) else text
                    for axis, text in content.items()}  # fmt: skip
        case "sizes_by_name":
            return {size: names.formula(text) if isinstance(text, str) else text for size, text in content.items()}
        case "by_name" if field.looks_in:
            return {key: names.entry(name, field.looks_in) if isinstance(name, str) else name
                    for key, name in content.items()}  # fmt: skip
        case "band":
            return {key: names.entry(name, ("stock",)) if key == "with" and isinstance(name, str) else name
                    for key, name in content.items()}  # fmt: skip
        case "needs":
            return {rule: _limits(limits, names) if rule in LIMIT_RULES else limits for rule, limits in content.items()}
    return dict(content)


def _limits(limits: Any, names: Naming) -> Any:
    """The measures that a role needs, of which some are those of the role that it follows."""
    if not isinstance(limits, Mapping):
        return limits
    found = {}
    for name, text in limits.items():
        owner, dot, attribute = text.partition(".") if isinstance(text, str) else ("", "", "")
        found[name] = f"{names.entry(owner, ('stock',))}.{attribute}" if dot and NAME.fullmatch(owner) else text
    return found


def _counted(entry: Mapping[str, Any], form: object) -> tuple[str, ...]:
    """The sections of which the driver of an entry counts something."""
    driver = str(entry.get("driver", entry.get("used_by", "")))
    looked_in = DRIVER_SECTIONS.get(driver, ())
    return MADE_SECTIONS.get(driver, looked_in) if form == SHORT_FORM else looked_in


def _first_word(text: str, sections: tuple[str, ...], names: Naming) -> str:
    name, space, rest = text.partition(" ")
    return f"{names.first(name, sections)}{space}{rest}"


def each_called(listed: Any, called: Callable[[str], str]) -> Any:
    """One name or a list of them."""
    if isinstance(listed, str):
        return called(listed)
    return [called(one) if isinstance(one, str) else one for one in listed] if isinstance(listed, list) else listed
