"""A list of parts without a design, as it is typed in the job form: read row by row."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Final

from webapp.costing.errors import MeasureError
from webapp.costing.jobs.fields import FormReader
from webapp.costing.jobs.job import ListedGrain, ListedPart, PartsList
from webapp.costing.measures.written import parse_quantity

MOST_ROWS: Final = 400
MOST_OF_A_ROW: Final = 5000
MOST_COATS: Final = 20
LONGEST_NAME: Final = 300
#: Rows that were pasted and can't be taken yet are kept as they are.
LONGEST_PASTED: Final = 100_000

#: What a row may hold, and in words what it is.
PART_KEYS: Final[Mapping[str, str]] = {
    "name": "What the part is called",
    "count": "How many of it; 1 where empty",
    "length": "Finished length, along the grain where the grain follows the length",
    "width": "Finished width; a part of bar, tube or another length of stock has its own",
    "thickness": "Finished thickness, of a part planed from boards",
    "material": "What it is cut from: the code or the name of a sheet, board or length",
    "grain": "length, width or free; empty is along the length where the sheet has a grain",
    "edges": "Which edges are banded: none, all round, or as 'two long, one short'",
    "band": "With which edge band, where not with that of the list",
}
#: What a list of parts may hold beside its rows.
LIST_KEYS: Final[Mapping[str, str]] = {
    "band": "The edge band of the list: the code or the name of a length",
    "sanded": "Is the wood sanded: yes or no; what is finished always is",
    "finish": "What is put on all parts: the code or the name of a finish",
    "coats": "How many coats; 2 where empty",
    "glue": "What wide boards are glued up with: the code or the name of a glue",
    "pasted": "Rows that were pasted and are not taken yet",
}
#: How people write which way the grain runs.
GRAIN_WORDS: Final[Mapping[str, ListedGrain]] = {
    "": "", **dict.fromkeys(("length", "with length", "along length", "along the length", "lengthwise", "l"), "length"),
    **dict.fromkeys(("width", "with width", "along width", "along the width", "crosswise", "across", "w"), "width"),
    **dict.fromkeys(("free", "none", "no", "either", "either way", "any", "-"), "free"),
}  # fmt: skip
GRAINS: Final = ("length", "width", "free")

_EDGE_COUNTS: Final = {"one": 1, "1": 1, "a": 1, "an": 1, "two": 2, "2": 2, "both": 2}
_NO_EDGE: Final = frozenset({"", "none", "no", "no edge", "no edges", "0", "-", "without"})
_ALL_ROUND: Final = frozenset(
    {"all", "all round", "all around", "all edges", "all four", "all four edges", "four", "4"}
)
_EDGE: Final = re.compile(
    r"(?P<count>one|two|both|an?|1|2)? ?(?:x |× )?(?P<side>long|short|end)(?P<many>s)?"
    r"(?: (?:edge|side|end)(?P<more>s)?)?"
)
_BETWEEN_EDGES: Final = frozenset({"", ",", "+", "&", "and", ", and", ";"})
_EDGE_WORDS: Final = ("", "one", "two")


def read_edges(text: str) -> tuple[int, int] | None:
    """How many long and how many short edges are banded, from words; None where they can't be told.

    Long edges run along the length of the part, short ones along its width.

    >>> read_edges("two long, one short"), read_edges("all round"), read_edges("both long edges"), read_edges("1 end")
    ((2, 1), (2, 2), (2, 0), (0, 1))
    """
    plain = " ".join(text.casefold().split()).rstrip(".")
    if plain in _NO_EDGE:
        return 0, 0
    if plain in _ALL_ROUND:
        return 2, 2
    found = {"long": 0, "short": 0}
    at = 0
    for match in _EDGE.finditer(plain):
        if plain[at : match.start()].strip() not in _BETWEEN_EDGES:
            return None
        at = match.end()
        side = "long" if match["side"] == "long" else "short"
        if found[side]:
            return None
        many = 2 if match["many"] or match["more"] else 0
        found[side] = _EDGE_COUNTS.get(match["count"] or "", many)
        if not found[side]:
            return None
    return (found["long"], found["short"]) if at and not plain[at:].strip() else None


def write_edges(long: int, short: int) -> str:
    """Banded edges in words, as they are read.

    >>> write_edges(2, 1), write_edges(0, 0), write_edges(2, 2)
    ('two long, one short', 'none', 'all round')
    """
    if long == short == 2:
        return "all round"
    said = [f"{_EDGE_WORDS[count]} {side}" for count, side in ((long, "long"), (short, "short")) if count]
    return ", ".join(said) or "none"


def read_parts_list(reader: FormReader, values: Mapping[str, object], field: str) -> PartsList | None:
    """The list that an item of the job form holds in place of a design; None where it holds none."""
    if not any(values.get(key) for key in ("parts", "pasted")):
        return None
    rows = reader.entries(values.get("parts"), f"{field}.parts", MOST_ROWS, "a list of parts")
    read = (read_row(reader, row, f"{field}.parts.{place}", place) for place, row in enumerate(rows, 1))
    note_waiting(reader, values.get("pasted"), f"{field}.pasted", "into the list")
    return PartsList(
        tuple(row for row in read if row is not None),
        reader.text(values.get("band"), f"{field}.band"),
        reader.yes(values.get("sanded"), f"{field}.sanded"),
        reader.text(values.get("finish"), f"{field}.finish"),
        reader.whole(values.get("coats"), f"{field}.coats", 2, MOST_COATS, "Coats"),
        reader.text(values.get("glue"), f"{field}.glue"),
    )


def note_waiting(reader: FormReader, value: object, field: str, where: str) -> None:
    """Say that pasted rows wait to be taken: until then the job leaves them out."""
    if reader.text(value, field, LONGEST_PASTED):
        reader.wrong(field, f"Pasted rows are not taken {where} yet: take them, put them right, or empty the box.")


def read_row(reader: FormReader, entry: object, field: str, place: int) -> ListedPart | None:
    """One row; each thing wrong is said with the row's number and name. None where nothing can be cut from it."""
    values = reader.mapping(entry, field, tuple(PART_KEYS))
    texts = {key: reader.text(values.get(key), f"{field}.{key}") for key in PART_KEYS}
    if not any(texts.values()):
        return None
    name = texts["name"] or f"Part {place}"
    who = f"Row {place}, “{name[:60]}”"
    row = _Row(reader, texts, field, who)
    if len(name) > LONGEST_NAME:
        row.wrong("name", f"the name is longer than {LONGEST_NAME} letters.")
        name = name[:LONGEST_NAME]
    length, width, thickness = (row.length(key) for key in ("length", "width", "thickness"))
    count, edges = row.count(), read_edges(texts["edges"])
    if edges is None:
        said = (
            f"“{texts['edges'][:60]}” does not say which edges are banded, as “all round” or “two long, one short” do."
        )
        row.wrong("edges", said)
    grain = GRAIN_WORDS.get(" ".join(texts["grain"].casefold().split()))
    if grain is None:
        row.wrong("grain", f"the grain “{texts['grain'][:60]}” is none of {', '.join(GRAINS)}.")
    if not texts["material"]:
        row.wrong("material", "it names no material.")
    if not texts["length"]:
        row.wrong("length", "it has no length.")
    if length is None or count is None or not texts["material"] or (width is None and texts["width"]):
        return None
    return ListedPart(
        place, name, count, length, width, thickness, texts["material"], grain or "", edges or (0, 0),
        texts["band"],
    )  # fmt: skip


class _Row:
    """One row while it is read."""

    def __init__(self, reader: FormReader, texts: Mapping[str, str], field: str, who: str) -> None:
        self.reader, self.texts, self.field, self.who = reader, texts, field, who

    def wrong(self, key: str, message: str) -> None:
        self.reader.wrong(f"{self.field}.{key}", f"{self.who}: {message}")

    def length(self, key: str) -> int | None:
        """A size in nm."""
        if not self.texts[key]:
            return None
        try:
            found = parse_quantity(self.texts[key], "length", self.reader.system)
        except MeasureError as error:
            self.wrong(key, f"the {key} {error.reason}")
            return None
        if not found:
            self.wrong(key, f"a {key} of “{self.texts[key]}” can't be cut.")
            return None
        return int(found)

    def count(self) -> int | None:
        """How many; 1 where nothing is said."""
        if not self.texts["count"]:
            return 1
        try:
            found = parse_quantity(self.texts["count"], "number", self.reader.system)
        except MeasureError:
            found = Fraction(0)
        if found.denominator != 1 or not 1 <= found <= MOST_OF_A_ROW:
            self.wrong("count", f"“{self.texts['count'][:60]}” is no number of pieces from 1 to {MOST_OF_A_ROW}.")
            return None
        return int(found)
