"""Rows and text are one thing: whatever is done to the rows, the text says it, remarks included, and every step can be
taken back to the beginning. Two hundred sequences of edits, by chance, on the kept designs and a real store."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from hypothesis import settings, strategies
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)
from sqlalchemy import select

from tests.harness.examples import tried
from webapp.costing.design_rows.edits import RowError, add_entry, free_name
from webapp.costing.design_rows.rows import FieldOfRow, RowOfDesign, rows_of
from webapp.costing.errors import CostingError
from webapp.costing.few_words.known import Known
from webapp.design_text import read_as_far, read_text, write_design_text
from webapp.pages.maker.acts import change_by_button, change_row
from webapp.pages.maker.adding import add_lines
from webapp.paths import SEED_DATA
from webapp.persistence.database.database import Database
from webapp.persistence.maker.records import add_step, begin_making, go_to_step, load_making
from webapp.persistence.people.users import UserRow
from webapp.running import utc_now

STARTERS = ("tool_cart", "splayed_bench", "wedging_table", "drying_rack")
TYPED = (
    "", "12 mm", "length / 2", "left and right", "board", "2 * (", "Ärmel; “x”", "a, b", "1 1/2 in", '"', "yes: no",
)  # fmt: skip
LINES = (
    "width 900, from 600 to 1200", "inner = width - 36 mm", "must mass at most 60 kg: It weighs {mass}.", "shelf of",
    "nothing that could be read", "parts: x", "loads on_it: 12 kg on each top",
    "parts extra: Extra; of board; long 300 mm along x; wide 100 mm along y",
)  # fmt: skip
REMARKS = ("", "as agreed", "two lines\nof it", "# with a sign: and more")


def _starter(code: str) -> dict[str, Any]:
    document, problems = read_text((SEED_DATA / "designs" / f"{code}.yaml").read_text(encoding="utf-8"))
    assert document is not None, problems
    return document


def _in_order(document: object) -> object:
    """A document as a value whose order counts."""
    if isinstance(document, Mapping):
        return [(key, _in_order(each)) for key, each in document.items()]
    return [_in_order(each) for each in document] if isinstance(document, list | tuple) else document


def test_two_hundred_sequences_of_edits_keep_rows_and_text_one_thing(shop_database: Database) -> None:
    with shop_database.reading() as session:
        user = session.scalars(select(UserRow.id)).first()
    assert user is not None
    owner: UUID = user

    class Making(RuleBasedStateMachine):
        """One design being made; `states` are the documents that it went through, as the test counts them itself."""

        @initialize(code=strategies.sampled_from(STARTERS))
        def begin(self, code: str) -> None:
            self.states = [_starter(code)]
            self.at = 0
            with shop_database.writing() as session:
                self.id = begin_making(session, owner, code, 1, self.states[0], "the beginning", at=utc_now())

        @property
        def document(self) -> dict[str, Any]:
            return self.states[self.at]

        def rows(self) -> list[RowOfDesign]:
            return [row for rows in rows_of(self.document, {}).values() for row in rows]

        def step(self, document: Mapping[str, Any], said: str) -> None:
            if document == self.document:
                return
            with shop_database.writing() as session:
                add_step(session, owner, self.id, self.at, document, said, at=utc_now())
            self.states = [*self.states[: self.at + 1], dict(document)]
            self.at += 1

        @rule(place=strategies.integers(0, 400), text=strategies.sampled_from(TYPED))
        def type_a_word(self, place: int, text: str) -> None:
            words = [(row, one) for row in self.rows() for one in row.pieces if isinstance(one, FieldOfRow)]
            if not words:
                return
            row, word = words[place % len(words)]
            posted = (("section", row.section), ("row", row.name), (f"at.{word.slot}", text))
            try:
                change = change_row(self.document, self.document, posted)
            except RowError:
                return
            self.step(change.document, change.said)

        @rule(place=strategies.integers(0, 60), act=strategies.sampled_from(("line", "name", "remark", "remove")),
              other=strategies.integers(0, 60), remark=strategies.sampled_from(REMARKS))
        def press(self, place: int, act: str, other: int, remark: str) -> None:
            rows = self.rows()
            if not rows:
                return
            row, like = rows[place % len(rows)], rows[other % len(rows)]
            fields = (("section", row.section), ("row", row.name), ("line", like.line), ("remark", remark),
                      ("new_name", f"{like.name} anew"))  # fmt: skip
            try:
                change = change_by_button(self.document, act, fields)
            except CostingError:
                return
            self.step(change.document, change.said)

        @rule(lines=strategies.lists(strategies.sampled_from(LINES), min_size=1, max_size=4))
        def paste(self, lines: list[str]) -> None:
            change, answered = add_lines(self.document, "\n".join(lines), Known(self.document))
            # What is not taken stays typed, word for word.
            assert all(line in lines for line in answered.line.splitlines())
            if change is not None:
                self.step(change.document, change.said)

        @rule(place=strategies.integers(0, 60))
        def add_one_like_another(self, place: int) -> None:
            rows = [row for row in self.rows() if row.name and isinstance(self.document[row.section], Mapping)]
            if rows:
                row = rows[place % len(rows)]
                name = free_name(self.document, row.section, row.name)
                entry = self.document[row.section][row.name]
                self.step(add_entry(self.document, row.section, name, entry), "copied")

        @precondition(lambda self: self.at > 0)
        @rule()
        def undo(self) -> None:
            with shop_database.writing() as session:
                go_to_step(session, owner, self.id, self.at - 1, at=utc_now())
            self.at -= 1

        @precondition(lambda self: self.at + 1 < len(self.states))
        @rule()
        def redo(self) -> None:
            with shop_database.writing() as session:
                go_to_step(session, owner, self.id, self.at + 1, at=utc_now())
            self.at += 1

        @invariant()
        def rows_and_text_are_the_same(self) -> None:
            with shop_database.reading() as session:
                kept = load_making(session, owner, self.id)
            assert _in_order(kept.document) == _in_order(self.document)
            text = write_design_text(kept.document)
            read, _, _ = read_as_far(text)
            assert read == kept.document
            assert write_design_text(read) == text

        def teardown(self) -> None:
            if not hasattr(self, "id"):
                return
            while self.at:
                self.undo()
            with shop_database.reading() as session:
                assert _in_order(load_making(session, owner, self.id).document) == _in_order(self.states[0])

    run_state_machine_as_test(
        Making, settings=settings(max_examples=tried(200), stateful_step_count=15, deadline=None)
    )
