"""Stock roles of a design that is used in another: which role of the whole fills each, and what is used up once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from webapp.costing.catalogue.tags import is_tagged
from webapp.costing.design_form.tables.form_tables import LIMIT_RULES
from webapp.costing.design_form.usual_steps import is_glue
from webapp.costing.designs.names_within import held

#: What counts finished things: a use is none by itself, so what its design uses up for each is left out.
_BY_THE_THING: Final = ("items", "items_by_crew", "people")
#: The fields that name a stock role.
_ROLE_FIELDS: Final = ("stock", "with", "glue")


class RolesWithin:
    """The roles of `document`, which is used in `host` under the name `use` as `entry` says.

    `wrong` holds a field of the use and a sentence for each thing that does not fit. Roles of the host that fill one of
    the design are changed in `host`: it is a copy of one's own.
    """

    def __init__(self, use: str, entry: Mapping[str, Any], document: Mapping[str, Any], host: dict[str, Any]) -> None:
        self.use, self.entry, self.document, self.host = use, entry, document, host
        self.wrong: list[tuple[str, str]] = []

    def roles(self) -> dict[str, str]:
        """The role of the whole that fills each role: as the use says; the one glue there is; else one of its own."""
        given = self.entry.get("materials")
        filled = dict(given) if isinstance(given, Mapping) else {}
        there = held(self.host, "stock")
        glues = [name for name, role in there.items() if isinstance(role, Mapping) and is_glue(role)]
        roles: dict[str, str] = {}
        for name, role in held(self.document, "stock").items():
            roles[name] = f"{self.use}_{name}"
            by = filled.get(name)
            if by is None and len(glues) == 1 and isinstance(role, Mapping) and is_glue(role):
                by = glues[0]
            if by is None:
                continue
            if not isinstance(by, str) or by not in there:
                self.wrong.append((f"materials.{name}", f"'{str(by)[:80]}' is no stock role of this design."))
                continue
            kinds = [one.get("kind") if isinstance(one, Mapping) else None for one in (role, there[by])]
            if kinds[0] != kinds[1]:
                said = f"the stock '{by}' is of kind {kinds[1]}, and {kinds[0]} is needed."
                self.wrong.append((f"materials.{name}", said))
            roles[name] = by
        return roles

    def needs_besides(self, role: str, fields: Mapping[str, Any]) -> None:
        """A role of the whole that fills one of the design has to be what both need; its own measures stand above."""
        entry, asked = held(self.host, "stock")[role], fields.get("needs")
        if not isinstance(entry, Mapping) or not isinstance(asked, Mapping) or "follows" in fields:
            return
        needs = dict(entry["needs"]) if isinstance(entry.get("needs"), Mapping) else {}
        tags = texts(needs.get("tags"))
        further = [tag for tag in texts(asked.get("tags")) if not is_tagged(tags, tag)]
        if further:
            needs["tags"] = [*tags, *further]
        told = {name for rule in LIMIT_RULES for name in held(needs, rule)}
        for rule in LIMIT_RULES:
            if added := {name: text for name, text in held(asked, rule).items() if name not in told}:
                needs[rule] = {**held(needs, rule), **added}
        if needs:
            self.change_role(role, needs=needs)

    def change_role(self, role: str, **fields: Any) -> None:
        """Say further fields of a role of the whole, in the copy of it that is written out."""
        self.host["stock"] = {**self.host["stock"], role: {**self.host["stock"][role], **fields}}

    def roles_named(self) -> set[str]:
        """The roles that something of the design is made of, held by, or finished with."""
        entries = [entry for section in ("parts", "joints", "hardware", "surfaces", "finish", "supplies")
                   for entry in held(self.document, section).values() if isinstance(entry, Mapping)]  # fmt: skip
        named = [entry.get(field) for entry in entries for field in _ROLE_FIELDS]
        named += [entry["band"].get("with") for entry in entries if isinstance(entry.get("band"), Mapping)]
        return {name for name in named if isinstance(name, str)}

    def is_used_up(self, entry: Any, driver: str, of: str) -> bool:
        """Whether something is used up for the use itself: not what goes by the finished thing, nor what the whole uses
        up by the same measure over all of it already."""
        if not isinstance(entry, Mapping):
            return True
        if entry.get(driver) in _BY_THE_THING:
            return False
        told = [role.get("used_by") for role in held(self.host, "stock").values()
                if isinstance(role, Mapping) and "used_over" not in role]  # fmt: skip
        told += [one.get("driver") for one in held(self.host, "supplies").values()
                 if isinstance(one, Mapping) and "of" not in one]  # fmt: skip
        return of in entry or entry.get(driver) not in told


def texts(held_: Any) -> list[str]:
    """One text, or a list of them, as a list."""
    return [held_] if isinstance(held_, str) else [str(one) for one in held_] if isinstance(held_, list | tuple) else []
