"""Templates as they are printed, measured in the PDF's own units: the check rules, the part's outline, its holes."""

from __future__ import annotations

from functools import cache
from io import BytesIO
from math import dist, hypot

import pytest
from pypdf import PageObject, PdfReader

from tests.costing.short_form.holes_case import top
from tests.costing.short_form.rack import RACK
from tests.documents.bench.bench_case import document_of, made_of, work_of
from tests.documents.paper_case import text_of
from tests.harness.pdf_lines import Place, Stroke, strokes_of
from webapp.costing.contours.guide import Guide
from webapp.costing.contours.sides import box_of
from webapp.documents.bench.routed import route, routed_of
from webapp.documents.bench.templates import Drawn, TemplatePaper, grid_of, pages_of, template_html, templates_of
from webapp.documents.bench.work import BenchWork
from webapp.documents.printing.pdf import make_pdf
from webapp.persistence.settings.shop import Paper

#: How far a print may be off, mm.
OFF = 0.2
#: A shelf of 500 x 300, its right corners rounded by 60.
SHAPED = RACK.replace("scope:", (
    "outlines:\n  nose: 0 by 0, width by 0 rounded 60 mm, width by 300 mm rounded 60 mm, 0 by 300 mm of shelf\nscope:"
))  # fmt: skip
GUIDE = Guide(24, 12)


@cache
def shaped() -> BenchWork:
    return work_of(document_of(SHAPED))


def printed(work: BenchWork, found: tuple[Drawn, ...], paper: Paper) -> bytes:
    pages = tuple(page for one in found for page in pages_of(one, paper, work.system))
    return make_pdf(template_html(TemplatePaper("Templates", "Shop", "2026-11-02", paper, pages)))


def box(strokes: list[Stroke]) -> tuple[float, float, float, float]:
    xs, ys = ([place[axis] for stroke in strokes for place in stroke.places] for axis in (0, 1))
    return min(xs), min(ys), max(xs), max(ys)


def rules(page: list[Stroke]) -> list[float]:
    """The level lines of a page that are as long as a check rule, with what stands under the window alone."""
    return sorted(
        stroke.length for stroke in page
        if len(stroke.places) == 2 and not stroke.dashed and stroke.length > 90
        and abs(stroke.places[0][1] - stroke.places[1][1]) < 1e-6
    )  # fmt: skip


def longest(page: list[Stroke]) -> Stroke:
    """The outline of the part: the longest closed line that is no frame of five places."""
    return max(
        (stroke for stroke in page if len(stroke.places) > 5 and not stroke.dashed), key=lambda stroke: stroke.length
    )  # fmt: skip


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.outside(source="ISO 32000-1, Portable document format (2008), 8.3.2.3: a unit is 1/72 in")
def test_the_check_rules_of_each_page_and_the_outline_are_true(paper: Paper) -> None:
    work = shaped()
    (found,) = templates_of(work)
    assert (found.says, found.why) == (f"{made_of(work, 'shelf').number} Shelf", "its outline")
    pdf = printed(work, (found,), paper)
    pages = strokes_of(pdf)
    _, grid = grid_of(found.drawing, paper)
    assert len(pages) == len(grid.windows) == len(sheets(pdf)) > 1
    for page in pages:
        assert rules(page) == [pytest.approx(100, abs=OFF), pytest.approx(101.6, abs=OFF)]
    # 500 x 300 with two quarter circles of 60.
    whole = longest(pages[0])
    left, low, right, high = box([whole])
    assert sorted((right - left, high - low)) == pytest.approx([300, 500], abs=OFF)
    assert whole.length == pytest.approx(2 * (500 + 300) - 4 * 60 + 60 * 3.14159265, abs=OFF)
    sheet = {"A4": (210, 297), "Letter": (215.9, 279.4)}[paper]
    wide, tall = (float(side) * 25.4 / 72 for side in sheets(pdf)[0].mediabox[2:])
    assert (wide, tall) == pytest.approx(sheet, abs=0.1)


def sheets(pdf: bytes) -> list[PageObject]:
    return list(PdfReader(BytesIO(pdf)).pages)


def crosses(page: list[Stroke]) -> list[Place]:
    """The middles of the joining crosses: level lines of 8 mm."""
    return [
        ((stroke.places[0][0] + stroke.places[1][0]) / 2, stroke.places[0][1])
        for stroke in page
        if len(stroke.places) == 2 and abs(stroke.length - 8) < 1e-3
        and abs(stroke.places[0][1] - stroke.places[1][1]) < 1e-6
    ]  # fmt: skip


def test_pages_joined_at_their_crosses_make_the_whole() -> None:
    work = shaped()
    (found,) = templates_of(work)
    laid, grid = grid_of(found.drawing, "A4")
    pages = strokes_of(printed(work, (found,), "A4"))
    by_place = {(one.row, one.column): page for one, page in zip(grid.windows, pages, strict=True)}
    joined = 0
    for (row, column), page in by_place.items():
        for neighbour in filter(None, (by_place.get((row, column + 1)), by_place.get((row + 1, column)))):
            # As far as the outline is off between the two pages, so far are two crosses.
            here, there = longest(page).places[0], longest(neighbour).places[0]
            off = (there[0] - here[0], there[1] - here[1])
            moved = [(x + off[0], y + off[1]) for x, y in crosses(page)]
            met = [1 for at in moved if any(dist(at, other) < OFF for other in crosses(neighbour))]
            assert len(met) == 2
            joined += 1
    # 2 by 3 pages: 3 seams one way and 4 the other.
    assert joined == 7
    assert box_of(laid.sides)[2] - box_of(laid.sides)[0] in (pytest.approx(500), pytest.approx(300))


def test_a_field_of_holes_is_printed_with_each_middle_where_it_is() -> None:
    """4 by 3 holes of 20, 100 apart, on one page after another: what two pages show of it is the same."""
    line = "field: Field; 20 mm holes through upper; 4 by 3; 100 mm apart each way"
    work = work_of(document_of(top(line)))
    (found,) = templates_of(work)
    assert found.why == "12 holes"
    pages = strokes_of(printed(work, (found,), "A4"))
    seen: set[tuple[int, int]] = set()
    for page in pages:
        left, low, right, high = box([longest(page)])
        assert sorted((right - left, high - low)) == pytest.approx([860, 1760], abs=OFF)
        upright = high - low > right - left
        for stroke in page:
            around = box([stroke])
            if len(stroke.places) > 50 and abs(around[2] - around[0] - 20) < OFF:
                x, y = (around[0] + around[2]) / 2 - left, (around[1] + around[3]) / 2 - low
                # Drawn upright it is turned a quarter to the left.
                along, up = (y, right - left - x) if upright else (x, y)
                # In the middle of 1760 x 860: from 730 and 330 on.
                column, row = (along - 730) / 100, (up - 330) / 100
                assert hypot(column - round(column), row - round(row)) * 100 < OFF
                seen.add((round(column), round(row)))
    assert seen == {(column, row) for column in range(4) for row in range(3)}


def test_plain_rectangles_have_none_and_slanting_ends_have_one() -> None:
    assert templates_of(work_of(document_of(RACK))) == ()
    splayed = templates_of(work_of("splayed_bench"))
    assert {one.why for one in splayed} == {"its slanting ends"}
    for one in splayed:
        assert one.one.part.sawn is not None
        _, grid = grid_of(one.drawing, "A4")
        # The ends alone are printed; between them run straight edges.
        assert len(grid.windows) <= 4


def test_each_page_says_what_to_check_and_where_it_lies() -> None:
    work = shaped()
    said = text_of(printed(work, templates_of(work), "A4"))
    for words in ("Print at 100 %", "Hold a steel rule to the check rule", "licensed practice", "100 mm", "4 in",
                  "page A1 of", "crosses on crosses"):  # fmt: skip
        assert words in said


# ---- for the router -----------------------------------------------------------------------------------------------


def test_what_a_router_template_may_be_made_for() -> None:
    keys = {one.key: one.says for one in routed_of(work_of("wedging_table"))}
    assert keys == {
        "1-1": "1 Worktop: Opening over the scrap bin",
        "1-2": "1 Worktop: Turntable plate (pocket)",
        "1-2-insert": "1 Worktop: what is let in",
        "1-3": "1 Worktop: Turntable plate (opening beneath)",
    }
    assert [one.says for one in routed_of(shaped())] == [f"{made_of(shaped(), 'shelf').number} Shelf: its own outline"]
    assert routed_of(work_of(document_of(RACK))) == ()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_router_template_is_printed_as_far_off_as_bush_and_cutter_say(paper: Paper) -> None:
    """200 x 260 with corners of 30: by a bush of 24 and a cutter of 12 the template is 212 x 272 with corners of 36."""
    work = work_of("wedging_table")
    opening = next(one for one in routed_of(work) if one.key == "1-1")
    drawn, notes = route(opening, GUIDE, "metric")
    assert "24 mm" in notes[0]
    assert "6 mm outside the cut" in notes[0]
    for page in strokes_of(printed(work, (drawn,), paper)):
        assert rules(page) == [pytest.approx(100, abs=OFF), pytest.approx(101.6, abs=OFF)]
        edge = longest(page)
        left, low, right, high = box([edge])
        assert sorted((right - left, high - low)) == pytest.approx([212, 272], abs=OFF)
        assert edge.length == pytest.approx(2 * (212 + 272) - 8 * 36 + 2 * 36 * 3.14159265, abs=OFF)
        (cut,) = (one for one in page if one.dashed and len(one.places) > 50)
        assert box([cut]) == pytest.approx((left + 6, low + 6, right - 6, high - 6), abs=OFF)


def test_the_plate_s_own_template_is_smaller_and_says_what_its_corners_do() -> None:
    work = work_of("wedging_table")
    plate = next(one for one in routed_of(work) if one.key == "1-2-insert")
    drawn, notes = route(plate, GUIDE, "metric")
    left, low, right, high = box_of(drawn.drawing.cut[0])
    assert (right - left, high - low) == pytest.approx((288, 288))
    assert not any("Corners" in note for note in notes), "20 is more than the cutter and the offset ask"
    pocket = next(one for one in routed_of(work) if one.key == "1-2")
    _, said = route(pocket, Guide(24, 50 / 5), "inch")
    assert "15/16 in" in said[0]
    _, with_plate = route(pocket, Guide(40, 6), "metric")
    assert any("a bush of 28 mm this template cuts the piece that is let in" in note for note in with_plate)
    tight = next(one for one in routed_of(work) if one.key == "1-3")
    _, notes = route(tight, Guide(24, 12), "metric")
    # The corners beneath are 20 less the ledge of 20: square.
    assert any("radius of 6 mm where they are drawn square" in note for note in notes)


def test_what_is_worked_from_the_back_is_turned_over() -> None:
    """Holes 100 and 400 from the left of a skin of 1760, 50 from its front, into its underside: as the face shows them,
    from above, they lie at 100 and 400; as whoever drills them sees them, turned over, at 1660 and 1360."""
    places = "2 by 1; 300 mm apart; 100 mm from left, 50 mm from front"
    work = work_of(document_of(top(f"blind: Blind; 8 mm holes 6 mm deep in upper, bottom; {places}")))
    (found,) = templates_of(work)
    assert (found.says, found.why) == ("1 Skin, from the back", "2 holes in its back")
    assert sorted(at for at, _, _ in found.drawing.holes) == [pytest.approx((1360, 50)), pytest.approx((1660, 50))]
    flat = made_of(work, "upper").flat
    assert flat is not None
    assert sorted(hole.at for hole in flat.holes) == [pytest.approx((100, 50)), pytest.approx((400, 50))]
