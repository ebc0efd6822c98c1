"""Each part as a DXF file, and all of a job or a design in one archive, with a list of them and what to mind."""

from __future__ import annotations

import re
from io import BytesIO
from typing import Final
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.tables.given import as_csv
from webapp.documents.bench.cut_table import parts_table
from webapp.documents.bench.work import BenchWork, ToMake
from webapp.pictures.full_size.part_dxf import part_dxf

#: An archive says when each of its files was made; ours say the same day always.
_MADE: Final = (2000, 1, 1, 0, 0, 0)
LONGEST_NAME: Final = 40
LIST: Final = "list-of-parts.csv"
READ_ME: Final = "READ-ME.txt"
MIND: Final = (
    "The machine's own manual, local codes and licensed practice come before anything in this file. Measure one side "
    "on the screen against the cut list before the first cut."
)
#: What the archive says of its files, a paragraph each; `{unit}` is that of the shop.
ABOUT: Final = (
    "Each file is one kind of part, at its finished size, in {unit}; the list beside them says how many pieces of it. "
    "The left end lies at 0 along, the lower edge at 0 up, the face to the eye.",
    "Layers: OUTLINE is the finished part, with its edge band; OUTLINE_BEFORE_BAND is what is cut where band goes on. "
    "HOLE_THROUGH_8 and HOLE_8_DEEP_12 are holes by their width and depth, "
    "POCKET_6_DEEP pockets by their depth, OPENING goes through. BEVEL is where a slanting cut ends on the face, FOLD "
    "the middle of a fold on the flat, EDGE_BANDED an edge with band, GRAIN the way of the grain, TEXT words. "
    "Figures in the names are in {unit}.",
    "A layer that ends in BACK is worked from the back and drawn as seen through from the face: it is not mirrored. "
    "Turned over from left to right, the part has it mirrored.",
    "Holes in an end or an edge stand in a view of it beside the part, on layers that end in its name, the face next "
    "to the part. The outline of that view is on EDGE_VIEW.",
    "Band, kerf, tabs and the order of the cuts are not in it.",
)


def file_name(one: ToMake) -> str:
    """'03-side-panel.dxf'."""
    said = re.sub(r"[^a-z0-9]+", "-", one.part.says.casefold()).strip("-")[:LONGEST_NAME].strip("-")
    return f"{one.number:02d}-{said or 'part'}.dxf"


def part_file(work: BenchWork, number: int) -> bytes | None:
    """The DXF of the kind of part of that number; None where there is none, or no size of it is known to draw."""
    one = work.by_number(number)
    flat = one.flat if one is not None else None
    if one is None or flat is None:
        return None
    item = (one.item.label,) if work.several else ()
    words = (*one.lines, *item, f"{work.belongs_to}, {work.title}", in_trade_words(MIND))
    return part_dxf(flat, words, work.system)


def parts_archive(work: BenchWork) -> bytes:
    """All of them as a zip archive."""
    packed = BytesIO()
    files = {one.number: file_name(one) for one in work.made if one.drawn is not None}
    unit = "inches" if work.system == "inch" else "millimetres"
    about = "\r\n\r\n".join(in_trade_words(said).replace("{unit}", unit) for said in (*ABOUT, MIND))
    with ZipFile(packed, "w", ZIP_DEFLATED) as archive:
        archive.writestr(_entry(READ_ME), f"{work.title}\r\n{work.belongs_to}\r\n\r\n{about}\r\n".encode())
        archive.writestr(_entry(LIST), "".join(as_csv(parts_table(work, files))).encode("utf-8-sig"))
        for number, name in files.items():
            content = part_file(work, number)
            assert content is not None
            archive.writestr(_entry(name), content)
    return packed.getvalue()


def _entry(name: str) -> ZipInfo:
    entry = ZipInfo(name, _MADE)
    entry.compress_type = ZIP_DEFLATED
    return entry
