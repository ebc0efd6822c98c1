"""Round sections: bar, tube and rod that are bought round, and what is turned out of a square blank. nm."""

from __future__ import annotations

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.designs.model import Part
from webapp.costing.ledger.working import Figure
from webapp.costing.takeoff.context import LeftOut, Taking
from webapp.costing.takeoff.model import Round


def round_section(
    taking: Taking, part: Part, kind: Kind, width: Figure | None, thickness: Figure | None
) -> Round | None:
    """The round section of a part; None of a square one. Raises LeftOut where a diameter does not come out of its
    blank."""
    key, says = f"part/{part.name}", part.says
    if width is None or thickness is None:
        return None
    if part.turned is not None:
        diameter = taking.figure(f"{key}/diameter", f"{says}: diameter it is turned to", "nm", part.turned)
        blank = min(width.value, thickness.value)
        if not 0 < diameter.value <= blank:
            raise LeftOut(
                f"The part “{says}” is turned to {taking.length(diameter.value)}, and its blank is "
                f"{taking.length(blank)} across; it is left out."
            )
        return Round(diameter, _solid(taking, part))
    if kind is not Kind.LENGTH or not taking.stated.get(part.stock, {}).get("round"):
        return None
    if width.value != thickness.value:
        taking.wrong(
            f"materials.{part.stock}",
            f"“{taking.stock[part.stock].name}” is round and stated as {taking.length(width.value)} by "
            f"{taking.length(thickness.value)}: it is taken as square until both are its diameter.",
            "warning",
        )
        return None
    wall = taking.stated_figure(part.stock, "wall", "nm")
    return Round(width, wall if wall is not None else _solid(taking, part))


def _solid(taking: Taking, part: Part) -> Figure:
    return taking.given(f"part/{part.name}/no_wall", f"{part.says}: wall", 0, "nm")


def round_moment(taking: Taking, key: str, says: str, section: Round) -> Figure:
    """The second moment of area of a round section, mm4."""
    return taking.derive(
        key, f"{says}: second moment of area", "mm4", "that of a round of its diameter - that of the hollow",
        "second_moment_round(diameter, wall)", diameter=section.diameter, wall=section.wall,
    )  # fmt: skip


def round_mass(taking: Taking, part: Part, length: Figure, section: Round, density: Figure) -> Figure:
    """The weight of one piece, kg."""
    return taking.derive(
        f"part/{part.name}/mass", f"{part.says}: weight of one", "kg",
        "length x (round section outside - inside the wall) x density",
        "round_kilograms(length, diameter, wall, density)", length=length, diameter=section.diameter,
        wall=section.wall, density=density,
    )  # fmt: skip
