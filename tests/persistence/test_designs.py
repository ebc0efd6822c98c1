"""Designs as kept: a version for each different document, none ever changed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path
from uuid import uuid4

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError
from sqlalchemy.orm import Session

from webapp.design_text import read_text
from webapp.persistence.database.database import Database
from webapp.persistence.designs.records import (
    designs_with_inside,
    list_designs,
    list_versions,
    load_design,
    load_design_document,
    newest_document,
    retire_design,
    save_design_version,
    usual_materials,
)
from webapp.persistence.foundation.column_types import canonical_json
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.jobs.records import create_job, save_job

WALL_CABINET = Path(__file__).parent.parent / "reference" / "wall_cabinet.yaml"
NOW = datetime(2026, 11, 2, 15, 30, tzinfo=UTC)


def _save(session: Session, code: str, name: str, document: dict[str, object], minutes: int = 0) -> int:
    digest = sha256(canonical_json(document).encode()).hexdigest()
    return save_design_version(session, code, name, document, digest, at=NOW + timedelta(minutes=minutes))


def test_a_whole_design_comes_back_as_it_was(shop_database: Database) -> None:
    document, _ = read_text(WALL_CABINET.read_text(encoding="utf-8"))
    assert document is not None
    with shop_database.writing() as session:
        _save(session, "wall_cabinet", "Wall cabinet", document)
    with shop_database.reading() as session:
        assert load_design_document(session, "wall_cabinet") == document


def test_each_other_document_is_a_version_and_the_same_one_is_not(shop_database: Database) -> None:
    with shop_database.writing() as session:
        assert _save(session, "bench", "Bench", {"form": "1"}) == 1
        assert _save(session, "bench", "Long bench", {"form": "1", "name": "Long bench"}, 5) == 2
        assert _save(session, "bench", "Bench", {"form": "1"}, 9) == 1
        assert _save(session, "stool", "Stool", {"form": "1"}) == 1
    with shop_database.reading() as session:
        assert load_design(session, "bench").document == {"form": "1", "name": "Long bench"}
        assert load_design(session, "bench").name == "Long bench"
        assert load_design_document(session, "bench", 1) == {"form": "1"}
        assert [version.number for version in list_versions(session, "bench")] == [2, 1]
        for code, version in (("bench", 3), ("table", None)):
            with pytest.raises(NotKept):
                load_design_document(session, code, version)


def test_a_version_is_never_changed(shop_database: Database) -> None:
    with shop_database.writing() as session:
        _save(session, "bench", "Bench", {"form": "1"})
    with pytest.raises(DatabaseError, match="never changed"), shop_database.writing() as session:
        session.execute(text("UPDATE design_versions SET document = '{}'"))


def test_the_list_counts_the_jobs_that_use_each_design(shop_database: Database) -> None:
    twice = {"job": "Two", "items": [{"design": "bench"}, {"design": "bench"}, {"design": "unknown"}, "junk"]}
    with shop_database.writing() as session:
        _save(session, "bench", "Bench", {"form": "1"})
        _save(session, "bench", "Bench", {"form": "1", "says": "Better"}, 5)
        _save(session, "stool", "A stool", {"form": "1"})
        create_job(session, uuid4(), twice, at=NOW)
        second = create_job(session, uuid4(), {"job": "One", "items": [{"design": "bench"}]}, at=NOW)
        found = {one.code: (one.version, one.jobs, one.saved_at) for one in list_designs(session)}
        assert found == {"stool": (1, 0, NOW), "bench": (2, 2, NOW + timedelta(minutes=5))}
        assert [one.code for one in list_designs(session)] == ["stool", "bench"]
        save_job(session, second.id, {"job": "One", "items": [{"design": "stool"}]}, 1, at=NOW)
        assert {one.code: one.jobs for one in list_designs(session)} == {"stool": 1, "bench": 1}


def test_a_retired_design_leaves_the_list_but_is_still_found(shop_database: Database) -> None:
    with shop_database.writing() as session:
        _save(session, "bench", "Bench", {"form": "1"})
        retire_design(session, "bench", at=NOW)
        assert list_designs(session) == ()
        assert list_designs(session, retired=None)[0].retired
        assert load_design(session, "bench").retired
        retire_design(session, "bench", at=NOW, retired=False)
        assert len(list_designs(session)) == 1
        with pytest.raises(NotKept):
            retire_design(session, "table", at=NOW)


def test_designs_for_others_come_last_and_those_that_hold_one_are_found(shop_database: Database) -> None:
    drawer: dict[str, object] = {
        "form": "2", "for_others": "yes", "stock": {"board": {"usual": "ply"}, "screw": {"usual": "screw_4"}},
    }  # fmt: skip
    chest: dict[str, object] = {
        "form": "2", "stock": {"oak": {"usual": "oak"}}, "inside": {"drawer": drawer},
        "uses": {"low": {"design": "drawer", "materials": {"board": "oak"}}, "high": {"design": "drawer"}},
    }  # fmt: skip
    with shop_database.writing() as session:
        _save(session, "drawer", "A drawer", drawer)
        _save(session, "chest", "Chest", chest)
        _save(session, "bench", "Zigzag bench", {"form": "1", "says": '"for_others":"yes"'})
    with shop_database.reading() as session:
        listed = list_designs(session)
        assert [(one.code, one.for_others) for one in listed] == [("chest", False), ("bench", False), ("drawer", True)]
        assert [one.code for one in designs_with_inside(session, "drawer")] == ["chest"]
        assert designs_with_inside(session, "chest") == ()
        assert newest_document(session, "drawer") == drawer
        assert newest_document(session, "stool") is None
    # Of its board and screws one use has its own board, and both have their screws.
    assert usual_materials(chest) == {"oak", "ply", "screw_4"}
    chest["uses"] = {"low": {"design": "drawer", "materials": {"board": "oak"}}}
    assert usual_materials(chest) == {"oak", "screw_4"}
