"""Texts of the form in which entries are lines: read, written, with their remarks; what is wrong has its line."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.harness.examples import examples
from webapp.costing.design_form.schema import arrange
from webapp.costing.design_lines.lines import settled
from webapp.costing.designs.canonical import document_problems
from webapp.design_text import MOST_SAID, read_text, read_text_lines, write_design_text, write_text
from webapp.paths import CHECKOUT

STARTERS = sorted((CHECKOUT / "seed_data" / "designs").glob("*.yaml"))

TYPED = """\
# A bench for tests
form: 2
design: plain_bench
name: Plain bench
says: "A bench: plain"

# what may be changed
sizes:
  # all along
  #
  length: Length; 900 mm | 36 in; least 24"; most 48"
  #   indented
  depth: Depth: the whole; 600 mm; least 400 mm; most 800 mm
stock:
  leg_stock: Legs; length softwood_4x4  # beside it
parts:
  leg: "Leg; left"; 4 of leg_stock; long 700 mm along z
  foot: {says: Foot, stock: leg_stock, count: 4,
    length: 90 mm}
  rail:
    says: Rail
    count: 2
closes: x length; y depth; z 700 mm
not_included:
  - Clamps
  # really
  - Delivery
# the end
"""

WRITTEN = """\
# A bench for tests
form: 2
design: plain_bench
name: Plain bench
says: "A bench: plain"
# what may be changed
sizes:
  # all along
  #
  length: Length; 900 mm | 36 in; least 24"; most 48"
  #   indented
  depth: "Depth: the whole; 600 mm; least 400 mm; most 800 mm"
stock:
  # beside it
  leg_stock: Legs; length softwood_4x4
parts:
  leg: '"Leg; left"; 4 of leg_stock; long 700 mm along z'
  foot: Foot; 4 of leg_stock; long 90 mm
  rail: Rail; count 2
closes: x length; y depth; z 700 mm
not_included:
  - Clamps
  # really
  - Delivery
# the end
"""


def of_lines(path: Path) -> dict[str, Any]:
    """A starter as a document of the form of lines."""
    document, problems = read_text(path.read_text(encoding="utf-8"))
    assert document is not None, problems
    return {**document, "form": "2"}


def test_a_text_as_typed_is_its_fields_and_its_remarks() -> None:
    document, problems, lines = read_text_lines(TYPED)
    assert problems == ()
    assert document is not None
    assert document["sizes"] == {
        "length": {"says": "Length", "usual": "900 mm | 36 in", "least": '24"', "most": '48"'},
        "depth": {"says": "Depth: the whole", "usual": "600 mm", "least": "400 mm", "most": "800 mm"},
    }
    assert document["parts"] == {
        "leg": {"says": "Leg; left", "count": "4", "stock": "leg_stock", "length": "700 mm", "runs": {"length": "z"}},
        "foot": {"says": "Foot", "stock": "leg_stock", "count": "4", "length": "90 mm"},
        "rail": {"says": "Rail", "count": "2"},
    }
    assert document["closes"] == {"x": "length", "y": "depth", "z": "700 mm"}
    assert document["remarks"] == {
        "form": ["A bench for tests"], "sizes": ["what may be changed"], "sizes.length": ["all along", ""],
        "sizes.depth": ["  indented"], "stock.leg_stock": ["beside it"], "not_included.1": ["really"],
        "": ["the end"],
    }  # fmt: skip
    assert (lines["sizes.length"], lines["parts.foot"], lines["closes"]) == (11, 18, 23)
    assert document_problems(document) == ()


def test_it_is_written_in_lines_and_then_stays_as_it_is() -> None:
    document, _ = read_text(TYPED)
    assert document is not None
    assert write_design_text(document) == WRITTEN
    again, problems = read_text(WRITTEN)
    assert (again, problems) == (document, ())
    assert write_design_text(document) == WRITTEN, "the document was not changed by writing it"


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("begin", ["", "\ufeff"])
def test_ends_of_lines_and_a_mark_at_the_beginning_change_nothing(begin: str, end: str) -> None:
    document, _ = read_text(begin + TYPED.replace("\n", end))
    assert document == read_text(TYPED)[0]


def test_the_form_before_is_read_and_written_as_it_was() -> None:
    text = "form: 1\ndesign: a\nparts:\n  # lost\n  leg: Leg; 4 of leg_stock\n"
    document, _ = read_text(text)
    assert document == {"form": "1", "design": "a", "parts": {"leg": "Leg; 4 of leg_stock"}}
    for path in STARTERS:
        starter, _ = read_text(path.read_text(encoding="utf-8"))
        assert starter is not None
        first = {**starter, "form": "1"}
        assert write_design_text(first) == write_text(arrange(first))


@pytest.mark.parametrize("path", STARTERS, ids=lambda path: path.stem)
def test_each_starter_goes_through_its_text(path: Path) -> None:
    document = of_lines(path)
    kept = copy.deepcopy(document)
    text = write_design_text(document)
    assert document == kept
    again, problems = read_text(text)
    assert problems == ()
    assert again == {
        section: {name: settled(section, each) for name, each in held.items()} if section == "sizes" else held
        for section, held in document.items()
    }
    assert again is not None
    assert write_design_text(again) == text
    assert not [line for line in text.splitlines() if line.startswith("  ") and ": {" in line], "an entry in brackets"


def test_what_is_wrong_has_its_line_its_entry_and_its_clause() -> None:
    wrong = TYPED.replace("long 700 mm", "looong 700 mm").replace("least 400 mm; ", "leest 400 mm; ")
    document, problems = read_text(wrong)
    assert document is None
    assert [(problem.field, problem.message) for problem in problems] == [
        ("sizes.depth", "Line 13: the size depth: 'leest 400 mm' is no clause; did you mean 'least'?"),
        ("parts.leg", "Line 17: the part leg: 'looong 700 mm along z' is no clause; did you mean 'long'?"),
    ]


@pytest.mark.parametrize(
    "text",
    [
        "form: 2\nparts:\n" + "".join(f"  a{number}: Leg; b; c; d; e\n" for number in range(8000)),
        "form: 2\nparts:\n  a: " + "x; " * 10_000,
        "form: 2\nparts:\n  a: " + '"a; ' * 10_000,
        "form: 2\nparts:\n  a: b: " + '"a; ' * 10_000,
        "form: 2\nmusts:\n  a: " + ";" * 60_000,
        "form: 2\nparts:\n" + '  a: "b: c\n' * 9_000,
    ],
)
def test_hostile_texts_end_with_some_sentences(text: str) -> None:
    document, problems = read_text(text)
    assert document is None
    assert 0 < len(problems) <= MOST_SAID + 1 or "written twice" in problems[0].message
    assert all(problem.message.startswith("Line ") for problem in problems)


def test_ten_thousand_remarks_are_kept() -> None:
    document, problems = read_text("form: 2\n" + "# a #\n" * 10_000 + "design: a\n")
    assert problems == ()
    assert document == {"form": "2", "design": "a", "remarks": {"design": ["a #"] * 10_000}}


WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12) | st.sampled_from(
    ["Leg; left", "a: b", "x # y", '"', "'", "4 of leg", "long 3 along x", "- a", "[a]", "{a}", "", " a ", "a:", "\n"]
)
ENTRY = st.dictionaries(
    st.sampled_from(["says", "count", "stock", "length", "runs", "at", "when", "foot"]),
    WORDS | st.lists(WORDS, max_size=2) | st.dictionaries(st.sampled_from(["x", "length"]) | WORDS, WORDS, max_size=2),
    max_size=5,
)
NAMES = st.sampled_from(["leg", "rail"]) | WORDS
REMARK = st.text(st.characters(categories=["L", "N", "P", "Zs"]), max_size=9).map(lambda text: f"a{text}".rstrip())


@given(
    st.fixed_dictionaries(
        {"form": st.just("2")},
        optional={
            "name": WORDS,
            "parts": st.dictionaries(NAMES, ENTRY, max_size=3),
            "values": st.dictionaries(NAMES, WORDS | st.dictionaries(NAMES, WORDS, max_size=2), max_size=3),
            "musts": st.dictionaries(NAMES, st.dictionaries(st.sampled_from(["that", "says"]), WORDS), max_size=2),
            "closes": st.dictionaries(st.sampled_from("xyz"), WORDS),
            "not_included": st.lists(WORDS, max_size=3),
        },
    ),
    st.data(),
)
@examples(400)
def test_any_document_of_the_form_comes_back_with_its_remarks(document: dict[str, Any], data: st.DataObject) -> None:
    paths = [
        "", *document, *(f"parts.{name}" for name in document.get("parts", {})),
        *(f"not_included.{number}" for number in range(len(document.get("not_included", [])))),
    ]  # fmt: skip
    remarks = data.draw(st.dictionaries(st.sampled_from(paths), st.lists(REMARK, min_size=1, max_size=3), max_size=3))
    whole = {**document, **({"remarks": remarks} if remarks else {})}
    again, problems = read_text(write_design_text(whole))
    assert problems == ()
    assert again == whole
    assert list(arrange(again)) == list(arrange(whole))
