"""Checks against something outside the project: what each has to say of its source, and how they are counted."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Final

#: Read in the source itself or in a copy of it; a fact of the trade without a title; remembered, and read nowhere.
SOLID: Final = "solid"
KINDS: Final = (SOLID, "common practice", "from memory")

#: What is of no day in print says so. A number of a rule or a page is no year, so one stands as '(2010)' or ':2014'.
YEAR: Final = re.compile(r"[(:-](?:about |as read in )?(?:1[89]|20)\d\d\b|\(undated")


def counted_as(marked: Mapping[str, str]) -> tuple[str, str]:
    """The kind and the source of an outside check; a sentence as ValueError where the mark does not say enough."""
    source, kind = marked.get("source", ""), marked.get("kind", SOLID)
    if not source or marked.keys() - {"source", "kind"}:
        raise ValueError("an outside check says its source and its kind, and nothing else.")
    if kind not in KINDS:
        raise ValueError(f"an outside check is {', '.join(KINDS[:-1])} or {KINDS[-1]}, not “{kind}”.")
    if kind != "common practice" and not YEAR.search(source):
        raise ValueError(f"“{source}” names no title with its year; what has none is common practice.")
    return kind, source


def summary(found: Iterable[tuple[str, str]]) -> list[str]:
    """A line for each kind: how many passed, against how many sources."""
    passed = list(found)
    lines = []
    for kind in KINDS:
        sources = [source for one, source in passed if one == kind]
        lines.append(f"outside checks, {kind}: {len(sources)} passed, against {len(set(sources))} sources")
    return lines
