"""Every name of a design may be any other: what it comes to and what its checks say is the same but for the name."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator, Mapping
from datetime import date
from functools import cache
from typing import Any, Final

import pytest

from tests.costing.designs.uses_case import USED, document_of
from tests.harness.examples import LONG
from tests.reference.short_forms import Asked, taken
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.design_changes.rename import rename
from webapp.costing.design_form.reader import read_design
from webapp.costing.design_form.tables.form_tables import LONGEST_NAME
from webapp.costing.takeoff.model import TakeOff
from webapp.seed import load_catalogue, load_designs

#: What a fresh name ends in, so that it can be taken off again.
FRESH: Final = "qz"
#: The steps of the work and the uses keep their names: those are the shop's, and part of what is in them.
RENAMED: Final = (
    "sizes", "stock", "choices", "values", "parts", "joints", "hardware", "surfaces", "finish", "supplies", "holes",
    "openings", "joinery", "moves", "holds", "loads", "spans", "musts",
)  # fmt: skip


@cache
def catalogue() -> Catalogue:
    return load_catalogue(date(2026, 11, 2))


@cache
def documents() -> Mapping[str, Mapping[str, Any]]:
    """The starters, and a cabinet whose drawers are a design of their own."""
    return {**{str(one["design"]): one for one in load_designs()}, "three_drawers": document_of(USED)}


def names_of(document: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    return ((section, name) for section in RENAMED for name in document.get(section, {}))


def fresh(name: str) -> str:
    return f"{name[: LONGEST_NAME - len(FRESH) - 1].rstrip('_')}_{FRESH}"


def without(text: str) -> str:
    """A text with the fresh names as they were; only what is printed of a name in words is lower or upper case."""
    return re.sub(rf"[_ ]{FRESH}\b|_{FRESH}(?=_)", "", text)


def said(found: TakeOff) -> dict[str, str]:
    """All that a take-off holds, in words, but for the design itself."""
    fields = ((name, getattr(found, name)) for name in type(found).__dataclass_fields__ if name != "design")
    return {name: without(repr(held)) for name, held in fields}


def take(document: Mapping[str, Any]) -> TakeOff:
    design, problems = read_design(document)
    assert design is not None, problems
    usual = {name: size.usual for name, size in design.sizes.items()}
    return taken(design, Asked({}, usual, "metric"), catalogue())


@pytest.mark.parametrize("code", sorted(documents()))
def test_with_every_name_another_it_comes_to_the_same(code: str) -> None:
    document = documents()[code]
    changed = document
    for section, name in names_of(document):
        changed = rename(changed, section, name, fresh(name))
    assert all(name.endswith(FRESH) for _, name in names_of(changed))
    before, after = said(take(document)), said(take(changed))
    for field, held in before.items():
        assert after[field] == held, field
    back = changed
    for section, name in names_of(document):
        back = rename(back, section, fresh(name), name)
    assert {key: one for key, one in back.items() if key != "renamed"} == document


@pytest.mark.parametrize("code", sorted(documents()))
def test_with_one_name_another_it_comes_to_the_same(code: str) -> None:
    document = documents()[code]
    before = said(take(document))
    names = list(names_of(document))
    for section, name in names if LONG else random.sample(names, 2):
        assert said(take(rename(document, section, name, fresh(name)))) == before, (section, name)
