"""Whether a row of a parts list can be cut from its material, and the sentence why it can't."""

from __future__ import annotations

from fractions import Fraction

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material
from webapp.costing.jobs.job import ListedPart
from webapp.costing.measures.written import System, format_length
from webapp.costing.trade.boards import SURFACED_TWO_SIDES


def unmakable(part: ListedPart, material: Material, catalogue: Catalogue) -> tuple[str, str]:
    """The size that a row lacks for its material, and the sentence why; nothing where it lacks none."""
    if material.kind in (Kind.SHEET, Kind.BOARD) and part.width is None:
        return "width", f"a part of “{material.name}” needs its width."
    if material.kind is Kind.BOARD and thickness_of(part, material, catalogue) is None:
        return "thickness", f"“{material.name}” is planed to a thickness, and none is typed."
    return "", ""


def misfit(part: ListedPart, material: Material, catalogue: Catalogue, system: System) -> tuple[str, str]:
    """The size of a row that is larger than what its material comes as, and the sentence why; nothing where it fits."""

    def told(nm: int | Fraction) -> str:
        return format_length(int(nm), system)

    if material.kind is Kind.LENGTH:
        return _too_long(part, material, catalogue, system)
    sheets = _sheets(material, catalogue) if material.kind is Kind.SHEET else []
    if part.width is None or not sheets:
        return "", ""
    upright, turned = (part.length, part.width), (part.width, part.length)
    allowed = {"length": (upright,), "width": (turned,)}.get(grain_of(part, material), (upright, turned))
    if any(long <= sheet[0] and wide <= sheet[1] for long, wide in allowed for sheet in sheets):
        return "", ""
    largest = max(sheets, key=lambda sheet: sheet[0] * sheet[1])
    said = f"{told(part.length)} × {told(part.width)} fits no sheet of “{material.name}”"
    if any(long <= sheet[0] and wide <= sheet[1] for long, wide in (upright, turned) for sheet in sheets):
        return (
            "length",
            f"{said} with its grain along the {grain_of(part, material)}: are length and width exchanged?",
        )
    return "length", f"{said}, the largest of which is {told(largest[0])} × {told(largest[1])}."


def _too_long(part: ListedPart, material: Material, catalogue: Catalogue, system: System) -> tuple[str, str]:
    lengths = _offered(material, catalogue, "length")
    joined = material.values.get("spliced") == 1 or bool(material.values.get("splice_lap"))
    if not lengths or joined or part.length <= max(lengths):
        return "", ""
    longest = format_length(int(max(lengths)), system)
    long = format_length(part.length, system)
    return "length", f"{long} is longer than any length of “{material.name}”, the longest of which is {longest}."


def grain_of(part: ListedPart, material: Material) -> str:
    """Which size the grain of a sheet's part runs along: as the row says, else along the length where it has any."""
    if not material.values.get("grain"):
        return "free"
    return part.grain or "length"


def thickness_of(part: ListedPart, material: Material, catalogue: Catalogue) -> int | None:
    """The finished thickness of a part of boards: as the row says, else what the one rough thickness on offer planes
    to; None where several are on offer."""
    if part.thickness is not None:
        return part.thickness
    offered = {int(size) for size in _offered(material, catalogue, "rough_thickness")}
    return SURFACED_TWO_SIDES.get(next(iter(offered))) if len(offered) == 1 else None


def _sheets(material: Material, catalogue: Catalogue) -> list[tuple[Fraction, Fraction]]:
    return [(one.size["length"], one.size["width"]) for one in catalogue.offers_of(material.code)]


def _offered(material: Material, catalogue: Catalogue, size: str) -> list[Fraction]:
    return [one.size[size] for one in catalogue.offers_of(material.code) if size in one.size]
