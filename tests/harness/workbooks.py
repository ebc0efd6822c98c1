"""Workbooks for tests, written part by part as plain zip files, so that each may hold what no program would write."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from io import BytesIO
from typing import Final
from xml.sax.saxutils import escape
from zipfile import ZIP_DEFLATED, ZipFile

MAIN: Final = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LINKS: Final = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKED: Final = "http://schemas.openxmlformats.org/package/2006/relationships"
#: What a number is shown as, by its style: a day (number format 14), hours that go on beyond a day, a time of day, and
#: minutes with seconds (45).
SHOWN_AS: Final = {"day": 1, "elapsed": 2, "clock": 3, "minutes": 4}
STYLES: Final = (
    f'<styleSheet xmlns="{MAIN}"><numFmts count="2"><numFmt numFmtId="164" formatCode="[h]:mm;@"/>'
    '<numFmt numFmtId="165" formatCode="h:mm&quot; days&quot;_d"/></numFmts><cellXfs count="5"><xf numFmtId="0"/>'
    '<xf numFmtId="14"/><xf numFmtId="164"/><xf numFmtId="165"/><xf numFmtId="45"/></cellXfs></styleSheet>'
)

#: A cell: a text, a number, one shown as something (serial, "day"), or a formula as ("=...", its value or None).
Cell = str | float | tuple[float, str] | tuple[str, float | None] | None


def cell_xml(row: int, column: int, cell: Cell) -> str:
    """One cell, its texts within it."""
    place = f"{chr(65 + column)}{row}"
    match cell:
        case None | "":
            return ""
        case (float() | int() as serial, str() as shown):
            return f'<c r="{place}" s="{SHOWN_AS[shown]}"><v>{serial}</v></c>'
        case (str() as formula, None):
            return f'<c r="{place}"><f>{escape(formula[1:])}</f></c>'
        case (str() as formula, value):
            return f'<c r="{place}"><f>{escape(formula[1:])}</f><v>{value}</v></c>'
        case str():
            return f'<c r="{place}" t="inlineStr"><is><t>{escape(cell)}</t></is></c>'
        case _:
            return f'<c r="{place}"><v>{cell}</v></c>'


def sheet_xml(rows: Sequence[Sequence[Cell]]) -> str:
    """One sheet."""
    body = "".join(
        f'<row r="{number}">{"".join(cell_xml(number, at, cell) for at, cell in enumerate(row))}</row>'
        for number, row in enumerate(rows, 1)
    )
    return f'<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="{MAIN}"><sheetData>{body}</sheetData></worksheet>'


def workbook(
    sheets: Mapping[str, Sequence[Sequence[Cell]] | str], hidden: Sequence[str] = (), further: Mapping[str, bytes] = {}
) -> bytes:
    """A workbook of these sheets, each as rows or as its part's own text; further parts as they are."""
    written = BytesIO()
    with ZipFile(written, "w", ZIP_DEFLATED) as packed:
        names = "".join(
            f'<sheet name="{escape(name)}" sheetId="{place}" r:id="r{place}"'
            f"{' state=' + chr(34) + 'hidden' + chr(34) if name in hidden else ''}/>"
            for place, name in enumerate(sheets, 1)
        )
        book = f'<workbook xmlns="{MAIN}" xmlns:r="{LINKS}"><sheets>{names}</sheets></workbook>'
        packed.writestr("xl/workbook.xml", book)
        links = "".join(
            f'<Relationship Id="r{place}" Type="{LINKS}/worksheet" Target="worksheets/sheet{place}.xml"/>'
            for place in range(1, len(sheets) + 1)
        )
        packed.writestr("xl/_rels/workbook.xml.rels", f'<Relationships xmlns="{PACKED}">{links}</Relationships>')
        if "xl/styles.xml" not in further:
            packed.writestr("xl/styles.xml", STYLES)
        for place, rows in enumerate(sheets.values(), 1):
            packed.writestr(f"xl/worksheets/sheet{place}.xml", rows if isinstance(rows, str) else sheet_xml(rows))
        for name, content in further.items():
            packed.writestr(name, content)
    return written.getvalue()
