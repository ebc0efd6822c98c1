"""One place of an entry, a field or a part of it, as the text that one types for it: written, and read back."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Final

from webapp.costing.design_lines.lines import settled
from webapp.costing.design_lines.table import ANSWERED, clauses_of
from webapp.costing.design_lines.written import SHAPES

#: Shapes of which every value is text as it stands.
_PLAIN: Final = ""
#: Places that hold words for people, which stand as they are typed.
_FREE: Final = ("says", "customer")
_JOINED: Final = re.compile(r"(?<=[a-z0-9])_(?=[a-z0-9])")
#: Shapes of names, which are shown and typed with spaces in them.
_NAMES: Final = ("name", "names")


def text_at(section: str, held: object, slot: str, *, spaced: bool = True) -> str:
    """What an entry holds at a place, as one types it: names with spaces, or as they are kept where they are not to be
    `spaced`; '' where it holds nothing there.

    >>> text_at("parts", {"at": {"x": "left and right"}, "stock": "board"}, "at.x")
    'left and right'
    >>> text_at("parts", {"stock": "long_board"}, "stock")
    'long board'
    """
    shape, value = _shape_of(section, slot), _value_at(section, held, slot)
    if value is None:
        return ""
    said = (shape and SHAPES[shape][1](value)) or (value if isinstance(value, str) else SHAPES["pairs"][1](value))
    return _JOINED.sub(" ", said) if spaced and slot not in _FREE else said


def with_text(
    section: str, held: object, slot: str, text: str, names: Iterable[str] = ()
) -> dict[str, object] | str:
    """The entry with a place as it is typed; nothing typed takes the place out. The rest stays as it is.

    `names` are those that may be typed with spaces: 'inner width' is inner_width where there is such a one. Raises
    LineError where the text can't be read as what stands there; `str()` of it goes on after the text.
    """
    text = " ".join(text.split())
    if slot not in _FREE:
        text = joined(text, names)
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


def joined(text: str, names: Iterable[str]) -> str:
    """A text with names that are typed with spaces as they are kept, the longest first.

    >>> joined("inner width - 2 * box board.thickness", ["box_board", "inner_width", "inner"])
    'inner_width - 2 * box_board.thickness'
    """
    for name in sorted((one for one in names if "_" in one), key=lambda name: (-len(name), name)):
        if (spaced := name.replace("_", " ")) in text:
            text = re.sub(rf"(?<![\w.]){re.escape(spaced)}(?!\w)", name, text)
    return text


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
