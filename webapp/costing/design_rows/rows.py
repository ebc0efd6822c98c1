"""The rows of a design: each entry of its text as a sentence, in which every word that may change is a field."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from webapp.costing.design_form.tables.form_fields import Field
from webapp.costing.design_form.tables.form_tables import AXES, CLOSES, SHORTER
from webapp.costing.design_lines.lines import line_of
from webapp.costing.design_lines.places import is_name, text_at
from webapp.costing.design_lines.read_aloud import ANSWERS_ALOUD, Told, spoken
from webapp.costing.design_lines.table import ANSWERED, ONE_LINE
from webapp.costing.design_rows.edits import entry_at, path_of
from webapp.costing.designs.formulas import name_words
from webapp.costing.designs.names_within import held as entries_in

#: The lists that a design is made of, each with the sections whose entries stand in it. What is made first stands last
#: on a drawing board: a list is read upwards.
LISTS: Final[Mapping[str, tuple[str, ...]]] = {
    "Parts": ("parts", "uses"),
    "Made into parts": ("holes", "openings", "outlines", "joinery", "folds"),
    "Joints": ("joints",),
    "Hardware": ("hardware",),
    "Finish": ("finish", "surfaces", "supplies"),
    "Moves and loads": ("moves", "holds", "loads", "spans"),
    "Musts": ("musts",),
    "Places": ("values", "choices", "closes"),
    "Stock": ("stock",),
    "Steps": ("operations",),
}
#: Sizes have a list of their own beside the drawing.
SIZES: Final = "sizes"
#: In what shape of the sentence one picks from a few answers.
_AXIS_SLOTS: Final = ("runs.length", "runs.width")


@dataclass(frozen=True, slots=True)
class FieldOfRow:
    """A word of a row that may change: its place in the entry, what is typed there, what it says, the answers where
    there are few, and whether it names another row."""

    slot: str
    text: str
    words: str
    label: str
    answers: tuple[tuple[str, str], ...] = ()
    is_name: bool = False


@dataclass(frozen=True, slots=True)
class RowOfDesign:
    """One entry: its sentence in pieces, the same as one line, and the remarks that stand before it in the text."""

    section: str
    name: str
    pieces: tuple[str | FieldOfRow, ...]
    line: str
    remarks: tuple[str, ...] = ()

    @property
    def path(self) -> str:
        """The place of the entry in the document."""
        return path_of(self.section, self.name)


def rows_of(document: Mapping[str, Any], materials: Mapping[str, str]) -> dict[str, tuple[RowOfDesign, ...]]:
    """The rows of each list and of the sizes, in the order of the document; `materials` are names by code."""
    listed = {"Sizes": (SIZES,), **LISTS}
    return {
        words: tuple(row for section in sections for row in _rows(document, section, materials))
        for words, sections in listed.items()
    }


def row_of(document: Mapping[str, Any], section: str, name: str, materials: Mapping[str, str]) -> RowOfDesign:
    """One row. An entry that can't be read as fields is its line alone."""
    held = entry_at(document, section, name)
    pieces = tuple(
        _field(section, held, piece) if isinstance(piece, Told) else piece
        for piece in spoken(document, section, name, materials)
    )
    line = held if isinstance(held, str) else line_of(section, held) if isinstance(held, Mapping) else ""
    own = entries_in(document, "remarks").get(path_of(section, name))
    said = tuple(map(str, own)) if isinstance(own, list | tuple) else ()
    return RowOfDesign(section, name, pieces, line, said)


def _rows(document: Mapping[str, Any], section: str, materials: Mapping[str, str]) -> list[RowOfDesign]:
    if section in ONE_LINE:
        return [row_of(document, section, "", materials)] if document.get(section) else []
    return [row_of(document, section, name, materials) for name in entries_in(document, section)]


def _field(section: str, held: object, piece: Told) -> FieldOfRow:
    kept = text_at(section, held, piece.slot, spaced=False)
    label = name_words(piece.slot.replace(".", " ")) or "what it is"
    answers = _answers(section, piece.slot, kept)
    text = kept if answers else text_at(section, held, piece.slot)
    return FieldOfRow(piece.slot, text, piece.words, label, answers, is_name(section, piece.slot) and not answers)


def _answers(section: str, slot: str, text: str) -> tuple[tuple[str, str], ...]:
    """The few answers of a place, each with how it is said; what is typed there stands among them, whatever it is."""
    if slot in _AXIS_SLOTS:
        few: tuple[str, ...] = tuple(AXES)
    else:
        known = _fields(section).get(slot)
        few = known.answers if known is not None and known.sort == "one_of" else ()
    words = ANSWERS_ALOUD.get(slot, {})
    few = few if not few or text in few else (text, *few)
    return tuple((one, words.get(one, name_words(one))) for one in few)


def _fields(section: str) -> Mapping[str, Field]:
    if section in ANSWERED:
        return {}
    known = CLOSES if section in ONE_LINE else SHORTER.get(section)
    return {one.name: one for one in known.fields} if known is not None else {}
