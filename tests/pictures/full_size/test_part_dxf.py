"""The DXF of a part, read again by another program: its unit, its layers, and everything where it is in the part."""

from __future__ import annotations

from io import StringIO
from math import pi, tan
from typing import Any

import pytest
from ezdxf.bbox import extents
from ezdxf.document import Drawing
from ezdxf.filemanagement import read
from ezdxf.math import bulge_radius

from webapp.costing.measures.quantities import System
from webapp.costing.takeoff.features import Hole, Pocket
from webapp.pictures.drawings.detail import PartDrawn
from webapp.pictures.full_size.flat import ASIDE, flat_part
from webapp.pictures.full_size.part_dxf import part_dxf

MM = 1_000_000
INCH = 25_400_000
#: A side of 800 x 300 x 18: a field of 3 x 2 through, a blind hole in the back, one in the lower edge and one in the
#: right end, a pocket and an opening with round corners.
SIDE = PartDrawn(
    4, "Side", ("2 pieces",), 800 * MM, 300 * MM, 18 * MM, banded=("low",), grain="length",
    made=(
        Hole("face", 50 * MM, 40 * MM, 8 * MM, 0, "", 3, 2, 100 * MM, 200 * MM),
        Hole("back", 70 * MM, 90 * MM, 5 * MM, 12 * MM), Hole("low", 60 * MM, 5 * MM, 10 * MM, 30 * MM),
        Hole("end", 100 * MM, 9 * MM, 6 * MM, 25 * MM),
        Pocket("face", 300 * MM, 100 * MM, 200 * MM, 100 * MM, 6 * MM, 10 * MM),
        Pocket("back", 600 * MM, 100 * MM, 120 * MM, 80 * MM),
    ),
)  # fmt: skip


def opened(part: PartDrawn, system: System = "metric", *words: str) -> Drawing:
    """The file read again as any program would; it has to have no error."""
    drawing = read(StringIO(part_dxf(flat_part(part), words, system).decode()))
    audit = drawing.audit()
    assert not audit.errors
    assert not audit.fixes
    return drawing


def circles(drawing: Drawing, layer: str) -> list[tuple[float, float, float]]:
    """Middle and diameter of each circle on a layer."""
    found = drawing.modelspace().query(f'CIRCLE[layer=="{layer}"]')
    return [(one.dxf.center.x, one.dxf.center.y, 2 * one.dxf.radius) for one in found]


def box(drawing: Drawing, layer: str) -> tuple[float, float, float, float]:
    (one,) = drawing.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    assert one.dxf.flags & 1, "it is closed"
    around = extents([one])
    return around.extmin.x, around.extmin.y, around.extmax.x, around.extmax.y


def points(drawing: Drawing, layer: str) -> list[tuple[float, float, float]]:
    (one,) = drawing.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    held: Any = one
    return [(float(x), float(y), float(bulge)) for x, y, bulge in held.get_points("xyb")]


@pytest.mark.outside(source="DXF Reference (2015), header variables: $INSUNITS 1 is inches and 4 millimetres")
def test_each_file_says_its_unit_and_is_true_to_size_in_it() -> None:
    metric, inch = opened(SIDE), opened(SIDE, "inch")
    assert (metric.header["$INSUNITS"], metric.header["$MEASUREMENT"]) == (4, 1)
    assert (inch.header["$INSUNITS"], inch.header["$MEASUREMENT"]) == (1, 0)
    assert box(metric, "OUTLINE") == pytest.approx((0, 0, 800, 300))
    assert box(inch, "OUTLINE") == pytest.approx((0, 0, 800 / 25.4, 300 / 25.4))
    panel = PartDrawn(1, "Panel", (), 24 * INCH, 12 * INCH, INCH // 2, made=(Hole("face", INCH, INCH, INCH // 4),))
    assert box(opened(panel, "inch"), "OUTLINE") == pytest.approx((0, 0, 24, 12))
    assert circles(opened(panel, "inch"), "HOLE_THROUGH_0.25") == [pytest.approx((1, 1, 0.25))]


def test_everything_stands_on_the_layer_named_for_it_where_the_part_has_it() -> None:
    drawing = opened(SIDE)
    layers = {one.dxf.layer for one in drawing.modelspace()}
    assert layers == {
        "OUTLINE", "HOLE_THROUGH_8", "HOLE_5_DEEP_12_BACK", "HOLE_10_DEEP_30_LOWER_EDGE", "HOLE_6_DEEP_25_RIGHT_END",
        "POCKET_6_DEEP", "OPENING", "EDGE_VIEW_LOWER_EDGE", "EDGE_VIEW_RIGHT_END", "EDGE_BANDED", "GRAIN", "TEXT",
    }  # fmt: skip
    assert sorted(circles(drawing, "HOLE_THROUGH_8")) == [
        (x, y, 8) for x in (50, 150, 250) for y in (40, 240)
    ]  # fmt: skip
    # 70 from the left end of the back, which is the right end of the face: seen through.
    assert circles(drawing, "HOLE_5_DEEP_12_BACK") == [(730, 90, 5)]
    assert box(drawing, "OPENING") == pytest.approx((80, 100, 200, 180))
    assert box(drawing, "POCKET_6_DEEP") == pytest.approx((300, 100, 500, 200))
    (band,) = drawing.modelspace().query('LINE[layer=="EDGE_BANDED"]')
    assert (band.dxf.start.y, band.dxf.end.y, band.dxf.end.x) == (0, 0, 800)


def test_round_corners_are_arcs_and_not_short_sides() -> None:
    places = points(opened(SIDE), "POCKET_6_DEEP")
    assert len(places) == 8
    arcs = [
        bulge_radius((x, y), (to_x, to_y), bulge)
        for (x, y, bulge), (to_x, to_y, _) in zip(places, (*places[1:], places[0]), strict=True)
        if bulge
    ]
    assert arcs == [pytest.approx(10)] * 4


def test_holes_in_edges_stand_in_a_view_with_the_face_next_to_the_part() -> None:
    drawing = opened(SIDE)
    assert box(drawing, "EDGE_VIEW_LOWER_EDGE") == pytest.approx((0, -ASIDE - 18, 800, -ASIDE))
    # 5 up from the back is 13 from the face.
    assert circles(drawing, "HOLE_10_DEEP_30_LOWER_EDGE") == [pytest.approx((60, -ASIDE - 13, 10))]
    assert box(drawing, "EDGE_VIEW_RIGHT_END") == pytest.approx((800 + ASIDE, 0, 818 + ASIDE, 300))
    assert circles(drawing, "HOLE_6_DEEP_25_RIGHT_END") == [pytest.approx((800 + ASIDE + 9, 100, 6))]
    # Where its face lies at the lower end of its thickness, as much is from the face.
    turned = PartDrawn(1, "Side", (), 800 * MM, 300 * MM, 18 * MM, made=SIDE.made[2:3], lower=True)
    assert circles(opened(turned), "HOLE_10_DEEP_30_LOWER_EDGE") == [pytest.approx((60, -ASIDE - 5, 10))]


def test_mitres_outlines_and_folds_by_hand() -> None:
    mitred = opened(PartDrawn(1, "Rail", (), 700 * MM, 50 * MM, 20 * MM, slants=(50 * MM, 20 * MM)))
    assert [place[:2] for place in points(mitred, "OUTLINE")] == [(0, 0), (700, 0), (680, 50), (50, 50)]
    corner = (((0, 0), 0.0), ((100 * MM, 0), tan(pi / 8)), ((120 * MM, 20 * MM), 0.0), ((120 * MM, 60 * MM), 0.0),
              ((0, 60 * MM), 0.0))  # fmt: skip
    shaped = opened(PartDrawn(1, "Shelf", (), 120 * MM, 60 * MM, 18 * MM, sides=corner))
    assert points(shaped, "OUTLINE")[1] == pytest.approx((100, 0, tan(pi / 8)))
    folded = opened(PartDrawn(1, "Tray", (), 400 * MM, 300 * MM, MM, folds=(("start", 28 * MM), ("high", 30 * MM))))
    lines = [((one.dxf.start.x, one.dxf.start.y), (one.dxf.end.x, one.dxf.end.y))
             for one in folded.modelspace().query('LINE[layer=="FOLD"]')]  # fmt: skip
    assert lines == [((28, 0), (28, 300)), ((0, 270), (400, 270))]


def test_words_stand_below_and_tell_which_way_the_back_is_drawn() -> None:
    drawing = opened(SIDE, "metric", "4 Side", "2 pieces, 100 %%d")
    texts: list[Any] = list(drawing.modelspace().query("TEXT"))
    assert [one.dxf.text for one in texts][:2] == ["4 Side", "2 pieces, 100 % %d"]
    assert any("not mirrored" in one.dxf.text for one in texts)
    assert all(one.dxf.insert.y < -ASIDE - 18 for one in texts)
    bare = opened(PartDrawn(1, "Plain", (), 80 * MM, 40 * MM, 18 * MM), "metric", "1 Plain")
    assert len(bare.modelspace().query("TEXT")) == 1
