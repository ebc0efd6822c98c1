"""Any text is read without an error: entries, a question or a sentence; and the words that complete it likewise."""

from __future__ import annotations

from hypothesis import example, given
from hypothesis import strategies as st

from tests.costing.few_words.bench import LINES, bench, read
from tests.costing.few_words.test_lines import OTHERS, PARTS
from tests.harness.examples import examples
from tests.harness.made import known, made
from webapp.costing.design_lines.read_aloud import read_aloud
from webapp.costing.few_words.complete import MOST_OFFERED, offers
from webapp.costing.few_words.read import LONGEST, read_few_words
from webapp.costing.few_words.reading import Reading

REAL = [*LINES, *(line for line, _ in PARTS), *(line for line, _, _ in OTHERS)]
WORDS = sorted({word for line in REAL for word in line.replace(",", " , ").split()})
#: What is hard on a reader of words: brackets, quotation marks, and a row of what joins others.
HOSTILE = [
    "(",
    ")",
    "[",
    "]",
    "{",
    "}",
    '"',
    "'",
    ";",
    ":",
    "|",
    "=",
    "<=",
    "\\",
    "x",
    "9" * 40,
    "1/0",
    "tan(",
    "½",
    "é",
    "ı",
    "uprıght",
]
SAID = st.lists(st.sampled_from([*WORDS, *HOSTILE]), max_size=30).map(" ".join)


@st.composite
def cut_short(draw: st.DrawFn) -> str:
    """A real line, with a piece of it taken from its middle or its end."""
    line = draw(st.sampled_from(REAL))
    begin = draw(st.integers(0, len(line)))
    return line[:begin] + line[draw(st.integers(begin, len(line))) :]


def says_something(reading: Reading) -> bool:
    """Whether it is one of the three: entries, a question that has answers, or sentences."""
    if reading.question is not None:
        return bool(reading.question.answers) and not reading.entries
    return bool(reading.entries) or any(reading.problems)


@given(st.one_of(st.text(max_size=80), SAID, cut_short()))
@example("x " * (LONGEST // 2))
@example("of of of")
@example("frame: " + "between " * 249)
@example("shelf of birch plywood 18, " + "a, " * 640)
@example("legs into rails, " + "and " * 490)
@example("a = " + "(" * 1900)
@example("at th: at th between side")
@example("legs of softwood 2x4, uprıght")
@example("shelf of birch plywood 18, left and rıght")
@example("shelf of birch plywood 18, behınd the legs")
@example("shelf of birch plywood 18, 20 from the rıght")
@example("lift top = eıght")
@example("lıppıng into top, glued")
@examples(400)
def test_any_text_is_read_without_an_error(text: str) -> None:
    assert says_something(read(text))


@given(st.one_of(SAID, cut_short()))
@examples(60)
def test_what_completes_any_text_is_a_longer_line(text: str) -> None:
    found = offers(text, known(bench()))
    assert len(found) <= MOST_OFFERED
    assert len({one.line.casefold() for one in found}) == len(found)
    assert all(one.words and one.line != text.strip() for one in found)


@given(cut_short())
@examples(100)
def test_whatever_is_read_is_read_aloud(text: str) -> None:
    """Every entry can be said in a sentence."""
    document = dict(made("tool_cart").document)
    reading = read_few_words(text, known(document))
    for entry in reading.entries:
        if entry.section == "closes":
            continue
        aloud = dict(read_aloud({entry.section: {entry.name: entry.fields}}))
        (sentence,) = aloud[entry.section.replace("_", " ").capitalize()]
        assert sentence.endswith((".", "!", "?", "”", "}")) or entry.section == "musts"
