"""Lines that can be read in several ways, half typed ones, and what is said of them."""

from __future__ import annotations

import pytest

from tests.costing.few_words.bench import bench, read
from tests.harness.made import known
from webapp.costing.few_words.read import LONGEST, read_few_words
from webapp.costing.measures.manner import Manner, writing_as

#: A line, and the complete lines that answer the question about it.
ASKED: list[tuple[str, list[str]]] = [
    ("lid of birch plywood, 300 x 200",
     ["lid of birch plywood 24, 300 x 200"]),
    ("lid of maple 20, 300 x 200", ["lid of sugar maple 20, 300 x 200", "lid of red maple 20, 300 x 200"]),
    ("4 castors, 155 high",
     ["4 castor 100, 155 high", "4 castor 125, 155 high", "4 castor fixed 100, 155 high", "4 castor stem 100, 155 high",
      "4 castor 75, 155 high"]),
    ("legs into rails, dowels every 40",
     ["legs into rails, dowel 10 50 every 40", "legs into rails, stop dowel 20 120 every 40",
      "legs into rails, dowel 8 40 every 40"]),
    ("opening 100 x 50, in the panels", ["opening 100 x 50, in the front panel", "opening 100 x 50, in the end panel"]),
]  # fmt: skip
#: A line that is not whole yet, and what its sentence says.
HALF: list[tuple[str, str]] = [
    ("", "Type a part, a size or what is fitted"),
    ("shelf of", "Of what? birch plywood 24"),
    ("shelf of birch plywood 18", "How long is the shelf?"),
    ("shelf of birch plywood 18, 600 long", "How wide is the shelf?"),
    ("board of sugar maple, 600 x 200", "How thick is the board?"),
    ("shelf of brich plywood 18", "did you mean “birch”"),
    ("shelf of birch plywood 18, between the posts", "No part is called “posts”"),
    ("shelf of birch plywood 18, between the lgs", "did you mean “leg”?"),
    ("shelf of birch plywood 18, wdth long", "“wdth long” says nothing of the shelf"),
    ("lid of birch plywood 18, 300 x 200, banana", "“banana” says nothing of the lid"),
    ("length 900", "There is a size “length” already"),
    ("lift = 20", "“lift” is a name already"),
    ("base: round or square", "“base” is a name already"),
    ("shape: round or", "can't be read yet"),
    ("rails into legs", "What holds the rails?"),
    ("rails into legs, screws 4 x 50", "How far apart are they?"),
    ("rails into posts, glued", "No part is called “posts”"),
    ("2 coats of oil", "2 coats on what?"),
    ("2 coats", "coats of what"),
    ("oil on the top", "How many coats? Type as '2 coats of oil on the top'."),
    ("oak top 40", "say what it is of"),
    ("shelves of birch plywood 18, between the sides, evenly", "How many are to stand evenly?"),
    ("120 kg", "on what does it stand?"),
    ("120 kg on the tray", "No part is called “tray”"),
    ("opening", "how large is it?"),
    ("opening 300", "How large is the opening?"),
    ("plate 300 x 200", "How large is the plate, and how thick?"),
    ("holes", "how wide are the holes"),
    ("must", "what has to hold?"),
    ("must it be good", "is no rule"),
    ("width", "how much?"),
    ("leg", "There is a leg already"),
    ("rails drawn", "which way?"),
    ("welded frame 900 x 600 x 700, purple", "“purple” says nothing of the welded frame"),
    ("drawer box 500 x 450 x 100 x 20", "has 3 sizes: width, depth, height"),
    ("cat's cradle", "can't be read yet"),
    ("joints nowhere: a into b; frob", "The joint nowhere: 'frob' is no clause"),
]  # fmt: skip


@pytest.mark.parametrize(("line", "answers"), ASKED)
def test_a_line_that_can_be_read_in_several_ways_is_asked_about(line: str, answers: list[str]) -> None:
    document = {**bench(), "parts": {**bench()["parts"], **{
        name: {"stock": "birch_plywood", "length": "500 mm", "width": "300 mm", "runs": {"length": "x", "width": "z"}}
        for name in ("front_panel", "end_panel")
    }}}  # fmt: skip
    reading = read_few_words(line, known(document))
    if len(answers) == 1:
        # Of several thicknesses the one that the design has already is meant.
        assert (reading.entries, reading.question) == (read_few_words(answers[0], known(document)).entries, None)
        return
    assert reading.question is not None
    assert (reading.entries, reading.problems) == ((), ())
    assert [one.line for one in reading.question.answers] == answers
    assert reading.question.words.endswith("?")


@pytest.mark.parametrize("line", [line for line, answers in ASKED if len(answers) > 1][:3])
def test_each_answer_is_a_line_that_is_read(line: str) -> None:
    reading = read(line)
    assert reading.question is not None
    for answer in reading.question.answers:
        told = read(answer.line)
        assert told.entries, (answer, told)


def test_a_line_that_fits_two_sections_is_asked_about() -> None:
    reading = read("shelf: top; load 40 kg")
    assert [one.section for one in reading.entries] == ["spans"]
    reading = read("more: 4 of castor_stock; when castors")
    assert reading.entries == ()


@pytest.mark.parametrize(("line", "said"), HALF)
def test_what_is_half_typed_says_what_comes_next(line: str, said: str) -> None:
    reading = read(line)
    assert (reading.entries, reading.question) == ((), None)
    assert len(reading.problems) == 1
    assert said in reading.problems[0]


def test_a_line_too_long_is_not_read() -> None:
    assert read("shelf of " + "very " * 400).problems == (f"The line has 2009 characters; {LONGEST} are read at most.",)


def test_both_sets_of_trade_words_are_read_and_the_shops_is_said() -> None:
    with writing_as(Manner(words="American")):
        assert "rabbet 10 x 6" in read("rebate").problems[0]
        assert read("casters 125 under each leg, 155 high").entries[-1].section == "hardware"
        assert read("post of softwood 4x4, 600 long upright").entries[-1].section == "parts"
    assert "rebate 10 x 6" in read("rabbet").problems[0]
