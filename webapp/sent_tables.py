"""Tables that somebody sends, as text in whatever encoding or as a workbook: made plain cells, within bounds."""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass
from typing import Final

from webapp.costing.tables.sheets import Sheet, SheetRow
from webapp.costing.tables.table import MOST_COLUMNS, MOST_LINES, TOO_WIDE, TableRefused, read_rows
from webapp.sent_workbook import read_workbook

#: The largest file that is looked at.
LARGEST_BYTES: Final = 24 * 1024 * 1024
#: What ends a line wherever a text is parted into its lines.
_ENDS: Final = "\n\r\v\f\x1c\x1d\x1e\x85\u2028\u2029"

_MARKS: Final = (
    (codecs.BOM_UTF8, "utf-8-sig", "UTF-8"), (codecs.BOM_UTF32_LE, "utf-32", "UTF-32"),
    (codecs.BOM_UTF32_BE, "utf-32", "UTF-32"), (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
)  # fmt: skip
#: The encodings of one byte for each sign that price lists still come in, the likelier first, as people call them.
_OLD: Final = (
    ("cp1252", "Windows, western"), ("cp1250", "Windows, central European"), ("cp850", "DOS, western"),
    ("cp852", "DOS, central European"), ("mac_roman", "Macintosh"),
)  # fmt: skip
_OFTEN: Final = frozenset("äöüßéèàçñåøæíóúêôîâáëïœÄÖÜÉÈÀÇÑÅØÆąćęłńśźżĄĆĘŁŃŚŹŻčďěňřšťůžČŘŠŽőűŐŰ")
_SIGNS: Final = frozenset("€£°²³½¼¾×§µ±®\u00a0–—„“”‘’…•«»ªº™¥¢")
#: Letters that don't stand in one language: where both come, one of them is misread.
_APART: Final = ("øåæñçãõØÅÆÑÇÃÕ", "žščřěůłąęśćńżźŽŠČŘĚŮŁĄĘŚĆŃŻŹ")
_WORST: Final = -8
#: An e-mail parts its columns by so many spaces at least.
_BY_SPACES: Final = re.compile(r"(?<=\S) {2,}(?=\S)")


@dataclass(frozen=True, slots=True)
class SentTable:
    """The sheets of a file, and what is to be said of how it was read."""

    sheets: tuple[Sheet, ...]
    said: tuple[str, ...] = ()


def read_table(content: bytes) -> SentTable:
    """The sheets of a file that was sent. Raises TableRefused with the sentence why it can't be read."""
    if len(content) > LARGEST_BYTES:
        raise TableRefused(f"The file is larger than {LARGEST_BYTES // 1024**2} MB. Part it in two.")
    if content.startswith(b"PK"):
        return SentTable(*read_workbook(content))
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        raise TableRefused("The file is a workbook of the old binary form, or has a password. Save it as XLSX or CSV.")
    if content.startswith(b"%PDF"):
        raise TableRefused("The file is a PDF; its table can't be read. Ask for CSV or XLSX, or paste its rows.")
    text, encoding = decode(content)
    read = read_text(text)
    return SentTable(read.sheets, (f"Read as {encoding}.", *read.said)) if encoding != "UTF-8" else read


def decode(content: bytes) -> tuple[str, str]:
    """The text of a file, and the encoding in which it was read. Raises TableRefused where it is no text."""
    for mark, name, words in _MARKS:
        if content.startswith(mark):
            try:
                return content.decode(name), words
            except UnicodeDecodeError as error:
                raise TableRefused(f"The file says that it is {words}, but breaks off or is damaged.") from error
    even, odd = content[:4000:2].count(0), content[1:4000:2].count(0)
    if max(even, odd) * 4 > len(content[:4000]):
        try:
            return content.decode("utf-16-le" if odd > even else "utf-16-be"), "UTF-16"
        except UnicodeDecodeError as error:
            raise TableRefused("The file is UTF-16, but breaks off or is damaged.") from error
    if b"\0" in content:
        raise TableRefused("The file is no text and no XLSX. Save it as CSV or XLSX.")
    try:
        return content.decode("utf-8"), "UTF-8"
    except UnicodeDecodeError:
        return _old_text(content)


def read_text(text: str) -> SentTable:
    """The one sheet that a text holds, its cells parted by tabs, semicolons, bars or commas, or by several spaces."""
    # Lines are counted before any is made, since millions of them would fill the memory.
    lines = sum(map(text.count, _ENDS)) - text.count("\r\n") + 1
    if lines > MOST_LINES:
        raise TableRefused(f"The file has {lines} lines; at most {MOST_LINES} are read at once.")
    rows = read_rows(_spaced(text), MOST_COLUMNS + 1)
    wider = any(len(row.cells) > MOST_COLUMNS for row in rows)
    sheet = Sheet("", tuple(SheetRow(row.number, row.cells[:MOST_COLUMNS]) for row in rows))
    return SentTable((sheet,), (TOO_WIDE,) if wider else ())


def _spaced(text: str) -> str:
    """A text whose columns stand apart by spaces, with tabs in their place; any other as it is."""
    held = [line for line in text.splitlines()[:200] if line.strip()]
    apart = sum(bool(_BY_SPACES.search(line.strip())) for line in held)
    if not held or apart * 2 < len(held) or any(sum(sign in line for line in held) * 2 >= len(held) for sign in "\t;|"):
        return text
    return "\n".join(_BY_SPACES.sub("\t", line.strip()) for line in text.splitlines())


def _old_text(content: bytes) -> tuple[str, str]:
    """The text of a file without a mark that is not UTF-8: in the encoding in which its letters make words."""
    strange = sorted({byte for byte in content if byte > 127})
    places: dict[int, list[int]] = {byte: [] for byte in strange}
    for found in re.finditer(rb"[\x80-\xff]", content[:400_000]):
        if len(places[found[0][0]]) < 40:
            places[found[0][0]].append(found.start())
    best, chosen = None, _OLD[0]
    for name, words in _OLD:
        score = sum(_worth(content, place, name) for held in places.values() for place in held)
        letters = {bytes([byte]).decode(name, "replace"): len(held) for byte, held in places.items()}
        score -= 8 * min(sum(letters.get(letter, 0) for letter in one) for one in _APART)
        if best is None or score > best:
            best, chosen = score, (name, words)
    text = content.decode(chosen[0], "replace")
    if text.count("\ufffd") * 50 > len(text):
        raise TableRefused("The file is no text and no XLSX. Save it as CSV or XLSX.")
    return text, chosen[1]


def _worth(content: bytes, place: int, name: str) -> int:
    """How well a byte reads in an encoding, by what stands before and behind it."""
    before, sign, behind = (
        content[at : at + 1].decode(name, "replace") if at >= 0 else "" for at in (place - 1, place, place + 1)
    )
    in_word = before.isalpha() and behind.isalpha()
    if sign in "²³" and before in "mM":
        return 6
    if sign in _SIGNS:
        return -3 if in_word else 2
    if not sign.isalpha() or sign == "\ufffd":
        return _WORST if sign == "\ufffd" or sign < "\u00a0" or sign >= "\u2500" else -4
    if sign.isupper() and before.islower():
        return -3
    return 4 if sign in _OFTEN else 1
