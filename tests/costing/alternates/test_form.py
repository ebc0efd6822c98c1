"""Another way of a job: what it says, the job's form with it, and the way made the job's own and back."""

from __future__ import annotations

import copy
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from webapp.costing.alternates.form import (
    free_key,
    in_other_way,
    made_own,
    told_as_other_way,
    with_version,
    with_way,
    without_way,
)
from webapp.costing.design_changes.rename import rename
from webapp.costing.jobs.reader import read_job
from webapp.seed import load_designs

TRESTLE: dict[str, Any] = copy.deepcopy(dict(next(one for one in load_designs() if one["design"] == "trestle_bench")))
JOB: dict[str, Any] = {
    "form": "1", "job": "A bench",
    "items": [
        {"id": "bench", "design": "trestle_bench", "version": "1", "quantity": "2", "sizes": {"length": "1800 mm"}},
        {"id": "second", "design": "trestle_bench", "quantity": "1"},
    ],
    "lines": [{"id": "line", "kind": "service", "says": "Sand it", "each": "20"}],
}  # fmt: skip
SOFT = {
    "id": "way_1", "name": "Softwood top", "on_quote": "yes",
    "items": {"bench": {"choices": {"top": "softwood_top"}, "sizes": {"width": "700 mm"}}},
}  # fmt: skip


def test_a_way_changes_what_it_says_and_leaves_the_rest() -> None:
    form = in_other_way(with_way(JOB, SOFT), SOFT)
    assert form == {
        **JOB,
        "items": [
            {**JOB["items"][0], "choices": {"top": "softwood_top"}, "sizes": {"length": "1800 mm", "width": "700 mm"}},
            JOB["items"][1],
        ],
    }


def test_a_way_follows_what_it_does_not_change() -> None:
    longer = {**JOB, "items": [{**JOB["items"][0], "sizes": {"length": "2000 mm"}}, JOB["items"][1]]}
    assert in_other_way(longer, SOFT)["items"][0]["sizes"] == {"length": "2000 mm", "width": "700 mm"}


def test_a_way_made_own_is_put_back_by_the_same_press() -> None:
    job = with_way(JOB, SOFT)
    own = made_own(job, "way_1")
    assert own["items"] == in_other_way(job, SOFT)["items"]
    assert [one["name"] for one in own["alternates"]] == ["As before: Softwood top"]
    again = made_own(own, "way_1")
    assert again["items"] == job["items"]
    assert again["alternates"][0]["name"] == "Softwood top"
    assert again["alternates"][0]["items"] == SOFT["items"]


def test_a_way_without_an_item_without_a_line_and_put_up_on_site() -> None:
    bare = {
        "id": "way_1", "name": "One bench, put up", "items": {"second": {"quantity": "0"}},
        "lines": {"line": {"quantity": "0"}}, "install": "yes",
    }  # fmt: skip
    job, problems = read_job(in_other_way(with_way(JOB, bare), bare), "metric")
    assert [(one.id, one.quantity) for one in job.items] == [("bench", 2), ("second", 0)]
    assert (job.lines, job.install) == ((), True)
    (said,) = problems
    assert (said.field, said.severity) == ("lines.line.quantity", "warning")
    assert said.message == "“Sand it” is left out: how many there are of it is 0."
    own = made_own(with_way(JOB, bare), "way_1")
    assert read_job(own, "metric")[0].install
    again = made_own(own, "way_1")
    assert read_job(again, "metric")[0].lines == read_job(JOB, "metric")[0].lines
    assert not read_job(again, "metric")[0].install
    assert {one["id"]: one.get("quantity", "1") for one in again["items"]} == {"bench": "2", "second": "1"}


def test_what_a_way_says_of_lines_and_of_work_on_site_is_told_where_it_is_otherwise() -> None:
    typed = copy.deepcopy(JOB)
    typed["lines"][0]["quantity"] = "1"
    typed["install"] = "no"
    designs = {"bench": TRESTLE, "second": TRESTLE}
    assert told_as_other_way(JOB, typed, designs, "metric") == {}
    typed["lines"][0]["quantity"], typed["install"], typed["items"][1]["quantity"] = "0", "yes", "0"
    assert told_as_other_way(JOB, typed, designs, "metric") == {
        "items": {"second": {"quantity": "0"}}, "lines": {"line": {"quantity": "0"}}, "install": "yes",
    }  # fmt: skip


def test_what_is_usual_is_nothing_else() -> None:
    typed = copy.deepcopy(JOB)
    typed["items"][0]["sizes"] |= {"width": "750 mm", "height": "740 mm"}
    typed["items"][0]["choices"] = {"top": "hardwood_top"}
    designs = {"bench": TRESTLE, "second": TRESTLE}
    assert told_as_other_way(JOB, typed, designs, "metric") == {}


def test_what_is_typed_otherwise_is_told_as_it_was_typed() -> None:
    typed = copy.deepcopy(JOB)
    typed["items"][0]["sizes"]["length"] = "6 ft"
    typed["items"][0]["quantity"] = "3"
    typed["items"][1]["materials"] = {"top_wood": "white_oak"}
    designs = {"bench": TRESTLE, "second": TRESTLE}
    assert told_as_other_way(JOB, typed, designs, "metric") == {
        "items": {
            "bench": {"quantity": "3", "sizes": {"length": "6 ft"}},
            "second": {"materials": {"top_wood": "white_oak"}},
        }
    }


def test_another_version_takes_the_ways_along() -> None:
    later = rename(TRESTLE, "sizes", "width", "depth")
    moved = with_version(with_way(JOB, SOFT), "bench", 2, TRESTLE, later)
    assert moved["items"][0]["version"] == "2"
    assert moved["alternates"][0]["items"]["bench"]["sizes"] == {"depth": "700 mm"}
    assert with_version(moved, "bench", 1, later, TRESTLE) == with_way(JOB, SOFT)


def test_a_way_typed_under_an_earlier_name_counts_under_the_new_one() -> None:
    later = rename(TRESTLE, "sizes", "width", "depth")
    newest = {**JOB, "items": [{"id": "bench", "design": "trestle_bench", "sizes": {"depth": "800 mm"}}]}
    assert in_other_way(newest, SOFT, {"bench": later})["items"][0]["sizes"] == {"depth": "700 mm"}


def test_the_job_reads_the_same_whatever_ways_it_has() -> None:
    plain, wrong = read_job(JOB, "metric")
    with_ways, also = read_job(with_way(JOB, SOFT), "metric")
    assert (wrong, also) == ((), ())
    assert (with_ways.items, with_ways.lines) == (plain.items, plain.lines)
    assert [(one.id, one.name, one.on_quote) for one in with_ways.alternates] == [("way_1", "Softwood top", True)]


def test_a_way_that_can_not_be_read_is_said_and_stops_nothing() -> None:
    ways = [{"id": "a"}, {"id": "b", "name": "B", "items": {"gone": {"quantity": "2"}}}, {"id": "b", "name": "Again"}]
    job, wrong = read_job({**JOB, "alternates": ways}, "metric")
    assert [one.name for one in job.alternates] == ["B"]
    assert [one.severity for one in wrong] == ["warning"] * 3
    assert "no longer has" in wrong[1].message


def test_ways_are_taken_out_and_named_anew() -> None:
    job = with_way(with_way(JOB, SOFT), {**SOFT, "id": free_key(with_way(JOB, SOFT))})
    assert [one["id"] for one in job["alternates"]] == ["way_1", "way_2"]
    assert without_way(without_way(job, "way_2"), "way_1") == JOB


texts = st.dictionaries(st.sampled_from(["width", "height", "length"]), st.sampled_from(["", "700 mm", "1800 mm"]))


@given(texts, texts, st.sampled_from(["", "2", "3"]))
def test_making_a_way_own_twice_changes_nothing(typed: dict[str, str], other: dict[str, str], count: str) -> None:
    sizes = {name: text for name, text in typed.items() if text}
    item = {"id": "bench", "design": "trestle_bench", "quantity": "1", **({"sizes": sizes} if sizes else {})}
    way = {"id": "w", "name": "Other", "items": {"bench": {"sizes": other, **({"quantity": count} if count else {})}}}
    job = {"form": "1", "job": "x", "items": [item]}
    there_and_back = made_own(made_own(with_way(job, way), "w"), "w")
    assert there_and_back["items"] == job["items"]
    assert in_other_way(there_and_back, there_and_back["alternates"][0]) == in_other_way(with_way(job, way), way)
