"""Kinds of material, states of jobs, quotes and prices, and the field of a form stand in one place each."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import fields
from fractions import Fraction
from typing import get_args

import pytest

from webapp.costing.catalogue.kinds import KINDS, Kind, KindRow
from webapp.costing.catalogue.price_state import FRESH, MISSING, PRICE_WORDS, STALE, state_at
from webapp.costing.measures.quantities import QUANTITIES
from webapp.paths import CHECKOUT
from webapp.persistence.jobs.records import JOB_STATES, JobState
from webapp.persistence.quotes.tables import QUOTE_WORDS, QuoteState

TABLE = CHECKOUT / "webapp" / "costing" / "catalogue" / "kinds.py"
#: What is worked out for some kinds names up to so many of them; whoever names more is listing them.
FEW = 3
NAMES = {kind.name for kind in Kind} | {kind.value for kind in Kind}


def listed(tree: ast.AST) -> Iterator[tuple[int, set[str]]]:
    """The kinds that each mapping or series names, with its line."""
    for node in ast.walk(tree):
        match node:
            case ast.Dict(keys=parts) | ast.Tuple(elts=parts) | ast.List(elts=parts) | ast.Set(elts=parts):
                pass
            case ast.Call(args=parts):
                pass
            case _:
                continue
        named = {kind for part in parts if part is not None and (kind := named_kind(part))}
        yield node.lineno, named


def named_kind(node: ast.expr) -> str:
    match node:
        case ast.Attribute(value=ast.Name(id="Kind"), attr=name):
            return name.lower()
        case ast.Constant(value=str(name)) if name in NAMES:
            return name
    return ""


def test_each_kind_has_its_row_in_the_order_in_which_a_shop_walks() -> None:
    assert tuple(KINDS) == tuple(Kind)


@pytest.mark.parametrize("kind", Kind)
def test_the_row_of_a_kind_is_full(kind: Kind) -> None:
    row = KINDS[kind]
    empty = {one.name for one in fields(KindRow) if getattr(row, one.name) in ("", ())}
    assert empty <= {"pack", "rack_sides"}
    assert row.price_days > 0
    names = {one.name for one in row.sizes}
    assert row.pack in names if row.pack else row.is_stock
    assert all(one.quantity in (*QUANTITIES, "yes_no") for one in (*row.properties, *row.sizes, *row.rack_sides))
    assert {one.name for one in row.rack_sides} <= {"length", "width"}


def test_no_other_file_lists_the_kinds() -> None:
    again = [
        f"{path.relative_to(CHECKOUT)}:{line}: {', '.join(sorted(kinds))}"
        for path in sorted((CHECKOUT / "webapp").rglob("*.py"))
        if path != TABLE
        for line, kinds in listed(ast.parse(path.read_text(encoding="utf-8")))
        if len(kinds) > FEW
    ]
    assert not again, "these belong into a row of webapp/costing/catalogue/kinds.py:\n" + "\n".join(again)


def test_each_state_has_its_word() -> None:
    assert set(JOB_STATES) == set(get_args(JobState))
    assert set(QUOTE_WORDS) == set(get_args(QuoteState))
    assert set(PRICE_WORDS) == {FRESH, STALE, MISSING}
    assert [state_at(age, Fraction(30)) for age in (29, 30, 31)] == [FRESH, FRESH, STALE]


def test_no_other_file_words_the_states() -> None:
    tables = {
        frozenset(JOB_STATES): "persistence/jobs/records.py",
        frozenset(QUOTE_WORDS): "persistence/quotes/tables.py",
        frozenset({"FRESH", "STALE", "MISSING"}): "costing/catalogue/price_state.py",
    }
    # What the buttons of a quote say, and the colours of a price's line, are no words for the state.
    others = ("pages/quotes/view.py", "pages/shown/materials.py")
    again = [
        f"{path.relative_to(CHECKOUT)}:{line}"
        for path in sorted((CHECKOUT / "webapp").rglob("*.py"))
        for line, keys in worded(ast.parse(path.read_text(encoding="utf-8")))
        for states, table in tables.items()
        if len(keys & states) > 2 and not path.as_posix().endswith((table, *others))
    ]
    assert not again, f"these say again what stands in one table: {', '.join(again)}"


def worded(tree: ast.AST) -> Iterator[tuple[int, set[str]]]:
    """The keys of each mapping to plain words, with its line."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Dict) and all(
            isinstance(value, ast.Constant) and isinstance(value.value, str) for value in node.values
        ):
            names = {key.id for key in node.keys if isinstance(key, ast.Name)}
            texts = {str(key.value) for key in node.keys if isinstance(key, ast.Constant)}
            yield node.lineno, names | texts


def test_no_page_has_a_field_of_its_own() -> None:
    again = [
        f"{path.relative_to(CHECKOUT)}:{node.lineno}"
        for path in sorted((CHECKOUT / "webapp" / "pages").rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ClassDef) and {"name", "label", "hint", "problem"} <= told_by(node)
    ]
    assert [one.partition(":")[0] for one in again] == ["webapp/pages/web/fields.py"], (
        "a field of a form is the one in webapp/pages/web/fields.py"
    )


def told_by(node: ast.ClassDef) -> set[str]:
    return {one.target.id for one in node.body if isinstance(one, ast.AnnAssign) and isinstance(one.target, ast.Name)}
