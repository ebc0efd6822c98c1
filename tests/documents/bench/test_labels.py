"""Labels of pieces: where each goes and what is next, in words by hand; all of it in its sticker."""

from __future__ import annotations

import pytest

from tests.costing.short_form.rack import RACK
from tests.documents.bench.bench_case import MM, document_of, made_of, starters, work_of
from tests.documents.paper_case import text_of
from webapp.costing.takeoff.model import Box
from webapp.documents.bench.labels import SHEETS, USUAL, bench_labels, has_room
from webapp.documents.bench.next_step import next_step
from webapp.documents.bench.place_words import places_in_words
from webapp.documents.printing.pdf import make_pdf
from webapp.documents.workshop.part_code import check_character
from webapp.documents.workshop.stickers import USUAL as OFFCUTS
from webapp.documents.workshop.stickers import StickerLabel, faults_of, sticker_paper
from webapp.persistence.settings.shop import Paper


def boxes(*corners: tuple[int, int, int], extent: tuple[int, int, int] = (18, 300, 18)) -> tuple[Box, ...]:
    x, y, z = extent
    return tuple(
        Box("part", number, (a * MM, b * MM, c * MM), (x * MM, y * MM, z * MM))
        for number, (a, b, c) in enumerate(corners, 1)
    )  # fmt: skip


WHOLE = boxes((0, 0, 0), extent=(1000, 600, 900))


@pytest.mark.parametrize(
    ("corners", "words"),
    [
        ([(0, 0, 0), (800, 0, 0)], ["left", "right"]),
        ([(0, 0, 0), (0, 0, 400), (0, 0, 800)], ["bottom", "in the middle", "top"]),
        ([(0, 0, 100), (800, 0, 100), (0, 0, 300), (800, 0, 300), (0, 0, 500), (800, 0, 500), (0, 0, 700),
          (800, 0, 700)],
         ["left, bottom", "right, bottom", "left, second from the floor", "right, second from the floor",
          "left, third from the floor", "right, third from the floor", "left, top", "right, top"]),
        ([(0, 0, 0), (200, 0, 0), (400, 0, 0), (600, 0, 0)],
         ["first from the left", "second from the left", "third from the left", "fourth from the left"]),
        ([(0, 0, 0), (0, 300, 0)], ["front", "back"]),
        # What is less than a millimetre off stands in one place.
        ([(0, 0, 0), (800, 0, 0), (0, 300, 0)], ["left, front", "right, front", "left, back"]),
    ],
)  # fmt: skip
def test_places_are_told_among_the_pieces_of_a_part(corners: list[tuple[int, int, int]], words: list[str]) -> None:
    assert list(places_in_words(boxes(*corners), WHOLE).values()) == words


def test_a_single_piece_is_told_by_where_it_stands_in_the_whole() -> None:
    assert places_in_words(boxes((20, 150, 850)), WHOLE) == {1: "left, top"}
    assert places_in_words(boxes((490, 150, 0)), WHOLE) == {1: "bottom"}
    # What reaches over most of the whole stands everywhere.
    assert places_in_words(boxes((0, 0, 860), extent=(1000, 600, 40)), WHOLE) == {1: "top"}
    # A piece of several boxes, as one that is folded, is one.
    two = tuple(Box("part", 1, (0, 0, z * MM), (100 * MM, 100 * MM, 10 * MM)) for z in (0, 90))
    assert places_in_words(two, WHOLE) == {1: "left, front, bottom"}


def step_of(design: str, part: str) -> str:
    one = made_of(work_of(design), part)
    return next_step(one.item.take_off, one.part)


def test_the_next_step_is_the_first_that_works_on_the_part_once_it_is_cut() -> None:
    # Drawer fronts get edge band first; what has neither band nor holes is joined next.
    assert step_of("bench_cabinet", "side") == "Band edges"
    assert step_of("wedging_table", "bearer").endswith(": Bearers onto the worktop")
    assert "Glue up" in step_of("wedging_table", "worktop")
    assert step_of("tube_frame_bench", "leg").startswith("Fit and tack")
    # A screw through steel rails goes up into the top: the rails are drilled, the top is not.
    assert step_of("tool_cart", "frame_long_rail") == "Drill steel: Long rails up into the top"
    assert "Drill steel" not in step_of("tool_cart", "top")


def test_a_label_says_all_of_a_piece_and_its_code_has_its_check_character() -> None:
    work = work_of(document_of(RACK), 2)
    labels = bench_labels(work, SHEETS["a4-24"][1])
    # Two racks: two sides each, a bottom and a shelf.
    assert len(labels) == 8
    sides = [label for label in labels if label.size == "1 Side"]
    assert [label.head.partition("   ")[2] for label in sides] == [f"{piece} of 4" for piece in (1, 2, 3, 4)]
    assert [label.lines[1] for label in sides] == [
        "Bench 1 of 2: left", "Bench 1 of 2: right", "Bench 2 of 2: left", "Bench 2 of 2: right",
    ]  # fmt: skip
    assert sides[0].lines[0].startswith("800 × 300 × 17.8 mm, Birch")
    assert sides[0].lines[2].startswith("Next: ")
    assert sides[0].lines[3] == "Job 7, A trial"
    for label in labels:
        said = label.head.partition("   ")[0]
        job, number, piece, check = said.split("-")
        assert check == check_character(job + number + piece)
        assert f'alt="The code {said}" src="data:image/png;base64,' in label.code
    assert len({label.head for label in labels}) == len(labels)


def test_the_sheets_are_sheets_that_can_be_and_have_room() -> None:
    assert set(USUAL) == {sheet.paper for _, sheet in SHEETS.values()} == {"A4", "Letter"}
    for words, sheet in SHEETS.values():
        assert faults_of(sheet, "metric") == {}
        assert has_room(sheet)
        assert f"{sheet.on_one} on {sheet.paper}" in words
    # The inch-high ones that offcuts go on have no room for six lines.
    assert not has_room(OFFCUTS["Letter"])


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_all_labels_of_the_largest_starters_are_printed_whole(paper: Paper) -> None:
    """The words come back from the PDF, each label's."""
    sheet = SHEETS[USUAL[paper]][1]
    for name in sorted(starters()):
        for one in bench_labels(work_of(name, system="inch" if paper == "Letter" else "metric"), sheet):
            assert fits(one, sheet.width / MM, sheet.height / MM), (name, one)
    labels = bench_labels(work_of("tool_cart"), sheet)[:4]
    said = text_of(make_pdf(sticker_paper("Labels", "Shop", "2026-11-02", labels, sheet, 1)))
    for label in labels:
        assert label.size in said
        assert " ".join(label.head.split()) in said
        assert label.lines[-1] in said


def fits(label: StickerLabel, wide: float, tall: float) -> bool:
    """Whether a label's words have room: a letter of 7.5 points is 1.35 mm wide on the mean, of 11 points 2; lines are
    3.2 mm and 4.5 mm high; the code stands beside the first 17 mm."""
    room, beside = wide - 4, wide - 4 - 17
    down = 4.5 * -(-len(label.size) * 2 // beside)
    for line in (label.head, *label.lines):
        down += 3.2 * -(-len(line) * 1.35 // (beside if down < 17 else room))
    return down <= tall - 4
