"""Where formulas, rules and sentences stand in a design's document, as the tables of the form say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal

from webapp.costing.design_form.tables.form_fields import Field, Sort
from webapp.costing.design_form.tables.form_tables import CLOSES, sections_of
from webapp.costing.design_form.tables.whole_form import SHORTER_DESIGN
from webapp.costing.designs.formulas import LENGTH, Dimension
from webapp.costing.designs.places import says_places

Way = tuple[str, ...]

#: Fields that hold formulas of one dimension by name, as where a part stands holds one for x, y and z.
_FORMULAS_BY_NAME: Final[Mapping[Sort, Dimension]] = {"at": LENGTH}


@dataclass(frozen=True, slots=True)
class Place:
    """A text in a document: the way to it, and what it is. `dimension` is what a formula has to come out in, None where
    that follows from its use; `of` is the size or value that it is an amount or a formula of. 'words' say where pieces
    stand, with formulas among them."""

    way: Way
    text: str
    sort: Literal["formula", "rule", "sentence", "amount", "words"]
    dimension: Dimension | None = None
    of: str = ""

    @property
    def path(self) -> str:
        """The way as sentences about fields name it."""
        return ".".join(self.way)


def places_of(document: Mapping[str, Any]) -> Iterator[Place]:
    """Every formula, rule, sentence and amount of a document, in the form's order. What has another shape is left out:
    the reader says what is wrong with it."""
    tables = sections_of(document.get("form"))
    for field in SHORTER_DESIGN.fields:
        held = document.get(field.name)
        if field.sort == "sentence" and isinstance(held, str):
            yield Place((field.name,), held, "sentence")
        elif field.name == "values":
            yield from _values(held)
        elif field.name == CLOSES.name:
            yield from _entry((CLOSES.name,), held, CLOSES.fields)
        elif field.name in tables and isinstance(held, Mapping):
            table = tables[field.name]
            for name, entry in held.items():
                yield from _entry((field.name, str(name)), entry, table.fields)


def _values(held: object) -> Iterator[Place]:
    for name, content in held.items() if isinstance(held, Mapping) else ():
        for key, text in content.items() if isinstance(content, Mapping) else (("", content),):
            if isinstance(text, str):
                way = ("values", str(name), str(key)) if key else ("values", str(name))
                yield Place(way, text, "formula", of=str(name))


def _entry(way: Way, entry: object, fields: tuple[Field, ...]) -> Iterator[Place]:
    for field in fields if isinstance(entry, Mapping) else ():
        assert isinstance(entry, Mapping)
        yield from _field((*way, field.name), entry.get(field.name), field)


def _field(way: Way, held: object, field: Field) -> Iterator[Place]:
    if isinstance(held, Mapping):
        for key, text in held.items():
            if not isinstance(text, str):
                continue
            if field.sort == "amount":
                yield Place((*way, str(key)), text, "amount", of=way[1])
            elif field.sort == "sizes_by_name":
                yield Place((*way, str(key)), text, "formula")
            elif field.sort in _FORMULAS_BY_NAME:
                sort: Literal["formula", "words"] = "words" if says_places(text) else "formula"
                yield Place((*way, str(key)), text, sort, _FORMULAS_BY_NAME[field.sort])
    elif field.sort == "points" and isinstance(held, list | tuple):
        for number, corner in enumerate(held):
            for key, text in corner.items() if isinstance(corner, Mapping) else ():
                if isinstance(text, str):
                    yield Place((*way, str(number), str(key)), text, "formula", LENGTH)
    elif isinstance(held, str):
        match field.sort:
            case "formula":
                yield Place(way, held, "formula", field.dimension)
            case "rule":
                yield Place(way, held, "rule")
            case "sentence":
                yield Place(way, held, "sentence")
            case "amount":
                yield Place(way, held, "amount", of=way[1])
            case "inset":
                yield Place(way, held, "words", LENGTH)
            case "loading":
                yield Place(way, held, "formula")


def put(document: dict[str, Any], way: Way, text: str) -> None:
    """Put a text where another stands in a document of one's own."""
    inner: Any = document
    for key in way[:-1]:
        inner = inner[int(key)] if isinstance(inner, list) else inner[key]
    inner[way[-1]] = text
