"""XLSX workbooks that somebody sends, read as cells alone: bounded in bytes, ratio, rows and cells, without entities,
links or macros. A workbook is a zip file of XML parts (ECMA-376, Office Open XML, 2016)."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from datetime import date, timedelta
from io import BytesIO
from posixpath import join, normpath
from typing import Final
from xml.parsers.expat import ExpatError, ParserCreate
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile
from zlib import error as zlib_error

from webapp.costing.tables.sheets import VALUELESS, Number, Sheet, SheetRow
from webapp.costing.tables.table import MOST_COLUMNS, MOST_LINES, TOO_WIDE, TableRefused

#: The most that is unpacked of one part and of all, and how many times more than it takes packed.
MOST_BYTES: Final = 192 * 1024 * 1024
MOST_RATIO: Final = 250
_SMALL: Final = 4 * 1024 * 1024
MOST_PARTS: Final = 2000
MOST_CELLS: Final = 2_000_000
#: The most signs of all cells: a text that is held once may stand in every one of them.
MOST_SIGNS: Final = 64_000_000
#: The longest text of one cell that is kept.
LONGEST_TEXT: Final = 2_000

_PIECE: Final = 256 * 1024
_DAMAGED: Final = "The workbook is damaged and can't be read. Save it anew, or as CSV."
#: The formats of days among those that need no description (ECMA-376 part 1, 18.8.30).
_DAY_FORMATS: Final = frozenset((*range(14, 18), 22))
#: And those of times.
_TIME_FORMATS: Final = frozenset((*range(18, 22), *range(45, 48)))
#: What stands in a format for itself, or for a gap as wide as it; a colour or a country; but [h], [m] and [s] count on.
_QUOTED: Final = re.compile(r'"[^"]*"|\[(?!(?:h+|m+|s+)\])[^\]]*\]|[\\_*].', re.IGNORECASE)
_CELL: Final = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
_FIRST_DAY: Final = date(1899, 12, 30)
_FIRST_DAY_1904: Final = date(1904, 1, 1)

Attributes = Mapping[str, str]


def read_workbook(content: bytes) -> tuple[tuple[Sheet, ...], tuple[str, ...]]:
    """The sheets of a workbook in their order, hidden ones without rows, and what is to be said of it.

    Raises TableRefused with the sentence why it can't be read.
    """
    try:
        with ZipFile(BytesIO(content)) as packed:
            return _Workbook(packed).read()
    except (BadZipFile, zlib_error, ExpatError, LookupError, ValueError, ArithmeticError, EOFError) as error:
        raise TableRefused(_DAMAGED) from error
    except NotImplementedError as error:
        raise TableRefused(_DAMAGED) from error
    except RuntimeError as error:
        raise TableRefused("The workbook has a password. Save it without one.") from error


class _Workbook:
    """One opened workbook; `left` is how much may still be unpacked."""

    def __init__(self, packed: ZipFile) -> None:
        self.packed, self.left = packed, MOST_BYTES
        self.names = frozenset(packed.namelist())
        self.texts: list[str] = []
        self.days: frozenset[int] = frozenset()
        self.times: frozenset[int] = frozenset()
        self.first_day = _FIRST_DAY
        self.cells = self.signs = 0
        self.wider = False

    def read(self) -> tuple[tuple[Sheet, ...], tuple[str, ...]]:
        if len(self.names) > MOST_PARTS:
            raise TableRefused(f"The file holds {len(self.names)} parts; a workbook has {MOST_PARTS} at most.")
        if "xl/workbook.xml" not in self.names:
            if "content.xml" in self.names:
                raise TableRefused("The file is a workbook of another form. Save it as XLSX or CSV.")
            raise TableRefused("The file is packed, but is no XLSX workbook. Unpack it first.")
        targets = self._targets()
        named: list[tuple[str, str, bool]] = []

        def of_book(name: str, given: Attributes) -> None:
            if name == "workbookPr" and given.get("date1904") in ("1", "true"):
                self.first_day = _FIRST_DAY_1904
            if name == "sheet":
                key = next((text for key, text in given.items() if key.endswith(":id")), "")
                named.append((given.get("name", ""), targets.get(key, ""), given.get("state", "visible") != "visible"))

        self._parse("xl/workbook.xml", of_book)
        if "xl/styles.xml" in self.names:
            self.days, self.times = self._day_styles()
        if "xl/sharedStrings.xml" in self.names:
            self._read_texts()
        sheets = tuple(
            Sheet(name, (), hidden=True) if hidden else self._sheet(name, part)
            for name, part, hidden in named if part in self.names
        )  # fmt: skip
        said = ["Its macros were not looked at."] if any("vbaproject" in name.lower() for name in self.names) else []
        return sheets, tuple([*said, TOO_WIDE] if self.wider else said)

    def _targets(self) -> Mapping[str, str]:
        """Where each sheet lies, by its id in the workbook."""
        found: dict[str, str] = {}

        def of_link(name: str, given: Attributes) -> None:
            if name == "Relationship" and given.get("TargetMode") != "External":
                target = given.get("Target", "")
                found[given.get("Id", "")] = normpath(join("/xl", target)).lstrip("/")

        self._parse("xl/_rels/workbook.xml.rels", of_link)
        return found

    def _day_styles(self) -> tuple[frozenset[int], frozenset[int]]:
        """The styles of cells that are shown as days, with or without a time, and of those shown as times alone."""
        formats: dict[int, str] = {}
        styles: list[int] = []
        within = [False]

        def begins(name: str, given: Attributes) -> None:
            if name == "numFmt":
                formats[int(given["numFmtId"])] = given.get("formatCode", "")
            elif name in ("cellXfs", "cellStyleXfs"):
                within[0] = name == "cellXfs"
            elif name == "xf" and within[0]:
                styles.append(int(given.get("numFmtId", "0")))

        self._parse("xl/styles.xml", begins)
        signs = {held: _QUOTED.sub("", code).casefold() for held, code in formats.items()}
        days = {held for held, shown in signs.items() if re.search("[dy]", shown)} | _DAY_FORMATS
        # A single m is a month as well.
        times = {held for held, shown in signs.items() if re.search(r"[hs]|\[m", shown)} | _TIME_FORMATS
        return (
            frozenset(place for place, held in enumerate(styles) if held in days),
            frozenset(place for place, held in enumerate(styles) if held in times - days),
        )

    def _read_texts(self) -> None:
        """The texts that cells share; how they are said aloud is left out."""
        parts: list[str] = []
        depth = {"t": 0, "rPh": 0}

        def begins(name: str, given: Attributes) -> None:
            if name in depth:
                depth[name] += 1

        def ends(name: str) -> None:
            if name in depth:
                depth[name] -= 1
            elif name == "si":
                if len(self.texts) >= MOST_CELLS:
                    raise TableRefused(f"The workbook has more than {MOST_CELLS} texts. Part it in two.")
                self.texts.append("".join(parts)[:LONGEST_TEXT])
                parts.clear()

        def said(text: str) -> None:
            if depth["t"] and not depth["rPh"]:
                parts.append(text)

        self._parse("xl/sharedStrings.xml", begins, ends, said)

    def _sheet(self, name: str, part: str) -> Sheet:
        reader = _SheetReader(self, name)
        self._parse(part, reader.begins, reader.ends, reader.says)
        return Sheet(name, tuple(reader.rows), valueless=tuple(reader.valueless))

    def _parse(
        self, part: str, begins: Callable[[str, Attributes], None], ends: Callable[[str], None] | None = None,
        says: Callable[[str], None] | None = None,
    ) -> None:  # fmt: skip
        parser = ParserCreate()
        parser.buffer_text = True
        parser.StartElementHandler = lambda name, given: begins(name.rpartition(":")[2], given)
        if ends is not None:
            parser.EndElementHandler = lambda name: ends(name.rpartition(":")[2])
        if says is not None:
            parser.CharacterDataHandler = says

        def refuse(*_: object) -> None:
            # Entities are declared there, and nowhere else; no workbook needs one.
            raise TableRefused("The workbook declares entities, as none does that a shop sends. It was not read.")

        parser.StartDoctypeDeclHandler = refuse
        for piece in self._unpacked(part):
            parser.Parse(piece, False)
        parser.Parse(b"", True)

    def _unpacked(self, part: str) -> Iterator[bytes]:
        """A part piece by piece, counted while it is unpacked: what a file says of its own size is not believed."""
        held = self.packed.getinfo(part)
        if held.compress_type not in (ZIP_STORED, ZIP_DEFLATED):
            # Workbooks are packed in no other way, and of the others a piece unpacks to as much as it will at once.
            raise TableRefused(_DAMAGED)
        most, size = max(_SMALL, held.compress_size * MOST_RATIO), 0
        with self.packed.open(held) as opened:
            while piece := opened.read(_PIECE):
                size += len(piece)
                self.left -= len(piece)
                if size > most or self.left < 0:
                    raise TableRefused(
                        f"The file unpacks to more than {min(size, MOST_BYTES) // 1024**2} MB, far more than a list of "
                        "prices. It was not read on."
                    )
                yield piece


class _SheetReader:
    """Reads the cells of one sheet as they come."""

    def __init__(self, book: _Workbook, name: str) -> None:
        self.book, self.name = book, name
        self.rows: list[SheetRow] = []
        self.valueless: list[str] = []
        self._cells: dict[int, str] = {}
        self._row = 0
        self._column = -1
        self._sort, self._style, self._place = "", 0, ""
        self._formula, self._value, self._held = False, "", ""
        self._said: list[str] = []

    def begins(self, name: str, given: Attributes) -> None:
        if name == "row":
            self._row = int(given.get("r", self._row + 1))
            self._cells, self._column = {}, -1
        elif name == "c":
            self._place = given.get("r", "")
            found = _CELL.fullmatch(self._place)
            self._column = _column_of(found[1]) if found else self._column + 1
            self._sort, self._style = given.get("t", "n"), int(given.get("s", "0"))
            self._formula, self._value = False, ""
        elif name == "f":
            self._formula, self._held = True, "f"
        elif name in ("v", "t"):
            self._held = "v"
            self._said.clear()

    def says(self, text: str) -> None:
        if self._held == "v":
            self._said.append(text)

    def ends(self, name: str) -> None:
        if name in ("v", "t"):
            self._value += "".join(self._said)
            self._held = ""
        elif name == "f":
            self._held = ""
        elif name == "c":
            self._keep()
        elif name == "row" and any(cell.strip() for cell in self._cells.values()):
            if len(self.rows) >= MOST_LINES:
                raise TableRefused(f"The sheet “{self.name}” has more than {MOST_LINES} lines. Part the file in two.")
            wide = max(self._cells) + 1
            self.rows.append(SheetRow(self._row, tuple(self._cells.get(at, "") for at in range(wide))))

    def _keep(self) -> None:
        if self._column >= MOST_COLUMNS:
            self.book.wider = self.book.wider or bool(self._value.strip())
            return
        text = self._text()
        if text:
            self.book.cells += 1
            self.book.signs += len(text)
            if self.book.signs > MOST_SIGNS:
                most = MOST_SIGNS // 10**6
                raise TableRefused(f"The cells of the workbook hold more than {most} million signs. Part it in two.")
            if self.book.cells > MOST_CELLS:
                raise TableRefused(f"The workbook has more than {MOST_CELLS} cells. Part it in two.")
            self._cells[self._column] = text

    def _text(self) -> str:
        value = self._value
        if self._formula and value == "":
            if len(self.valueless) < 20:
                self.valueless.append(self._place)
            return VALUELESS
        if self._sort == "s":
            return self.book.texts[int(value)] if value else ""
        if self._sort == "b":
            return "yes" if value == "1" else "no"
        if self._sort in ("str", "inlineStr", "e", "d"):
            return value[:LONGEST_TEXT]
        if not value.strip():
            return ""
        if self._style in self.book.days:
            return (self.book.first_day + timedelta(days=int(float(value)))).isoformat()
        if self._style in self.book.times and (days := float(value)) >= 0:
            # Without the days that its format may leave out: 31:30 is kept as 1.3125 of a day.
            hours, minutes = divmod(int(days * 24 * 60 + 0.5), 60)
            return f"{hours}:{minutes:02}"
        return _plain_number(value.strip())


def _plain_number(text: str) -> Number:
    """A number as it was meant: a workbook keeps 12.35 as 12.349999999999999."""
    if re.fullmatch(r"-?[0-9]{1,15}", text):
        return Number(int(text))
    value = float(text)
    plain = f"{value:.12g}"
    if "e" in plain:
        plain = f"{value:.10f}".rstrip("0").rstrip(".")
    if not re.fullmatch(r"-?[0-9]+(?:\.[0-9]+)?", plain):
        raise ValueError(f"{text} is no number")
    return Number(plain)


def _column_of(letters: str) -> int:
    place = 0
    for letter in letters:
        place = place * 26 + ord(letter) - 64
    return place - 1
