"""What the tables of the design form are made of: a field of an entry, a section, and the fields that many have."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.designs.formulas import LENGTH, NUMBER, Dimension

Sort = Literal[
    "words",  # free text
    "sentence",  # free text with {names} to be filled in
    "formula",  # a measure or a formula of the field's dimension
    "rule",  # a formula with one comparison
    "amount",  # a length with its unit, or a plain whole number; or one for each length system
    "load",  # a load along a length, with its unit
    "whole",  # a plain whole number, 1 or more
    "one_of",  # one of the field's answers
    "yes_no",
    "role",  # a name of the section stock, of one of the field's kinds
    "part",  # a name of the section parts
    "entry",  # a name of one of the sections that the field looks in
    "names",  # a list of names, of the sections that the field looks in
    "counted",  # a list of names, of the sections that the entry's driver counts
    "faces_of",  # a list of texts that begin with a name, and say which of its faces
    "inset",  # 'yes', or how far in the four corners are
    "tilt",  # degrees off plumb and the way, by commas
    "cut",  # what ends are cut to, with names of parts
    "loading",  # kilograms, or a load along a length with its unit; or a formula
    "answer",  # an answer of one of the choices
    "needs",  # tags, and measures by property that equal, least or most something
    "at",  # where a part stands: formulas for x, y and z
    "runs",  # which axes length and width follow
    "band",  # which stock on which edges
    "mitres",  # which ends of a length are cut on the slant
    "lines",  # a list of free texts
    "points",  # corners of an outline, each with what it is along and across, and how it is rounded or bowed
    "by_name",  # names, each by the name that it has in another design
    "sizes_by_name",  # formulas, each by the name of a size of another design
    "inside",  # whole documents of other designs, by code
    "renamed",  # by section, the names that entries had in earlier versions, each with the one it has now
    "section",  # a whole section, with a table of its own
]


@dataclass(frozen=True, slots=True)
class Field:
    """One field of an entry: what it holds, and what is said about it in the schema.

    `looks_in` are the sections whose entries are named in it, the first one first.
    """

    name: str
    sort: Sort
    says: str
    required: bool = False
    dimension: Dimension | None = None
    kinds: tuple[Kind, ...] = ()
    answers: tuple[str, ...] = ()
    most: int = 0
    looks_in: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Section:
    """One section of the form: named entries with the same fields. `entry` is what a sentence calls one of them."""

    name: str
    entry: str
    says: str
    fields: tuple[Field, ...]
    most: int
    required: bool = False


def needed(name: str, sort: Sort, says: str, **rest: object) -> Field:
    """A field that an entry can't be without."""
    return Field(name, sort, says, required=True, **rest)  # type: ignore[arg-type]


SAYS: Final = needed("says", "words", "What it is, in words that are printed.")
WHEN: Final = Field(
    "when", "answer", "The answer under which this entry belongs to the design; always, where not given."
)


def a_role(name: str, says: str, *kinds: Kind, required: bool = True) -> Field:
    """A field that names a stock role of some kinds."""
    return Field(name, "role", says, required=required, kinds=kinds)


def a_number(name: str, says: str, required: bool = False) -> Field:
    """A field that holds a number or a formula of one."""
    return Field(name, "formula", says, required=required, dimension=NUMBER)


def a_length(name: str, says: str, required: bool = False) -> Field:
    """A field that holds a length or a formula of one."""
    return Field(name, "formula", says, required=required, dimension=LENGTH)
