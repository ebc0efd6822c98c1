"""The course of a sweep: what it comes to does not depend on who did which piece, and it goes on from what is kept."""

from __future__ import annotations

import json
from functools import cache
from random import Random

from tests.costing.sweep.stool_case import BLOCK, STAY, stool
from webapp.costing.sweep.course import CASE, FAULT, Course, Worker
from webapp.costing.sweep.result import SweepResult, read_result, write_result


@cache
def worker() -> Worker:
    """Who knows what it was asked before, so that a second course costs little."""
    return Worker(stool("metric"))


@cache
def swept() -> SweepResult:
    """The stool swept from beginning to end, in order."""
    course = Course(worker().subject, worker().cases)
    while left := course.left():
        for piece in left:
            course.take(piece, worker().do(piece))
    return course.result()


def test_a_fault_is_told_once_however_often_it_shows() -> None:
    result = swept()
    kinds = [one.kind for one in result.faults]
    assert len(kinds) == len(set(kinds))
    assert {BLOCK, STAY} <= set(kinds)
    (block,) = [one for one in result.faults if one.kind == BLOCK]
    assert block.cases > 20
    assert block.shrunk
    # What shows with the usual materials stands before what other materials bring in.
    assert [bool(one.case.materials) for one in result.faults] == sorted(
        bool(one.case.materials) for one in result.faults
    )
    assert result.cases == 507
    assert [one.kind for one in result.refusals] == ["must/not_too_high"]
    assert result.refused == result.refusals[0].cases > 50
    assert result.faulty + result.refused <= result.cases
    assert [one.name for one in result.ranges] == ["width", "depth", "height"]
    assert all(kind in result.sentences for one in result.ranges for span in one.spans for kind in span.kinds)


def test_it_goes_on_from_what_was_kept_and_comes_to_the_same() -> None:
    chance = Random(3)
    course = Course(worker().subject, worker().cases)
    while left := course.left():
        # Somebody does a few of what is left, in any order, and is killed then: the next reads what was kept.
        for piece in chance.sample(left, min(len(left), 90)):
            course.take(piece, worker().do(piece))
        course = Course(worker().subject, worker().cases, json.loads(json.dumps(course.done)))
    assert course.judged == 507
    assert course.result() == swept()


def test_kinds_of_faults_are_looked_into_once_all_cases_are_judged() -> None:
    course = Course(worker().subject, worker().cases)
    *first, last = course.left()
    assert {piece.sort for piece in (*first, last)} == {CASE, "range"}
    for piece in first:
        course.take(piece, worker().do(piece))
    assert course.left() == [last]
    course.take(last, worker().do(last))
    assert {piece.sort for piece in course.left()} == {FAULT}


def test_a_result_is_read_back_as_it_was_written() -> None:
    assert read_result(json.loads(json.dumps(write_result(swept())))) == swept()
