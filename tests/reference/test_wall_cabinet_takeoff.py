"""The hand-worked wall cabinet, sections 1 to 4, through the take-off: sizes, blanks, band, fastenings, areas, weight.

The case was worked by hand in exact fractions, apart from this program. Its choices stand in
tests/wall_cabinet_case.py. Not an outside source, but an independent sum; printed decimals that the text cuts are
compared to the last one printed.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from tests import wall_cabinet_case as case
from webapp.costing.design_form.reader import read_design
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.takeoff.model import Check, TakeOff
from webapp.costing.trade.boards import board_feet
from webapp.costing.trade.gluing import glue_litres

F = Fraction
MM = 10**6

# part: (count, length, width, thickness, banded edges, blank length, blank width, mm2 of all blanks, grain)
PARTS = {
    "side": ("2", "720", "304.4", "17.8", 1, "720", "303.4", "436896", "length"),
    "top_bottom": ("2", "724.4", "304.4", "17.8", 1, "724.4", "303.4", "439565.92", "length"),
    "shelf": ("2", "722.4", "294.4", "17.8", 1, "722.4", "293.4", "423904.32", "length"),
    "door": ("2", "717", "377", "17.8", 4, "715", "375", "536250", "length"),
    "back_panel": ("1", "758", "718", "5.8", 0, "758", "718", "544244", "free"),
    "rail": ("2", "724.4", "90", "20", 0, "749.4", "96", None, "length"),
}

# joint: (in a row, rows, count)
FASTENINGS = {
    "corners": (3, 4, 12), "rails_held": (5, 2, 10), "back_along": (6, 2, 12), "back_up": (5, 2, 10),
    "hinge_screws": (16, 1, 16),
}  # fmt: skip

DRIVERS = {
    "saw_sheet_parts": "9", "plane_rails": "2", "band_edges_on": "8.7096", "drill_holes": "40", "slot_biscuits": "12",
    "sand_raw": "4.28030656", "clamp_joints": "6", "drive_screws": "32", "hang_hinges": "4", "fit_handles": "2",
    "spray": "10.45572336", "sand_between": "6.1754168",
}  # fmt: skip


@pytest.fixture(scope="module")
def working() -> Working:
    return Working()


@pytest.fixture(scope="module")
def found(working: Working) -> TakeOff:
    design, problems = read_design(case.design_document())
    assert design is not None, problems
    return expand(design, {}, {}, {}, case.catalogue(), case.rates(), working, "item/cabinet", 100_000, "metric")


def mm(figure: Figure | None) -> F:
    assert figure is not None
    assert figure.unit == "nm"
    return figure.value / MM


def check(found: TakeOff, name: str) -> Check:
    return next(one for one in found.checks if one.name == name)


def test_nothing_is_wrong(found: TakeOff) -> None:
    assert found.problems == ()
    assert [one.name for one in found.checks if one.outcome == "failure"] == []


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("carcass_depth", "304.4"), ("inner_width", "724.4"), ("inner_height", "684.4"), ("shelf_length", "722.4"),
        ("shelf_depth", "294.4"), ("door_height", "717"), ("door_width", "377"),
    ],
)  # fmt: skip
def test_derived_sizes_use_the_measured_thickness(working: Working, found: TakeOff, name: str, value: str) -> None:
    assert mm(working[f"item/cabinet/value/{name}"]) == F(value)


@pytest.mark.parametrize("name", PARTS)
def test_each_part_and_its_blank(found: TakeOff, name: str) -> None:
    count, length, width, thickness, edges, blank_length, blank_width, area, grain = PARTS[name]
    part = next(one for one in found.parts if one.name == name)
    assert part.count.value == F(count)
    assert (mm(part.length), mm(part.width), mm(part.thickness)) == (F(length), F(width), F(thickness))
    assert len(part.banded) == edges
    assert (mm(part.blank_length), mm(part.blank_width)) == (F(blank_length), F(blank_width))
    assert part.grain == grain
    if area is not None:
        assert mm(part.blank_length) * mm(part.blank_width) * part.count.value == F(area)


def test_the_thick_sheet_in_all(found: TakeOff) -> None:
    thick = [part for part in found.parts if part.material == "thick_sheet"]
    assert sum(part.count.value for part in thick) == 8
    assert sum(mm(part.blank_length) * mm(part.blank_width) * part.count.value for part in thick) == F("1836616.24")
    assert {part.name for part in found.parts} == set(PARTS)


def test_nominal_thickness_would_come_out_otherwise() -> None:
    """The text's own check: with 18 and 6 mm the inside would be 724.0 wide and 304.0 deep."""
    design, _ = read_design(case.design_document())
    assert design is not None
    catalogue, nominal = case.catalogue(), {"thick_sheet": F(18 * MM), "thin_sheet": F(6 * MM)}
    materials = {
        code: replace(one, values={**one.values, "thickness": nominal[code]}) if code in nominal else one
        for code, one in catalogue.materials.items()
    }
    working = Working()
    expand(
        design, {}, {}, {}, replace(catalogue, materials=materials), case.rates(), working, "item/cabinet", 100_000,
        "metric",
    )  # fmt: skip
    assert mm(working["item/cabinet/value/inner_width"]) == 724
    assert mm(working["item/cabinet/value/carcass_depth"]) == 304


def test_the_whole_closes_and_nothing_overlaps(found: TakeOff) -> None:
    assert [check(found, name).outcome for name in ("clear", "touch", "closes")] == ["pass"] * 3
    reach = [
        max(box.corner[axis] + box.extent[axis] for part in found.parts for box in part.boxes) for axis in range(3)
    ]
    assert reach == [760 * MM, 330 * MM, 720 * MM]


def test_maple_is_planed_from_four_quarters(found: TakeOff) -> None:
    rail = next(part for part in found.parts if part.name == "rail")
    assert rail.rough_thickness == case.FOUR_QUARTERS
    assert rail.blank_width is not None
    feet = board_feet(F(rail.rough_thickness), rail.blank_width.value, rail.blank_length.value)
    assert float(feet) == pytest.approx(0.774381, abs=1e-6)
    assert float(2 * feet) == pytest.approx(1.548763, abs=1e-6)


def test_band(working: Working, found: TakeOff) -> None:
    assert found.drivers["band_edges_on"].value == F("8.7096")
    assert working["item/cabinet/band/band/edges"].value == 14
    assert found.band["band"].value == F("9.88008")


@pytest.mark.parametrize("name", FASTENINGS)
def test_fastenings(found: TakeOff, name: str) -> None:
    one = next(one for one in found.fastenings if one.joint == name)
    assert (one.per_row.value, one.rows.value, one.count.value) == tuple(map(F, FASTENINGS[name]))


def test_tip_of_the_hinge_screws(working: Working, found: TakeOff) -> None:
    tip = check(found, "tip/hinge_screws")
    nominal, _, thin = (working[figure] for figure in tip.figures)
    assert (mm(nominal), mm(thin)) == (F("3.3"), F("2.6"))
    assert tip.outcome == "warning"
    assert "3.3 mm" in tip.sentence
    assert "2.6 mm" in tip.sentence


def test_glue(working: Working, found: TakeOff) -> None:
    assert working["item/cabinet/joint/corners/glue"].value * 10**6 == F("21673.28")
    assert working["item/cabinet/joint/rails_held/glue"].value * 10**6 == 28976
    area = found.glue["glue"].value
    assert area * 10**6 == F("50649.28")
    assert area * 200 * F("1.15") == F("11.6493344")
    assert float(glue_litres(area, F(200), F("1.15"), F(1100))) == pytest.approx(0.010590304, abs=1e-9)
    assert {name: lines.value for name, lines in found.glue_lines.items()} == {"corners": 4, "rails_held": 2}


@pytest.mark.parametrize(
    ("surfaces", "square_millimetres"),
    [
        (["door_faces"], "1081236"), (["side_outsides"], "438336"), (["underside"], "220507.36"),
        (["door_faces", "side_outsides", "underside"], "1740079.36"), (["band_edges/door"], "77892.8"),
        (["band_edges/side", "band_edges/top_bottom"], "51420.64"), (["band_edges/shelf"], "25717.44"),
        (["band_edges"], "155030.88"), (["side_insides"], "438336"), (["top_bottom_insides"], "441014.72"),
        (["shelf_faces"], "850698.24"), (["back_inside"], "495779.36"), (["rail_faces"], "159368"),
        (["side_insides", "top_bottom_insides", "shelf_faces", "back_inside", "rail_faces"], "2385196.32"),
    ],
)  # fmt: skip
def test_areas(working: Working, found: TakeOff, surfaces: list[str], square_millimetres: str) -> None:
    area = sum(working[f"item/cabinet/surface/{name}"].value for name in surfaces)
    assert area * 10**6 == F(square_millimetres)


def test_coats(found: TakeOff) -> None:
    assert [(one.name, one.coats) for one in found.finishes] == [("show_coats", 3), ("inside_coats", 2)]
    assert sum(one.area.value for one in found.finishes) == F("4.28030656")
    assert sum(one.coated.value for one in found.finishes) == F("10.45572336")
    assert sum(one.between.value for one in found.finishes) == F("6.1754168")


def test_abrasives_are_driven_by_area(found: TakeOff) -> None:
    code, driven = found.supplies["coarse_sanding"]
    assert code == "disc_150"
    assert driven is not None
    assert float(driven.value / F("1.5")) == pytest.approx(2.853537, abs=1e-6)
    code, driven = found.supplies["fine_sanding"]
    assert code == "disc_320"
    assert driven is not None
    assert driven.value == F("6.1754168")
    assert found.supplies["packing"] == ("wrap", None)


def test_drivers(found: TakeOff) -> None:
    assert {name: figure.value for name, figure in found.drivers.items()} == {
        name: F(value) for name, value in DRIVERS.items()
    }


def test_mass(working: Working, found: TakeOff) -> None:
    def kilograms(*names: str) -> float:
        return float(sum(working[f"item/cabinet/part/{name}/all_mass"].value for name in names))

    assert kilograms("side", "top_bottom", "shelf", "door") == pytest.approx(22.335727, abs=1e-6)
    assert kilograms("back_panel") == pytest.approx(2.146498336, abs=1e-12)
    assert kilograms("rail") == pytest.approx(1.840091904, abs=1e-12)
    assert sum(one.mass.value for one in found.hardware if one.mass is not None) == F("1.2")
    assert float(found.mass.value) == pytest.approx(27.522317, abs=1e-6)
    assert found.heaviest is not None
    assert found.heaviest.name == "door"


def test_sag_of_the_shelf(working: Working, found: TakeOff) -> None:
    span = "item/cabinet/span/shelf_span"
    assert float(working[f"{span}/moment"].value) == pytest.approx(138361.9157, abs=1e-4)
    assert float(mm(working[f"{span}/sag"])) == pytest.approx(1.075243, abs=1e-6)
    assert float(mm(working[f"{span}/sag_in_time"])) == pytest.approx(1.612865, abs=1e-6)
    assert mm(working[f"{span}/limit"]) == F("1.204")
    sag = check(found, "sag/shelf_span")
    assert sag.outcome == "warning"
    assert "not an engineer's approval" in sag.sentence


def test_scope(found: TakeOff) -> None:
    assert found.scope.startswith("A wall cabinet 760 mm wide, 720 mm high and 330 mm deep over its doors")
