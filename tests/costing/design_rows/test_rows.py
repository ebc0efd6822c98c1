"""The rows of a design: every word that may change is a field, and what is typed in it comes back; names are words.

Expected sentences and fields are read off the texts by hand.
"""

from __future__ import annotations

import pytest

from webapp.costing.design_rows.edits import (
    RowError,
    add_entry,
    call_anew,
    free_name,
    name_of,
    take_out,
    type_line,
    type_remark,
    type_word,
)
from webapp.costing.design_rows.rows import FieldOfRow, row_of, rows_of
from webapp.costing.design_rows.taken import take_over
from webapp.costing.errors import CostingError
from webapp.design_text import read_text

TEXT = """\
form: 2
design: stand
name: Stand
says: A stand.
sizes:
  width: Width; 900 mm; least 600 mm; most 1200 mm
stock:
  long_board: Boards; sheet birch_plywood_18
values: {inner: width - 36 mm}
parts:
  # as the last one
  side: Side; 2 of long_board; long 700 mm along z; wide 300 mm along y; x left and right
  shelf: Shelf; of long_board; long inner along x; wide side.width along y; z 100 mm
closes: x width; y 300 mm; z 700 mm
joints:
  held: Shelf into the sides; shelf into side; with screw; every 100 mm; glue
musts: {low: width <= 1000 mm; Too wide by far.}
scope: A stand.
"""


def _document() -> dict[str, object]:
    document, problems = read_text(TEXT)
    assert document is not None, problems
    return document


def _said(document: dict[str, object], section: str, name: str) -> str:
    pieces = row_of(document, section, name, {}).pieces
    return "".join(f"[{one.text}]" if isinstance(one, FieldOfRow) else one for one in pieces)


def test_a_row_is_a_sentence_whose_words_are_fields() -> None:
    document = _document()
    assert _said(document, "parts", "side") == (
        "[Side]: [2] of them, cut from [long board], [700 mm] long, [z], [300 mm] wide [y], from left to right: "
        "[left and right]."
    )
    assert _said(document, "sizes", "width") == "[Width]: [900 mm] as a rule, from [600 mm] to [1200 mm]."
    assert _said(document, "values", "inner") == "Inner is [width - 36 mm]."
    assert _said(document, "closes", "") == (
        "The whole is [width] from left to right, [300 mm] from front to back and [700 mm] in height."
    )
    assert _said(document, "musts", "low") == "[width <= 1000 mm]; or else a failure: [Too wide by far.]"


def test_rows_stand_in_their_lists_with_their_remarks() -> None:
    lists = rows_of(_document(), {})
    assert [row.name for row in lists["Parts"]] == ["side", "shelf"]
    assert lists["Parts"][0].remarks == ("as the last one",)
    assert [row.path for row in lists["Places"]] == ["values.inner", "closes"]


@pytest.mark.parametrize(
    ("section", "name", "slot", "typed", "held"),
    [
        ("parts", "side", "stock", "other board", {"stock": "other_board"}),
        ("parts", "side", "at.x", "width - 18 mm", {"at": {"x": "width - 18 mm"}}),
        ("parts", "side", "length", "", {}),
        ("joints", "held", "into", "side, far side", {"into": ["side", "far_side"]}),
        ("sizes", "width", "usual", "900 mm | 36 in", {"usual": "900 mm | 36 in"}),
    ],
)
def test_a_word_is_typed_anew(section: str, name: str, slot: str, typed: str, held: dict[str, object]) -> None:
    document = type_word(_document(), section, name, slot, typed)
    entry = document[section][name]
    field = slot.partition(".")[0]
    assert {key: each for key, each in entry.items() if key == field} == held
    fields = {one.slot: one.text for one in row_of(document, section, name, {}).pieces if isinstance(one, FieldOfRow)}
    assert fields.get(slot, "") == typed


def test_what_cannot_be_read_is_said_at_its_word() -> None:
    with pytest.raises(RowError, match="needs a name, and has 'long-board'") as refused:
        type_word(_document(), "parts", "side", "stock", "long-board")
    assert (refused.value.path, refused.value.slot) == ("parts.side", "stock")
    with pytest.raises(RowError, match="'glued everywhere' is no clause"):
        type_line(_document(), "joints", "held", "Held; shelf into side; glued everywhere")
    with pytest.raises(RowError, match="is not there any more"):
        type_word(_document(), "parts", "gone", "length", "1 mm")


def test_names_are_free_and_follow() -> None:
    document = _document()
    assert name_of("Lipping, long (2nd)") == "lipping_long_2nd"
    assert name_of("12") == ""
    assert free_name(document, "parts", "side") == "side_2"
    with pytest.raises(RowError, match="There is a part called 'side' already"):
        add_entry(document, "parts", "side", {})
    called = call_anew(document, "parts", "side", "end board")
    assert called["parts"]["shelf"]["width"] == "end_board.width"
    assert called["joints"]["held"]["into"] == "end_board"
    assert called["remarks"] == {"parts.end_board": ["as the last one"]}
    with pytest.raises(CostingError, match="already"):
        call_anew(document, "parts", "side", "shelf")


def test_a_row_goes_with_its_remark_and_an_empty_list_with_its_last_row() -> None:
    document = take_out(_document(), "parts", "side")
    assert "remarks" not in document
    assert list(document["parts"]) == ["shelf"]
    assert "joints" not in take_out(_document(), "joints", "held")
    assert type_remark(_document(), "parts", "side", "  ") == {
        key: each for key, each in _document().items() if key != "remarks"
    }


def test_a_row_of_another_design_brings_what_it_leans_on() -> None:
    source = _document()
    own = {"form": "2", "design": "other", "sizes": {"width": {"says": "Width", "usual": "500 mm"}}}
    taken, along = take_over(own, source, "parts", "shelf")
    # Its length is the value 'inner', by a size that this one has; its width names a part, which stays there.
    assert along == ("stock.long_board", "values.inner")
    assert taken["sizes"] == own["sizes"]
    assert taken["values"] == {"inner": "width - 36 mm"}
    assert list(taken["parts"]) == ["shelf"]
    again, along = take_over(taken, source, "parts", "shelf")
    assert (list(again["parts"]), along) == (["shelf", "shelf_2"], ())
    with pytest.raises(RowError, match="There is no row 'gone' in that design"):
        take_over(own, source, "parts", "gone")


def test_a_use_says_that_it_keeps_its_name() -> None:
    document = {**_document(), "uses": {"base": {"design": "toe_base"}}}
    with pytest.raises(CostingError, match="'base' keeps its name, which is part of the names of all that is in it"):
        call_anew(document, "uses", "base", "plinth")
