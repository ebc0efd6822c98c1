"""The way in a job's form: read in the shop's unit, with a sentence for each thing wrong, and kept with units."""

from __future__ import annotations

import pytest

from webapp.costing.jobs.reader import read_job
from webapp.costing.jobs.schema import job_schema
from webapp.costing.jobs.way import NO_WAY, WAY_KEYS, kept_way

MM = 10**6


def test_a_form_without_a_way_is_read_as_before() -> None:
    job, problems = read_job({"form": "1", "job": "One"}, "metric")
    assert (job.way, problems) == (NO_WAY, ())
    assert not job.way


def test_bare_numbers_are_in_the_shops_unit() -> None:
    form = {"form": "1", "job": "One", "way": {"door_width": "32", "lift_load": "900", "stair": "turning"}}
    job, problems = read_job(form, "inch")
    assert problems == ()
    assert job.way.measures["door_width"] == 32 * 25_400_000
    assert job.way.measures["lift_load"] == pytest.approx(900 * 0.45359237)
    assert job.way.stair == "turning"
    assert read_job(form, "metric")[0].way.measures["door_width"] == 32 * MM


@pytest.mark.parametrize(
    ("key", "typed", "said"),
    [
        ("door_width", "wide", "“wide” can't be read as a length"),
        ("door_width", "0", "Clear width of the narrowest door: “0” is out of range; it goes from 1 mm to 20000 mm."),
        ("door_height", "-5 mm", "is below zero"),
        ("landing", "80 kg", "where a length is needed"),
        ("corridor", "25 m", "Width of the corridor before its corner: “25 m” is out of range"),
        ("lift_load", "0.5", "Load of the lift: “0.5” is out of range; it goes from 1 kg to 20000 kg."),
        ("stair", "spiral", "How the stair runs: “spiral” is none of straight, quarter_landing, turning."),
        ("window", "900", "“window” is nothing that way can hold"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_left_out(key: str, typed: str, said: str) -> None:
    form = {"form": "1", "job": "One", "way": {key: typed, "headroom": "2000"}}
    job, (problem,) = read_job(form, "metric")
    assert problem.field == f"way.{key}"
    assert said in problem.message
    assert dict(job.way.measures) == {"headroom": 2000 * MM}
    assert kept_way({key: typed}, "metric")[1][0].field == f"way.{key}"


def test_what_is_kept_with_a_customer_stays_what_it_was_where_the_shop_measures_otherwise() -> None:
    typed = {"door_width": "825", "door_height": "6 ft 8 in", "stair": "straight", "lift_load": "300", "rise": ""}
    kept, problems = kept_way(typed, "metric")
    assert problems == ()
    assert kept == {"door_width": "825 mm", "door_height": "6 ft 8 in", "stair": "straight", "lift_load": "300 kg"}
    assert kept_way(kept, "inch") == (kept, ())


def test_the_schema_knows_each_of_its_fields() -> None:
    properties = job_schema()["properties"]
    assert isinstance(properties, dict)
    assert list(properties["way"]["properties"]) == list(WAY_KEYS)
    assert properties["way"]["additionalProperties"] is False
