"""The places of a design that a material fills: which may fill them, by tags and measures, and which follow another."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Final, cast

from webapp.costing.catalogue.kinds import KINDS, Kind, Property
from webapp.costing.catalogue.materials import CODE
from webapp.costing.catalogue.tags import MOST_TAGS
from webapp.costing.design_form.entries.read_fields import Entry
from webapp.costing.design_form.tables.form_tables import LIMIT_RULES, LONGEST_NAME, NAME
from webapp.costing.designs.model import Role
from webapp.costing.designs.needs import Limit, LimitRule, Needs
from webapp.costing.errors import MeasureError
from webapp.costing.measures.quantities import a_quantity
from webapp.costing.measures.typed_text import quoted
from webapp.costing.measures.written import parse_measure, parse_quantity

_NEEDS: Final = ("tags", *LIMIT_RULES)


def read_role(entry: Entry) -> Role:
    """A stock role."""
    usual = entry.words("usual")
    if usual and not CODE.fullmatch(usual):
        entry.wrong("usual", f"'{usual}' is no code of a material: lower-case words joined by underscores are needed.")
    kind = Kind(entry.one_of("kind", "piece"))
    follows = _read_follows(entry)
    needs = _read_needs(entry, kind, follows)
    return Role(entry.name, entry.words("says"), kind, usual, follows, needs, entry.words("customer"))


def _read_follows(entry: Entry) -> str:
    follows = entry.words("follows")
    if not follows:
        return ""
    stock = entry.reading.document["stock"]
    other = stock.get(follows) if isinstance(stock, Mapping) else None
    if other is None or follows == entry.name:
        roles = [role for role in entry.reading.declared("stock") if role != entry.name]
        entry.wrong("follows", f"'{follows[:80]}' is no other stock role{entry.reading.hint(follows, roles)}")
    elif isinstance(other, Mapping) and "follows" in other:
        entry.wrong("follows", f"'{follows}' follows another itself; a role follows one that stands by itself.")
    elif not entry.has("needs"):
        entry.wrong("follows", "'needs' has to say by which measures it follows.")
    return follows


def _read_needs(entry: Entry, kind: Kind, follows: str) -> Needs:
    held = entry.content.get("needs")
    if held is None:
        return Needs()
    if not isinstance(held, Mapping) or not held or any(key not in _NEEDS for key in held):
        entry.wrong("needs", f"one or more of {', '.join(_NEEDS)} are needed in curly brackets.")
        return Needs()
    limits = [limit for rule in LIMIT_RULES for limit in _read_limits(entry, held.get(rule), rule, kind, follows)]
    if follows and not any(limit.of for limit in limits):
        entry.wrong("needs", f"none of its measures is one of '{follows}', as '{follows}.width', which it follows.")
    return Needs(_read_tags(entry, held.get("tags")), tuple(limits))


def _read_tags(entry: Entry, held: object) -> tuple[str, ...]:
    if held is None:
        return ()
    listed = [held] if isinstance(held, str) else held
    if (
        not isinstance(listed, list)
        or not 0 < len(listed) <= MOST_TAGS
        or not all(isinstance(tag, str) and NAME.fullmatch(tag) and len(tag) <= LONGEST_NAME for tag in listed)
    ):
        entry.wrong("needs.tags", f"up to {MOST_TAGS} tags are needed: lower-case words joined by underscores.")
        return ()
    return tuple(dict.fromkeys(listed))


def _read_limits(entry: Entry, held: object, rule: str, kind: Kind, follows: str) -> list[Limit]:
    if held is None:
        return []
    place = f"needs.{rule}"
    if not isinstance(held, Mapping):
        entry.wrong(place, "measures by the name of a property are needed in curly brackets.")
        return []
    known = {one.name: one for one in KINDS[kind].properties}
    found = []
    for name, text in held.items():
        where = f"{place}.{name}"
        if name not in known:
            entry.wrong(where, f"a {kind} has no such property{entry.reading.hint(str(name), tuple(known))}")
        elif not isinstance(text, str):
            entry.wrong(where, "one measure is needed here.")
        elif (limit := _read_limit(entry, where, known[name], cast(LimitRule, rule), text, follows)) is not None:
            found.append(limit)
    return found


def _read_limit(entry: Entry, where: str, quality: Property, rule: LimitRule, text: str, follows: str) -> Limit | None:
    owner, dot, name = text.partition(".")
    if dot and NAME.fullmatch(owner):
        if not follows or owner != follows:
            entry.wrong(where, f"'{text[:80]}' is no measure of the role that it follows.")
            return None
        lent = {each.name: each.quantity for each in KINDS[_kind_of(entry, follows)].properties}
        if lent.get(name) != quality.quantity:
            such = [f"{follows}.{each}" for each, quantity in lent.items() if quantity == quality.quantity]
            entry.wrong(
                where, f"'{text[:80]}' is no {quality.quantity} that '{follows}' has{entry.reading.hint(text, such)}"
            )
            return None
        return Limit(quality.name, rule, of=name)
    try:
        # A measure says by its unit what it is; a plain number has none, and is read where one is meant.
        plain = quality.quantity == "number"
        value, quantity = (parse_quantity(text, "number", "metric"), "number") if plain else parse_measure(text)
    except MeasureError as error:
        entry.wrong(where, error.reason)
        return None
    if quantity != quality.quantity:
        entry.wrong(where, f"{quoted(text)} is {a_quantity(quantity)}; {a_quantity(quality.quantity)} is needed.")
        return None
    return Limit(quality.name, rule, Fraction(value))


def _kind_of(entry: Entry, role: str) -> Kind:
    stock = entry.reading.document["stock"]
    content = stock.get(role) if isinstance(stock, Mapping) else None
    kind = content.get("kind") if isinstance(content, Mapping) else None
    return Kind(kind) if kind in set(Kind) else Kind.PIECE


def needed_tags(role: Mapping[str, object]) -> tuple[str, ...]:
    """What a material has to be to fill a stock role, as its entry says it."""
    needs = role.get("needs")
    tags = needs.get("tags") if isinstance(needs, Mapping) else None
    return tuple(map(str, tags)) if isinstance(tags, list | tuple) else (tags,) if isinstance(tags, str) else ()
