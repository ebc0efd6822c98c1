"""Finding things of every kind, and what may stand for a material, alike on both databases."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from uuid import uuid4

from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.jobs.job import Customer
from webapp.persistence.catalogue.changes import add_material
from webapp.persistence.catalogue.records import find_materials
from webapp.persistence.catalogue.stock import count_kinds, find_alike
from webapp.persistence.database.database import Database
from webapp.persistence.finding.finding import find_everywhere
from webapp.persistence.jobs.customers import add_customer
from webapp.persistence.jobs.records import JobSort, create_job, list_jobs, states_of

NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)
TODAY = date(2026, 11, 2)
MM = 10**6


def _job(session: Session, title: str, customer: str = "", minutes: int = 0) -> None:
    document = {"form": "1", "job": title, "customer": {"name": customer}}
    create_job(session, uuid4(), document, at=NOW + timedelta(minutes=minutes))


def _sheet(code: str, name: str, mm: int, retired: bool = False) -> Material:
    return Material(code, name, Kind.SHEET, {"thickness": Fraction(mm * MM)}, retired=retired)


def test_the_very_number_comes_first_then_beginnings_then_what_holds_it(shop_database: Database) -> None:
    with shop_database.writing() as session:
        _job(session, "One")
        _job(session, "Shelf 3-20", minutes=9)
        _job(session, "3 stools", minutes=8)
        _job(session, "Two")
        found = find_everywhere(session, "3", TODAY)
        assert [(one.number, one.title) for one in found.jobs.entries] == [(3, "3 stools"), (2, "Shelf 3-20")]
        _job(session, "Plywood 13", minutes=20)
        found = find_everywhere(session, "3", TODAY)
        assert [one.number for one in found.jobs.entries] == [3, 2], "one sign is looked for where a word begins"
        assert found.total == 2
        assert [one.number for one in find_everywhere(session, "13", TODAY).jobs.entries] == [5]
        _job(session, "Bolts M130")
        assert [one.number for one in find_everywhere(session, "13", TODAY).jobs.entries] == [5, 6]


def test_all_words_have_to_be_there_and_signs_stand_for_themselves(shop_database: Database) -> None:
    with shop_database.writing() as session:
        _job(session, "50 % off bench", "Mill Lane")
        _job(session, "500 off bench", "Mill Street")
        add_material(session, _sheet("ply_18", "Birch 18", 18), at=NOW)
        add_material(session, _sheet("plyx18", "Oak 18", 18), at=NOW)
        add_customer(session, Customer("Mill Street School", "9 Low Road"), at=NOW)
        for words, jobs, materials, customers in (
            ("BENCH mill", 2, 0, 0),
            ("50 %", 1, 0, 0),
            ("ply_", 0, 1, 0),
            ("low ROAD", 0, 0, 1),
            ("mill street", 1, 0, 1),
            ("nothing like it", 0, 0, 0),
            ("   ", 0, 0, 0),
            ("\x00", 0, 0, 0),
        ):
            found = find_everywhere(session, words, TODAY)
            counts = (found.jobs.total, found.materials.total, found.customers.total)
            assert counts == (jobs, materials, customers), words


def test_ten_are_given_and_all_are_counted_those_in_use_before_retired_ones(shop_database: Database) -> None:
    with shop_database.writing() as session:
        for number in range(12):
            add_material(session, _sheet(f"s{number}", f"Sheet {number:02}", 18, retired=number < 3), at=NOW)
        found = find_everywhere(session, "sheet", TODAY).materials
        assert (len(found.entries), found.total) == (10, 12)
        assert [one.name for one in found.entries][:2] == ["Sheet 03", "Sheet 04"]
        assert [one.retired for one in found.entries] == [False] * 9 + [True]
        assert find_everywhere(session, "s7", TODAY).materials.entries[0].code == "s7"


def test_lists_come_in_the_order_asked_for(shop_database: Database) -> None:
    with shop_database.writing() as session:
        _job(session, "bench", "Zinc", minutes=5)
        _job(session, "Anvil", "brass", minutes=1)
        _job(session, "cart", "Copper", minutes=3)
        wanted: dict[JobSort, list[int]] = {
            "touched": [1, 3, 2], "newest": [3, 2, 1], "number": [1, 2, 3], "job": [2, 1, 3], "customer": [2, 3, 1],
        }  # fmt: skip
        for sort, numbers in wanted.items():
            assert [one.number for one in list_jobs(session, sort=sort).entries] == numbers, sort
        assert set(states_of(session, [one.id for one in list_jobs(session).entries]).values()) == {"open"}
        for code, name in (("b", "Ash"), ("a", "Birch"), ("c", "Alder")):
            add_material(session, _sheet(code, name, 18), at=NOW)
        found = {
            sort: [one.material.code for one in find_materials(session, sort=sort).entries]
            for sort in ("name", "code", "newest")
        }
        assert found == {"name": ["c", "b", "a"], "code": ["a", "b", "c"], "newest": ["c", "a", "b"]}
        assert find_materials(session, unpriced=True).total == 3


def test_the_likest_materials_are_offered_first_and_no_more_than_asked_for(shop_database: Database) -> None:
    with shop_database.writing() as session:
        for code, mm in (("aa", 12), ("bb", 18), ("cc", 180), ("dd", 18)):
            add_material(session, _sheet(code, code, mm), at=NOW)
        add_material(session, _sheet("zz", "zz", 18, retired=True), at=NOW)
        add_material(session, Material("screw", "screw", Kind.FASTENER, {"length": Fraction(18 * MM)}), at=NOW)
        usual, thin = {"thickness": Fraction(18 * MM)}, {"thickness": Fraction(12 * MM)}
        assert [code for code, _ in find_alike(session, Kind.SHEET, [usual], "", 2)] == ["bb", "dd"]
        assert [code for code, _ in find_alike(session, Kind.SHEET, [usual], "", 3)] == ["aa", "bb", "dd"]
        assert [code for code, _ in find_alike(session, Kind.SHEET, [usual, thin, usual], "", 1)] == ["aa", "bb"]
        assert find_alike(session, Kind.SHEET, [usual], "cc", 3) == (("cc", "cc"),)
        assert [code for code, _ in find_alike(session, Kind.SHEET, [], "", 9)] == ["aa", "bb", "cc", "dd"]
        assert count_kinds(session) == {Kind.SHEET: 5, Kind.FASTENER: 1}
