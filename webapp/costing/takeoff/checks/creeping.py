"""How much further a part sags under what stays on it: by what its material is, from the published table."""

from __future__ import annotations

from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.tags import is_tagged
from webapp.costing.ledger.working import Figure
from webapp.costing.takeoff.context import Taking
from webapp.costing.trade.loads.creep import deformation_factor

#: What a tag is in the table. Particleboard and strand board creep by their grade, which no tag says: theirs is not
#: known by the table.
_BY_TAG: Final = (
    ("plywood", "plywood"), ("fibreboard", "mdf"), ("tube", "steel"), ("steel_bar", "steel"), ("timber", "solid_wood"),
)  # fmt: skip


def creep_factor(taking: Taking, role: str) -> Figure:
    """By how much of itself a first sag grows over the years in a heated room, of the material in a role.

    Source: EN 1995-1-1 (2004), table 3.2; what the table doesn't know goes by the shop's setting.
    """
    material = taking.stock[role]
    tags = (*taking.design.roles[role].needs.tags, *material.tags)
    kind = next((kind for tag, kind in _BY_TAG if is_tagged(tags, tag)), "")
    if not kind and material.kind is Kind.BOARD:
        kind = "solid_wood"
    factor = deformation_factor(kind) if kind else None
    if factor is not None:
        return taking.working.given(
            f"creep/{kind}", f"Sag grows over the years by, {kind.replace('_', ' ')}", factor, "",
            "EN 1995-1-1 (2004), table 3.2, service class 1",
        )  # fmt: skip
    return taking.working.derive(
        "creep/setting", "Sag grows over the years by, shop default", "", "sag grows to - 1", "creep - 1",
        creep=taking.setting("creep", ""),
    )  # fmt: skip


def worst_factor(taking: Taking, roles: tuple[str, ...]) -> Figure:
    """The greatest creep of several materials that bend together."""
    return max((creep_factor(taking, role) for role in roles), key=lambda figure: figure.value)
