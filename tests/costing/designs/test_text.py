"""Forms as text: every value is text, what hides something is refused with its line, and writing reads back."""

from __future__ import annotations

import pytest

from tests.design_form_case import WALL_CABINET
from webapp.costing.design_form.schema import arrange
from webapp.design_text import read_text, read_text_lines, write_design_text, write_text


def test_every_value_is_text() -> None:
    document, problems = read_text(
        "a: 1\nb: 1.50\nc: yes\nd: null\ne: 2026-11-01\nf: 0x10\ng:\nh: [1, true]\ni: 12:30\nj: 'x'\nk: ~\n1: 2"
    )
    assert not problems
    assert document == {
        "a": "1", "b": "1.50", "c": "yes", "d": "null", "e": "2026-11-01", "f": "0x10", "g": "", "h": ["1", "true"],
        "i": "12:30", "j": "x", "k": "~", "1": "2",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "field", "said"),
    [
        ("", "", "The text is empty."),
        ("# nothing\n", "", "The text is empty."),
        ("just words", "", "Line 1: the text has to start with a name and a colon."),
        ("- a\n- b", "", "Line 1: the text has to start with a name and a colon, not with a list."),
        ("a: 1\nb: !!python/object:os.system x", "b", "Line 2: the tag"),
        ("a: 1\nb: !!str x", "b", "Line 2: the tag"),
        ("a: ! x", "a", "Line 1: the tag '!'"),
        ("a: &mark 1\nb: 2", "a", "Line 1: '&mark' marks something"),
        ("a: &mark {x: 1}\nb: *mark", "a", "Line 1: '&mark' marks something"),
        ("b: *mark", "b", "Line 1: '*mark' stands for something"),
        ("a: 1\nb: 2\na: 3", "a", "Line 3: 'a' is written twice; the first stands on line 1."),
        ("a: {x: 1, y: 2, x: 3}", "a.x", "Line 1: 'x' is written twice"),
        ("a: [{x: 1}, {x: 1,\n x: 3}]", "a.1.x", "Line 2: 'x' is written twice"),
        ("a: 1\n---\nb: 2", "", "Line 2: a line of three dashes"),
        ("%YAML 1.1\n---\na: 1", "", "a line of three dashes or a directive"),
        ("a:\n  b: [1, 2\nc: 3", "", "look for a missing colon, comma or bracket"),
        ("a: {b: 1", "", "look for a missing colon, comma or bracket"),
        ("a: b: c", "", "Line 1 can't be read"),
        ("a: 1\n\tb: 2", "", "can't be read"),
        ("? [x, y]\n: 1", "", "Line 1: a name has to be plain text"),
        ("{a: 1}: 2", "", "Line 1: a name has to be plain text"),
        ("a: \x07", "", "signs that can't be printed"),
        (
            "a: " + "[" * 13 + "]" * 13,
            "a.0.0.0.0.0.0.0.0.0.0.0",
            "Line 1: the text is nested more than 12 levels deep.",
        ),
        ("a: [" + "1, " * 20001 + "]", "a.19997", "the text holds more than 20000 entries"),
        ("a: " + "x" * 262144, "", "The text is longer than 256 kB."),
    ],
)
def test_what_cannot_be_read_is_said_with_its_line(text: str, field: str, said: str) -> None:
    document, problems = read_text(text)
    assert document is None
    assert any(said in problem.message for problem in problems), problems
    assert not field or problems[0].field == field


def test_hostile_texts_end_at_once() -> None:
    for text in (
        "[" * 60_000,
        "{a: " * 15_000,
        "a: " + "{" * 60_000,
        "- " * 30_000,
        "a" * 60_000,
        "? " * 30_000,
        '"' + "\\" * 60_000,
    ):
        document, problems = read_text(text)
        assert document is None
        assert problems


def test_each_entry_of_a_text_is_known_by_its_line() -> None:
    text = WALL_CABINET.read_text(encoding="utf-8")
    _, _, lines = read_text_lines(text)
    number = next(number for number, line in enumerate(text.splitlines(), 1) if line.startswith("  door:"))
    assert lines["parts.door"] == number
    assert read_text_lines("form: 1\nparts:\n  side: {says: Side}\n")[2]["parts.side"] == 3


def test_the_wall_cabinet_is_written_as_it_stands() -> None:
    text = WALL_CABINET.read_text(encoding="utf-8")
    document, _ = read_text(text)
    assert document is not None
    assert write_text(document) == text
    again, problems = read_text(write_design_text(document))
    assert not problems
    assert again == document


def test_a_design_is_written_in_the_order_of_the_form() -> None:
    document, _ = read_text(WALL_CABINET.read_text(encoding="utf-8"))
    assert document is not None
    turned = {key: document[key] for key in sorted(document, reverse=True)}
    assert write_design_text(turned) == write_design_text(document)
    assert list(arrange(turned))[:5] == ["form", "design", "name", "says", "sizes"]


@pytest.mark.parametrize(
    "value",
    [
        "", " ", "-", "- a", "a: b", "a #b", "#a", "'a'", '"', "a, b", "[a]", "{a}", "*a", "&a", "!a", "?", "? a", "|",
        ">", "%a", "@a", "`a`", "---", "...", "a\nb", "a\tb", "\\", "a\\n", "ünïcode ½ ×", "\u2028", "\ufeff", "\x85",
        "\x00", "\N{GRINNING FACE}", " a", "a ", "a:", ":a", "<<", "=", "~", "a  b", "least(a, b)",
        "{width} wide", ".5", ".", "1.", "a\r\nb",
    ],
)  # fmt: skip
def test_any_value_reads_back(value: str) -> None:
    document = {
        "plain": value,
        "listed": [value, value],
        "deep": {"one": {"two": value}, value: [{value: value}]},
        value: "x",
    }
    again, problems = read_text(write_text(document))
    assert not problems
    assert again == document
