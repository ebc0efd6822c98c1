"""One place of an entry, a field or a part of it, as the text that one types for it: written, and read back."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Final

from webapp.costing.design_lines.lines import settled
from webapp.costing.design_lines.table import ANSWERED, clauses_of
from webapp.costing.design_lines.written import SHAPES

#: Shapes of which every value is text as it stands.
_PLAIN: Final = ""
#: Shapes of names, which are shown and typed with spaces in them.
_NAMES: Final = ("name", "names")


def text_at(section: str, held: object, slot: str) -> str:
    """What an entry holds at a place, as it is typed in a line; '' where it holds nothing there.

    >>> text_at("parts", {"at": {"x": "left and right"}, "stock": "board"}, "at.x")
    'left and right'
    >>> text_at("parts", {"stock": "long_board"}, "stock")
    'long board'
    """
    shape, value = _shape_of(section, slot), _value_at(section, held, slot)
    if value is None:
        return ""
    said = shape and SHAPES[shape][1](value)
    if said and shape in _NAMES:
        return said.replace("_", " ")
    return said or (value if isinstance(value, str) else SHAPES["pairs"][1](value))


def with_text(section: str, held: object, slot: str, text: str) -> dict[str, object] | str:
    """The entry with a place as it is typed; nothing typed takes the place out. The rest stays as it is.

    Raises LineError where the text can't be read as what stands there; `str()` of it goes on after the text.
    """
    text = " ".join(text.split())
    if section in ANSWERED and not slot:
        return text
    shape = _shape_of(section, slot)
    if shape in _NAMES:
        text = ", ".join("_".join(name.split()) for name in text.split(","))
    value: object = SHAPES[shape][0](text) if shape and text else text
    fields = {**settled(section, held)} if isinstance(held, Mapping) else {}
    field, dot, place = slot.partition(".")
    if not dot:
        fields.pop(slot, None) if not text else fields.update({slot: value})
        return fields
    before = fields.get(field)
    within = {**before} if isinstance(before, Mapping) else {}
    within.pop(place, None) if not text else within.update({place: value})
    if within:
        fields[field] = within
    else:
        fields.pop(field, None)
    return fields


def is_name(section: str, slot: str) -> bool:
    """Whether what stands at a place is the name of another entry, or of several."""
    return _shape_of(section, slot) in _NAMES


def _value_at(section: str, held: object, slot: str) -> object:
    if not slot or not isinstance(held, Mapping):
        return held if isinstance(held, str) and not slot else None
    fields = settled(section, held)
    field, dot, place = slot.partition(".")
    within = fields.get(field)
    return (within.get(place) if isinstance(within, Mapping) else None) if dot else within


@lru_cache(maxsize=1024)
def _shape_of(section: str, slot: str) -> str:
    """The shape in which a place is said in a line, that of the first clause which says it."""
    if section in ANSWERED:
        return _PLAIN
    shapes = {held: shape for one in reversed(clauses_of(section).clauses) for held, shape in one.slots}
    return shapes.get(slot, _PLAIN)
