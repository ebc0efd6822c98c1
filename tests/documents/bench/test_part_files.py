"""Files of parts, read again: every part, hole and pocket of the take-off once, on its layer; and a table by hand."""

from __future__ import annotations

import csv
from collections import Counter
from io import BytesIO, StringIO
from typing import Any
from zipfile import ZipFile

import pytest
from ezdxf.bbox import extents
from ezdxf.document import Drawing
from ezdxf.filemanagement import read

from tests.costing.short_form.folds_case import sheet_metal, tray
from tests.costing.short_form.holes_case import top
from tests.costing.short_form.rack import RACK
from tests.documents.bench.bench_case import MM, document_of, made_of, starters, work_of
from webapp.costing.takeoff.features import Hole
from webapp.documents.bench.part_files import LIST, READ_ME, file_name, part_file, parts_archive
from webapp.documents.bench.work import BenchWork


def unpacked(work: BenchWork) -> dict[str, bytes]:
    with ZipFile(BytesIO(parts_archive(work))) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name) for name in archive.namelist()}


def drawing(content: bytes) -> Drawing:
    found = read(StringIO(content.decode()))
    audit = found.audit()
    assert not audit.errors
    assert not audit.fixes
    return found


def layer_of(hole: Hole) -> str:
    """By the rule that the archive itself tells, for holes of whole tenths."""
    wide, deep = f"{hole.diameter / MM:g}", f"{hole.depth / MM:g}"
    name = f"HOLE_{wide}_DEEP_{deep}" if hole.depth else f"HOLE_THROUGH_{wide}"
    ends = {"back": "_BACK" if hole.depth else "", "face": "", "start": "_LEFT_END", "end": "_RIGHT_END",
            "low": "_LOWER_EDGE", "high": "_UPPER_EDGE"}  # fmt: skip
    return name + ends[hole.side]


@pytest.mark.parametrize("name", sorted(starters()))
def test_every_part_of_a_starter_is_read_back_with_all_that_is_made_in_it(name: str) -> None:
    work = work_of(name)
    files = unpacked(work)
    assert {READ_ME, LIST} < set(files)
    rows = list(csv.DictReader(StringIO(files[LIST].decode("utf-8-sig"))))
    assert [int(row["No."]) for row in rows] == [one.number for one in work.made] == list(range(1, len(rows) + 1))
    assert {row["File"] for row in rows} == set(files) - {READ_ME, LIST}
    for one, row in zip(work.made, rows, strict=True):
        assert int(row["Pieces"]) == one.part.count.value
        found = drawing(files[row["File"]])
        assert found.header["$INSUNITS"] == 4
        holes: Counter[str] = Counter()
        pockets = 0
        for made in one.item.take_off.made.get(one.part.name, ()):
            if isinstance(made, Hole):
                holes[layer_of(made)] += made.count
            else:
                pockets += 1
        circles = Counter(one.dxf.layer for one in found.modelspace().query("CIRCLE"))
        assert circles == holes
        lines = Counter(one.dxf.layer for one in found.modelspace().query("LWPOLYLINE"))
        assert lines["OUTLINE"] == 1
        assert sum(count for layer, count in lines.items() if layer.startswith(("POCKET", "OPENING"))) == pockets
        (outline,) = found.modelspace().query('LWPOLYLINE[layer=="OUTLINE"]')
        size = extents([outline]).size
        length, width, _ = one.sizes
        assert width is not None
        # What leans is drawn exactly, and said to the tenth.
        assert (size.x, size.y) == pytest.approx((length / MM, width / MM), abs=0.05 if one.part.sawn else 1e-6)


def test_a_table_with_an_opening_a_plate_and_holes_by_hand() -> None:
    """The worktop is 20 less than 1500 x 700 all round. The opening, 200 x 260, ends 60 from the right, in the middle
    of the depth; the plate, 300 x 300, begins 100 from the left with a ledge of 20; of holes 20 wide there are as many
    columns as go into 1460 - 780 every 100, and one: 7, from 460 on, and 4 rows about the middle."""
    work = work_of("wedging_table")
    worktop = made_of(work, "worktop")
    content = part_file(work, worktop.number)
    assert content is not None
    found = drawing(content)

    def boxes(layer: str) -> list[tuple[float, ...]]:
        around = [extents([one]) for one in found.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')]
        return sorted(
            tuple(round(value, 6) for value in (one.extmin.x, one.extmin.y, one.extmax.x, one.extmax.y))
            for one in around
        )  # fmt: skip

    assert boxes("OUTLINE") == [(0, 0, 1460, 660)]
    assert boxes("OPENING") == [(120, 200, 380, 460), (1200, 200, 1400, 460)]
    assert boxes("POCKET_8_DEEP") == [(100, 180, 400, 480)]
    holes = sorted(
        (round(one.dxf.center.x, 6), round(one.dxf.center.y, 6), 2 * one.dxf.radius)
        for one in found.modelspace().query('CIRCLE[layer=="HOLE_THROUGH_20"]')
    )  # fmt: skip
    assert holes == [(460 + 100 * column, 180 + 100 * row, 20) for column in range(7) for row in range(4)]


def test_an_inch_shop_gets_inches() -> None:
    work = work_of("trestle_bench", 2, "inch")
    files = unpacked(work)
    assert b"inches" in files[READ_ME]
    rows = list(csv.DictReader(StringIO(files[LIST].decode("utf-8-sig"))))
    assert "Thickness, in" in rows[0]
    for one, row in zip(work.made, rows, strict=True):
        assert int(row["Pieces"]) == 2 * one.part.count.value
        found = drawing(files[file_name(one)])
        assert found.header["$INSUNITS"] == 1
        (outline,) = found.modelspace().query('LWPOLYLINE[layer=="OUTLINE"]')
        assert extents([outline]).size.x == pytest.approx(one.sizes[0] / 25_400_000, abs=1e-6)


def test_what_is_folded_is_its_flat_with_its_folds() -> None:
    """300 between two legs of 30, each fold 2.65 less: a flat of 354.7, its folds 30 - 2.65 / 2 from its edges."""
    shop = sheet_metal()
    work = work_of(document_of(tray()), shop=shop)
    content = part_file(work, 1)
    assert content is not None
    found = drawing(content)
    (outline,) = found.modelspace().query('LWPOLYLINE[layer=="OUTLINE"]')
    size = extents([outline]).size
    assert (size.x, size.y) == pytest.approx((400, 300 + 2 * (30 - 2.65)), abs=0.06)
    heights = sorted(one.dxf.start.y for one in found.modelspace().query('LINE[layer=="FOLD"]'))
    assert heights == pytest.approx([30 - 2.65 / 2, size.y - 30 + 2.65 / 2], abs=1e-6)


def test_an_outline_is_cut_by_its_arcs() -> None:
    """A shelf of 500 x 300 whose right corners are rounded by 60: two arcs of a quarter turn, tan(22.5 degrees)."""
    nose = "nose: 0 by 0, width by 0 rounded 60 mm, width by 300 mm rounded 60 mm, 0 by 300 mm of shelf"
    work = work_of(document_of(RACK.replace("scope:", f"outlines:\n  {nose}\nscope:")))
    content = part_file(work, made_of(work, "shelf").number)
    assert content is not None
    held: Any = drawing(content).modelspace().query('LWPOLYLINE[layer=="OUTLINE"]').first
    points = [tuple(round(float(value), 6) for value in point) for point in held.get_points("xyb")]
    quarter, first = 0.414214, points.index((0, 0, 0))
    assert [*points[first:], *points[:first]] == [
        (0, 0, 0), (440, 0, quarter), (500, 60, 0), (500, 240, quarter), (440, 300, 0), (0, 300, 0),
    ]  # fmt: skip


def test_what_gets_band_has_its_outline_before_that_too() -> None:
    """A front of the cabinet is banded all round."""
    work = work_of("bench_cabinet")
    one = next(one for one in work.made if len(one.banded) == 4 and one.part.blank_width is not None)
    assert one.part.blank_width is not None
    content = part_file(work, one.number)
    assert content is not None
    found = drawing(content)
    # The band is 1 mm thick: what is cut is 2 mm less each way, as the blank of the cut list is.
    thick = 1.0
    assert one.sizes[0] - one.part.blank_length.value == 2 * MM
    assert (one.sizes[1] or 0) - one.part.blank_width.value == 2 * MM
    boxes = []
    for layer in ("OUTLINE", "OUTLINE_BEFORE_BAND"):
        (line,) = found.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
        boxes.append(extents([line]))
    outer, inner = boxes
    assert (inner.extmin.x, inner.extmin.y) == pytest.approx((thick, thick))
    assert inner.size.x == pytest.approx(outer.size.x - 2 * thick)
    assert inner.size.y == pytest.approx(outer.size.y - 2 * thick)
    assert any("OUTLINE_BEFORE_BAND is what is cut" in text.dxf.text for text in found.modelspace().query("TEXT"))
    bare = work_of("wedging_table")
    assert all(not one.flat.bare for one in bare.made if one.flat is not None)


def test_a_round_opening_is_an_opening_and_no_hole_to_drill() -> None:
    line = "field: Field; 20 mm holes through upper; 4 by 3; 100 mm apart each way"
    text = top(line).replace("scope:", "openings:\n  well: Well; 300 mm round in upper, top; 400 mm from left\nscope:")
    work = work_of(document_of(text))
    content = part_file(work, made_of(work, "upper").number)
    assert content is not None
    found = drawing(content)
    assert {one.dxf.layer for one in found.modelspace().query("CIRCLE")} == {"HOLE_THROUGH_20"}
    (well,) = found.modelspace().query('LWPOLYLINE[layer=="OPENING"]')
    around = extents([well])
    assert (around.extmin.x, around.extmin.y, around.extmax.x) == pytest.approx((400, 280, 700), abs=1e-6)


def test_what_is_not_there_has_no_file() -> None:
    assert part_file(work_of("trestle_bench"), 99) is None
