"""Measures and formulas as one says them, in the names of the design: 'half the leg top' -> 'leg_top / 2'."""

from __future__ import annotations

import re
from difflib import get_close_matches
from functools import lru_cache
from typing import Final

from webapp.costing.designs.formulas import read_formula
from webapp.costing.designs.names import PART_NAMES, fill_names
from webapp.costing.errors import FormulaError
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.reading import NotReadError
from webapp.costing.few_words.words import with_figures, without_article
from webapp.costing.ledger.formula import Expression

_OF_END: Final = re.compile(
    r"\b(?:the )?(left|right|front|back|bottom|top|length|width|thickness|count|mass) of (?:the )?([a-z][a-z0-9_]*)\b"
)
_OWNED: Final = re.compile(r"\b(?:the )?([a-z][a-z0-9_]*)'s ([a-z][a-z_]*)\b")
_HALF: Final = re.compile(r"^half (?:of )?(?:the )?(.+)$")
_THE: Final = re.compile(r"\bthe (?=[a-z])")
_DOTTED: Final = re.compile(r"(?<![\w.])([a-z][a-z0-9_]*)\.([a-z_]+)")
_LONGEST: Final = 400


def formula(text: str, known: Known) -> str:
    """A formula as the design writes it. Raises NotReadError where it is none, or names what is unknown."""
    said = _put(text, known)
    expression = _read(said)
    if expression is None:
        raise NotReadError(f"“{text[:60]}” is no measure and no formula.")
    owners = {*known.formula_names}
    for name in expression.names:
        owner, dot, _ = name.partition(".")
        alone = owner not in known.standing or any(owner in known.entries(one) for one in ("sizes", "values"))
        if owner in owners and (dot or alone):
            continue
        if owner in owners and not dot:
            near = ", ".join(f"{owner}.{end}" for end in ("top", "length", "thickness"))
            raise NotReadError(f"“{owner}” is a part; say what of it is meant, as {near}.")
        if name == "mass":
            continue
        close = get_close_matches(owner, owners, 1)
        raise NotReadError(
            f"No size, value or part is called “{owner}”" + (f"; did you mean “{close[0]}”?" if close else ".")
        )
    return said


def is_formula(text: str, known: Known) -> bool:
    """Whether a text is a formula whose names are known."""
    try:
        return bool(formula(text, known))
    except NotReadError:
        return False


def as_formula(text: str, known: Known) -> str:
    """A formula in the names of the design, whatever it names. Raises NotReadError where it is none."""
    said = _put(text, known)
    if _read(said) is None:
        raise NotReadError(f"“{text[:60]}” is no measure and no formula.")
    return said


def rule(text: str, known: Known) -> str:
    """A comparison in the names of the design: 'mass at most 60 kg' -> 'mass <= 60 kg'. Raises NotReadError."""
    said = text
    for words, sign in (
        ("is at most", "<="),
        ("at most", "<="),
        ("no more than", "<="),
        ("is at least", ">="),
        ("at least", ">="),
        ("no less than", ">="),
    ):
        said = re.sub(rf"\b{words}\b", sign, said)
    sides = re.split(r"(<=|>=|<|>)", said)
    if len(sides) != 3:
        raise NotReadError(f"“{text[:60]}” is no rule; say as 'mass at most 60 kg' or 'width <= 2 * depth'.")
    return f"{as_formula(sides[0], known)} {sides[1]} {as_formula(sides[2], known)}"


def _put(text: str, known: Known) -> str:
    said = with_figures(without_article(text.strip()))[:_LONGEST]
    said = _HALF.sub(r"(\1) / 2", said)
    said = _OF_END.sub(lambda found: f"{found[2]}.{found[1]}", _OWNED.sub(r"\1.\2", said))
    said = with_names(_THE.sub("", said), known)
    said = re.sub(r"^\(([a-z0-9_.]+)\) /", r"\1 /", said)
    return _DOTTED.sub(lambda found: _of_stock(found, known), said).strip()


def with_names(text: str, known: Known) -> str:
    """A text with names of several words as formulas have them: frame tube.wall -> frame_tube.wall."""
    for name in known.formula_names:
        if "_" in name and " " in text:
            text = re.sub(rf"(?<![\w.]){name.replace('_', ' ')}(?!\w)", name, text)
    return text


def _of_stock(found: re.Match[str], known: Known) -> str:
    """What is asked of hardware and only its material states is asked of its stock role: base.highest."""
    name, attribute = found[1], found[2]
    role = known.entries("hardware").get(name, {}).get("stock")
    if name in known.entries("stock") or attribute in PART_NAMES or not isinstance(role, str):
        return found[0]
    return f"{role}.{attribute}"


def sentence(text: str, known: Known) -> str:
    """A sentence with the names in its curly brackets as the design has them."""
    return fill_names(text, lambda name: f"{{{_put(name, known)}}}")


@lru_cache(maxsize=2048)
def _read(text: str) -> Expression | None:
    sides = text.split("|")
    if len(sides) > 2 or not text.strip():
        return None
    try:
        found = [read_formula(side.strip()) for side in sides]
    except (FormulaError, SyntaxError, ValueError, RecursionError, MemoryError):
        return None
    return found[0]


def part_end(part: str, end: str) -> str:
    """An end of a part as formulas name it."""
    assert end in PART_NAMES
    return f"{part}.{end}"
