"""Designs made from nothing in few words: each line read after the other, as they stand in made_designs/*.txt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, Final

from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_changes.attach import attach
from webapp.costing.design_form.tables.form_tables import SHORT_FORM
from webapp.costing.design_lines.table import ONE_LINE
from webapp.costing.few_words.known import InLibrary, Known
from webapp.costing.few_words.read import read_few_words
from webapp.costing.few_words.reading import Reading
from webapp.seed import load_catalogue, load_designs_for_others

FOLDER: Final = Path(__file__).parent / "made_designs"
#: What a design says of itself, before its lines and an empty one.
HEAD: Final = ("name", "says", "scope")


@cache
def catalogue() -> Catalogue:
    """The materials that come with the program."""
    return load_catalogue(date(2026, 11, 2))


@cache
def library() -> tuple[InLibrary, ...]:
    """The designs for others that come with the program."""
    documents = load_designs_for_others()
    return tuple(InLibrary(str(one["design"]), str(one["name"]), one) for one in documents)


def known(document: Mapping[str, Any], system: str = "metric") -> Known:
    """What a line may speak of beside a document."""
    return Known(document, library(), tuple(catalogue().materials.values()), "inch" if system == "inch" else "metric")


@dataclass(frozen=True, slots=True)
class Said:
    """A design in few words: what it is called, what it is, and its lines in order."""

    head: dict[str, str]
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Made:
    """A design that was made line by line: its lines, each as it was read, and its document with what is used in it."""

    lines: tuple[str, ...]
    readings: tuple[Reading, ...]
    document: Mapping[str, Any]


def with_entries(document: Mapping[str, Any], reading: Reading) -> dict[str, Any]:
    """A document with the entries that a line adds to it."""
    added = dict(document)
    for entry in reading.entries:
        one_line = entry.section in ONE_LINE
        added[entry.section] = entry.fields if one_line else {**added.get(entry.section, {}), entry.name: entry.fields}
    return added


def made_of(lines: tuple[str, ...], document: Mapping[str, Any]) -> Made:
    """A design with all that some lines say, each read beside what stands before it."""
    readings = []
    for line in lines:
        reading = read_few_words(line, known(document))
        readings.append(reading)
        document = with_entries(document, reading)
    whole, problems = attach(document, {one.code: one.document for one in library()}.get)
    assert problems == (), problems
    return Made(lines, tuple(readings), whole)


def said(name: str) -> Said:
    """The design of that name as it is said."""
    head, _, body = (FOLDER / f"{name}.txt").read_text(encoding="utf-8").partition("\n\n")
    of_whole = dict(line.split(": ", 1) for line in head.splitlines())
    assert tuple(of_whole) == HEAD
    return Said(of_whole, tuple(body.splitlines()))


@cache
def made(name: str) -> Made:
    """The design of that name, made from its lines."""
    design = said(name)
    return made_of(design.lines, {"form": SHORT_FORM, "design": name, **design.head})
