"""Finding things of every kind, and what may stand for a material, alike on both databases."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
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
from webapp.persistence.designs.records import save_design_version
from webapp.persistence.finding.finding import find_everywhere
from webapp.persistence.finding.jobs import jobs_holding
from webapp.persistence.jobs.cards import JobCard, cards_of, keep_card
from webapp.persistence.jobs.customers import add_customer
from webapp.persistence.jobs.records import (
    JobSort,
    create_job,
    list_jobs,
    load_job_by_number,
    save_job,
    states_of,
)

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


def _bench(
    session: Session, title: str, sizes: dict[str, str], materials: dict[str, str] | None = None, **more: object
) -> None:
    item = {"id": "bench", "design": "trestle", "sizes": sizes, "materials": materials or {}}
    create_job(session, uuid4(), {"form": "1", "job": title, "items": [item], **more}, at=NOW)


def _sought(session: Session, words: str) -> list[str]:
    listed = [one.title for one in list_jobs(session, jobs_holding(words), sort="number").entries]
    assert {one.title for one in find_everywhere(session, words, TODAY).jobs.entries} == set(listed), words
    return listed


def test_jobs_are_found_by_sizes_lines_notes_designs_and_materials(shop_database: Database) -> None:
    with shop_database.writing() as session:
        design = {
            "form": "1",
            "design": "trestle",
            "stock": {"top": {"kind": "sheet", "usual": "ply_18"}, "glue": {"usual": "glue"}},
        }
        save_design_version(session, "trestle", "Trestle bench", design, "d1", at=NOW)
        for material in (_sheet("ply_18", "Birch plywood 18", 18), _sheet("oak_20", "Oak board panel 20", 20)):
            add_material(session, material, at=NOW)
        add_material(session, Material("glue", "White glue 750", Kind.LIQUID, {}), at=NOW)
        _bench(session, "One", {"length": "2000 mm", "depth": "750 mm"})
        _bench(session, "Two", {"length": "6 ft", "depth": "30 1/2 in"}, {"top": "oak_20"})
        line = {"id": "skip", "kind": "hire", "says": "Stair climber", "quantity": "1", "each": "40"}
        _bench(session, "Three", {"length": "1800", "depth": "900 mm"}, lines=[line], notes="ring the bell twice")
        for words, found in (
            ("2000 x 750", ["One"]), ("2000x750 mm", ["One"]), ("750 × 2000", ["One"]), ("2 m", ["One"]),
            ("1800 bench", ["Three"]), ("6 ft", ["Two"]), ('72" trestle', ["Two"]), ("30 1/2 in", ["Two"]),
            ("stair climber", ["Three"]), ("bell", ["Three"]), ("trestle bench", ["One", "Two", "Three"]),
            ("birch", ["One", "Two", "Three"]), ("oak", ["Two"]), ("oak 20", ["Two"]),
            ("white glue", ["One", "Two", "Three"]),
            ("750", ["One"]), ("2000 x 900", []), ("maple", []),
        ):  # fmt: skip
            assert _sought(session, words) == found, words


def test_what_a_job_was_found_by_goes_with_its_next_save(shop_database: Database) -> None:
    with shop_database.writing() as session:
        _bench(session, "One", {"length": "2000 mm"}, {"top": "oak_20"})
        add_material(session, _sheet("oak_20", "Oak board panel 20", 20), at=NOW)
        job = load_job_by_number(session, 1)
        assert _sought(session, "oak 2000") == ["One"]
        item = {"id": "bench", "design": "trestle", "sizes": {"length": "1500 mm"}}
        save_job(session, job.id, {**job.document, "items": [item]}, job.version, at=NOW)
        assert _sought(session, "oak") == _sought(session, "2000") == []
        assert _sought(session, "1500") == ["One"]


def test_jobs_are_sorted_by_the_day_they_are_wanted_by(shop_database: Database) -> None:
    with shop_database.writing() as session:
        for title, due in (("Late", "2027-03-01"), ("None", ""), ("Soon", "2026-11-20"), ("Odd", "next week")):
            create_job(session, uuid4(), {"form": "1", "job": title, "due": due}, at=NOW)
        listed = list_jobs(session, sort="due").entries
        assert [(one.title, one.due) for one in listed] == [
            ("Soon", date(2026, 11, 20)), ("Late", date(2027, 3, 1)), ("Odd", None), ("None", None),
        ]  # fmt: skip


def test_what_a_job_came_to_is_kept_in_place_of_what_it_came_to_before(shop_database: Database) -> None:
    with shop_database.writing() as session:
        _job(session, "One")
        job = load_job_by_number(session, 1)
        assert cards_of(session, [job.id]) == {}
        for card in (
            JobCard(1, TODAY, Decimal("1234.50"), True, 9), JobCard(2, TODAY, Decimal("0.00"), False, 12, "<svg/>"),
        ):  # fmt: skip
            keep_card(session, job.id, card, {})
            assert cards_of(session, [job.id, uuid4()]) == {job.id: card}
