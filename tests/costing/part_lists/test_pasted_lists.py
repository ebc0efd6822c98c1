"""Lists of parts as shops paste them, faults and all: each row is a part, or is named with its reason and stays."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from webapp.costing.jobs.listed import read_edges, write_edges
from webapp.costing.measures.quantities import System
from webapp.costing.part_lists.pasted import read_pasted_parts
from webapp.costing.part_lists.text import read_text_rows, write_rows
from webapp.costing.tables.pasted import Pasted
from webapp.seed import load_catalogue

CATALOGUE = load_catalogue(date(2026, 3, 2))
BIRCH = "Birch-faced plywood 18 mm"


def pasted(text: str, system: System = "metric") -> Pasted:
    """A list read against the demo's materials; whatever it is, each of its rows is somewhere."""
    found = read_pasted_parts(text, CATALOGUE, system)
    assert len(found.taken) + len(found.left) == len(found.rows)
    assert all(row.text in found.left_text(text) for row in found.left), "a row that was not taken is lost"
    return found


def reasons(found: Pasted) -> list[str]:
    return [row.problem for row in found.left]


def test_a_plain_list_is_taken_whole() -> None:
    found = pasted(f"Shelf\t12\t1150\t380\t{BIRCH}\ttwo long\nSide\t4\t1800 mm\t380 mm\tbirch_plywood_18\n")
    assert not found.left
    assert [dict(row.entry) for row in found.rows] == [
        {"name": "Shelf", "count": "12", "length": "1150", "width": "380", "material": BIRCH, "edges": "two long"},
        {"name": "Side", "count": "4", "length": "1800 mm", "width": "380 mm", "material": "birch_plywood_18"},
    ]


def test_1_a_unit_that_is_missing_beside_one_that_is_there() -> None:
    found = pasted(f"Shelf\t2\t60 cm\t30\t{BIRCH}\nSide\t2\t60 cm\t30 cm\t{BIRCH}")
    assert reasons(found) == [
        "Row 1, “Shelf”: the width “30” has no unit, and the length “60 cm” has one: write it to both."
    ]
    assert [row.entry["name"] for row in found.taken] == ["Side"]


def test_1_a_bare_number_that_makes_no_part_in_the_shops_unit() -> None:
    found = pasted(f"Shelf;2;0.6;300;{BIRCH}")
    assert reasons(found) == [
        "Row 1, “Shelf”: the length “0.6” has no unit, and as 0.6 mm it makes no part: write its unit."
    ]


def test_2_a_material_that_nobody_knows_with_the_nearest_name() -> None:
    found = pasted("Shelf;2;600;300;Brich faced plywood 18mm\nLeg;4;700;;Unobtainium")
    assert reasons(found) == [
        f"Row 1, “Shelf”: no material is called “Brich faced plywood 18mm”. The nearest is “{BIRCH}”.",
        "Row 2, “Leg”: no material is called “Unobtainium”.",
    ]
    glue = pasted("Shelf;2;600;300;Hard-wax oil")
    assert reasons(glue) == ["Row 1, “Shelf”: “Hard-wax oil” is a liquid, and a sheet or board or length is needed."]


def test_3_length_and_width_exchanged_against_the_grain() -> None:
    found = pasted(f"Door;1;900;2000;{BIRCH}\nDoor turned;1;900;2000;{BIRCH};;with width")
    assert reasons(found) == [
        f"Row 1, “Door”: 900 mm × 2000 mm fits no sheet of “{BIRCH}” with its grain along the length: are length and "
        "width exchanged?"
    ]


def test_4_four_hundred_rows_and_one_too_many() -> None:
    rows = [f"Slat {number}\t3\t{400 + number}\t60\t{BIRCH}" for number in range(1, 402)]
    assert len(pasted("\n".join(rows[:400])).taken) == 400
    found = pasted("\n".join(rows))
    assert len(found.taken) == 400
    assert reasons(found) == ["Row 401: a list holds 400 parts at most."]


def test_5_decimal_commas_and_semicolons() -> None:
    found = pasted(f"Shelf;2;600,5;300,25;{BIRCH}")
    assert not found.left
    assert found.rows[0].entry["length"] == "600.5"


def test_5_a_comma_that_may_mark_thousands_is_not_guessed() -> None:
    found = pasted(f"Shelf;2;1,200;300;{BIRCH}")
    assert reasons(found) == [
        "Row 1, “Shelf”: the length “1,200” is unclear: its comma may mark thousands or decimals. "
        "Write 1200, or 1.200."
    ]


def test_6_a_heading_in_another_order_with_its_units() -> None:
    found = pasted(f"Material;Width (cm);Length (cm);Qty;Part;Colour\n{BIRCH};30;60,5;4 pcs;Shelf;red")
    assert not found.left
    assert dict(found.rows[0].entry) == {
        "material": BIRCH, "width": "30 cm", "length": "60.5 cm", "count": "4", "name": "Shelf",
    }  # fmt: skip
    assert found.sentences == ("Not used of the heading: colour.",)


def test_6_a_running_number_is_not_taken_for_how_many() -> None:
    found = pasted(f"No.\tPart\tQuantity\tLength\tWidth\tMaterial\n1\tShelf\t6\t600\t300\t{BIRCH}")
    assert [row.entry["count"] for row in found.taken] == ["6"]


def test_6_rows_that_are_left_keep_their_heading() -> None:
    text = f"Material;Width (cm);Length (cm);Qty;Part\n{BIRCH};30;60;4;Shelf\nPly;30;60;4;Back"
    found = pasted(text)
    assert found.left_text(text) == "Material;Width (cm);Length (cm);Qty;Part\nPly;30;60;4;Back"


def test_7_a_number_that_is_no_number() -> None:
    found = pasted(f"Shelf\t2\t80o\t300\t{BIRCH}\nSide\ttwo\t800\t300\t{BIRCH}\nBack\t2.5\t800\t300\t{BIRCH}")
    first, second, third = reasons(found)
    assert first.startswith("Row 1, “Shelf”: the length “80o” can't be read as a length")
    assert second == "Row 2, “Side”: “two” is no number of pieces from 1 to 5000."
    assert third == "Row 3, “Back”: “2.5” is no number of pieces from 1 to 5000."


def test_8_decimal_commas_between_commas_part_a_number_in_two() -> None:
    found = pasted(f"Shelf,2,600,300,birch_plywood_18\nSide,2,600,5,300,5,{BIRCH},,,")
    assert [row.entry["name"] for row in found.taken] == ["Shelf"]
    assert (
        "10 cells for 8 columns" in reasons(found)[0] or "unclear" in reasons(found)[0] or "Side" in reasons(found)[0]
    )


def test_9_what_is_longer_than_anything_it_is_cut_from() -> None:
    found = pasted(f"Top;1;2600;600;{BIRCH}\nRail;1;6500;;Square steel tube 40 x 40 x 2 mm")
    first, second = reasons(found)
    assert (
        first
        == f"Row 1, “Top”: 2600 mm × 600 mm fits no sheet of “{BIRCH}”, the largest of which is 2500 mm × 1250 mm."
    )
    assert second == (
        "Row 2, “Rail”: 6500 mm is longer than any length of “Square steel tube 40 x 40 x 2 mm”, the longest of which "
        "is 6000 mm."
    )


def test_10_rows_without_names_sizes_or_cells() -> None:
    found = pasted(f"4\t600\t300\t{BIRCH}\n\n2\t\t300\t{BIRCH}\nhello\n3\t500\t\t{BIRCH}")
    assert [row.entry["length"] for row in found.taken] == ["600"]
    assert reasons(found) == [
        "Row 3, “Part 3”: it has no length.",
        "Row 4, “hello”: nothing parts its cells; tabs, semicolons or commas do.",
        f"Row 5: a part of “{BIRCH}” needs its width.",
    ]


def test_edges_and_bands_that_are_not_there() -> None:
    found = pasted(
        f"Shelf;2;600;300;{BIRCH};most of them\nSide;2;600;300;{BIRCH};all round;free;Gold band\n"
        f"Back;2;600;300;{BIRCH};all round;;edge_band_1"
    )
    assert "does not say which edges are banded" in reasons(found)[0]
    assert reasons(found)[1].startswith("Row 2, “Side”: no material is called “Gold band”.")
    assert [row.entry["name"] for row in found.taken] == ["Back"]


def test_an_inch_shop_pastes_its_inches() -> None:
    found = pasted(
        f'Shelf\t2\t24"\t11 1/4\t{BIRCH}\nSide\t2\t72 in\t11.25\t{BIRCH}\nTop\t1\t1200\t300\t{BIRCH}', "inch"
    )
    assert [row.entry["name"] for row in found.taken] == ["Shelf", "Side"]
    assert reasons(found) == [
        "Row 3, “Top”: the length “1200” has no unit, and as 1200 in it makes no part: write its unit."
    ]


def test_a_board_needs_a_thickness_and_two_of_one_name_their_code() -> None:
    found = pasted("Part;Qty;Length;Width;Thickness;Material\nTop;1;1200;400;;White oak\nTop;1;1200;400;20;White oak")
    assert len(found.taken) == 1
    assert "is planed to a thickness, and none is typed" in reasons(found)[0]
    twin = replace(CATALOGUE.materials["birch_plywood_15"], name=BIRCH)
    catalogue = replace(CATALOGUE, materials={**CATALOGUE.materials, "birch_plywood_15": twin})
    two = read_pasted_parts(f"Shelf;1;600;300;{BIRCH}", catalogue, "metric")
    assert two.rows[0].problem == (
        f"Row 1, “Shelf”: several materials are called “{BIRCH}”: take the code, birch_plywood_18 or birch_plywood_15."
    )


@given(st.integers(0, 2), st.integers(0, 2))
def test_edges_are_read_as_they_are_written(long: int, short: int) -> None:
    assert read_edges(write_edges(long, short)) == (long, short)


#: Without the mark that spreadsheets put before what would be a formula: it goes.
_CELL = st.text(st.characters(exclude_categories=("C", "Z"), exclude_characters="'"), max_size=8)


@given(st.lists(st.fixed_dictionaries({"name": _CELL, "length": _CELL, "material": _CELL.filter(bool)}), max_size=6))
def test_a_list_written_as_text_is_the_same_list(parts: list[dict[str, str]]) -> None:
    rows = [{key: text for key, text in part.items() if text} for part in parts]
    assert read_text_rows(write_rows(rows)) == (rows, "")


@given(st.text(max_size=200))
def test_whatever_is_pasted_is_taken_or_stays(text: str) -> None:
    found = pasted(text)
    if found.problem:
        assert found.left_text(text) == text
