"""The DXF of a cut sheet, opened again: true to scale, in millimetres, on its layers, with nothing wrong in it."""

from __future__ import annotations

from io import StringIO

import pytest
from ezdxf.bbox import extents
from ezdxf.document import Drawing
from ezdxf.entities.text import Text
from ezdxf.filemanagement import read
from hypothesis import example, given
from hypothesis import strategies as st

from tests.harness.examples import examples
from webapp.costing.cutting.ask.model import Trim
from webapp.pictures.drawn_sheet import DrawnSheet
from webapp.pictures.saw_marks import DrawnCut
from webapp.pictures.sheet_dxf import BANDS, CUTS, GRAIN, LABELS, OFFCUTS, PIECES, SHEET, TRIM, sheets_dxf
from webapp.pictures.sheet_plan import Offcut, PlacedPiece

MM = 1_000_000


def a_sheet(label: str = "Side") -> DrawnSheet:
    """A sheet of 2440 x 1220 mm with a piece of 600.5 x 400 mm lying straight and one turned, and an offcut."""
    pieces = (
        PlacedPiece(7, label, 10 * MM, 5 * MM, 600_500_000, 400 * MM, turned=False, grain=True, banded=("low",)),
        PlacedPiece(8, label, 700 * MM, 5 * MM, 600_500_000, 400 * MM, turned=True, grain=False, banded=("start",)),
    )
    cuts = (DrawnCut(1, (10 * MM, 405 * MM, 2440 * MM, 409 * MM), rip=True),)
    offcut = Offcut(1200 * MM, 5 * MM, 1200 * MM, 1000 * MM)
    return DrawnSheet("Plan 1", 2440 * MM, 1220 * MM, Trim(10 * MM, 0, 5 * MM, 5 * MM), pieces, (offcut,), cuts, (), 1)


def opened(*sheets: DrawnSheet) -> Drawing:
    """The file read again as any program would; it has to have no error."""
    drawing = read(StringIO(sheets_dxf(sheets).decode()))
    audit = drawing.audit()
    assert not audit.errors
    assert not audit.fixes
    return drawing


def corners(drawing: Drawing, layer: str) -> list[tuple[float, float, float, float]]:
    """Left, lower, right and upper edge in mm of every outline on a layer."""
    found = []
    for one in drawing.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]'):
        box = extents([one])
        found.append((box.extmin.x, box.extmin.y, box.extmax.x, box.extmax.y))
    return found


@pytest.mark.outside(source="DXF Reference (2015), header variables: $INSUNITS 4 is millimetres, $MEASUREMENT 1 metric")
def test_the_file_is_in_millimetres_at_true_scale() -> None:
    drawing = opened(a_sheet())
    assert (drawing.header["$INSUNITS"], drawing.header["$MEASUREMENT"]) == (4, 1)
    assert corners(drawing, SHEET) == [(0, 0, 2440, 1220)]
    assert corners(drawing, TRIM) == [(10, 5, 2440, 1215)]
    assert corners(drawing, PIECES) == [
        pytest.approx((10, 815, 610.5, 1215)), pytest.approx((700, 614.5, 1100, 1215)),
    ]  # fmt: skip
    assert corners(drawing, OFFCUTS) == [(1200, 215, 2400, 1215)]


def test_each_kind_of_thing_is_on_its_layer_where_the_drawing_has_it() -> None:
    drawing = opened(a_sheet())
    lines = {
        layer: [
            (one.dxf.start.x, one.dxf.start.y, one.dxf.end.x, one.dxf.end.y)
            for one in drawing.modelspace().query(f'LINE[layer=="{layer}"]')
        ]
        for layer in (CUTS, BANDS, GRAIN)
    }
    assert lines[CUTS] == [(10, 813, 2440, 813)]
    assert lines[BANDS] == [pytest.approx((10, 1215, 610.5, 1215)), pytest.approx((700, 1215, 1100, 1215))]
    assert len(lines[GRAIN]) == 1
    words = [one.dxf.text for one in drawing.modelspace().query(f'TEXT[layer=="{LABELS}"]')]
    assert {"7 Side", "8 Side", "Keep", "Plan 1"} <= set(words)


def test_several_sheets_lie_below_each_other_without_touching() -> None:
    first, second = corners(opened(a_sheet(), a_sheet()), SHEET)
    assert first == (0, 0, 2440, 1220)
    assert second[3] < -20
    assert second[3] - second[1] == 1220


@examples(40)
@example("50%%d wide, %%%%c and 100%")
@example("^")
@example("a^Jb^ c^^ \\P{x}; \n0\nEOF")
@example("a^")
@given(st.text(max_size=60))
def test_any_name_of_a_part_comes_back_as_one_label_without_its_control_characters(name: str) -> None:
    drawing = opened(a_sheet(name))
    texts = drawing.modelspace().query(f'TEXT[layer=="{LABELS}"]')
    labels = [one.plain_text() for one in texts if isinstance(one, Text)]
    said = "".join(letter if letter.isprintable() else " " for letter in f"7 {name}")
    assert any(_bare(label) == _bare(said) for label in labels)
    assert len(labels) == 4


def _bare(words: str) -> str:
    """Without blanks: a doubled percent sign is kept apart by one; and carets as the accent that looks like them."""
    return words.replace(" ", "").replace("^", "\u02c6")
