"""What holds parts together: fastenings in rows, lines of glue, glued-up panels, and hardware."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.designs.model import Hardware, Joint, Use
from webapp.costing.designs.within import is_in
from webapp.costing.errors import CostingError, FormulaError
from webapp.costing.ledger.working import Figure
from webapp.costing.takeoff.context import MOST_FASTENINGS, LeftOut, Taking
from webapp.costing.takeoff.joint_lines import JointLines, Row, lines_of
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.model import Check, FasteningTaken, HardwareTaken, WeldTaken
from webapp.costing.takeoff.parts import MadePart, box_of
from webapp.costing.takeoff.placed.solid import Placed
from webapp.costing.takeoff.welds import weld


@dataclass(frozen=True, slots=True)
class FittedHardware:
    """Hardware with what the rest of the take-off needs of it: its pieces in space, none where it is counted only."""

    hardware: Hardware
    taken: HardwareTaken
    placed: tuple[Placed, ...]


@dataclass(slots=True)
class HeldTogether:
    """The joints as made. `lines` counts the rows or lines of each joint, glued or not, by its name; `glue_lines` the
    glued ones; `glue` is m2 by material code. Welded joints are among `welds` alone."""

    fastenings: list[FasteningTaken] = field(default_factory=list)
    welds: list[WeldTaken] = field(default_factory=list)
    lines: dict[str, Figure] = field(default_factory=dict)
    glue_lines: dict[str, Figure] = field(default_factory=dict)
    glue: dict[str, Figure] = field(default_factory=dict)
    glued: dict[str, list[Figure]] = field(default_factory=dict)
    made: list[Joint] = field(default_factory=list)


def meetings_of(parts: Sequence[MadePart], hardware: Sequence[FittedHardware]) -> Meetings:
    """Where the parts meet each other and all standing hardware: parts first, hardware after them."""
    placed = [piece for one in parts for piece in one.solids]
    return Meetings([*placed, *(piece for one in hardware for piece in one.placed)])


def meetings_held(taking: Taking, everything: Meetings) -> Meetings:
    """Where the parts meet each other, and the standing hardware that joints hold them to."""
    held = {name for joint in filter(taking.environment.active, taking.design.joints.values()) for name in joint.held}
    held -= taking.design.parts.keys()
    return everything.among(
        [place for place, piece in enumerate(everything.placed) if not piece.of_hardware or piece.part in held]
    )


def hold_together(taking: Taking, parts: tuple[MadePart, ...], meetings: Meetings) -> HeldTogether:
    """The joints under the answers chosen; those that can't be worked out are named and left out."""
    held = HeldTogether()
    for joint in filter(taking.environment.active, taking.design.joints.values()):
        entry = f"The joint “{joint.says}”"
        try:
            if joint.weld:
                held.welds.append(weld(taking, joint, entry, parts, meetings))
            elif joint.count is not None:
                _count_outright(taking, joint, entry, held)
            else:
                _lay_rows(taking, joint, entry, held, meetings)
            held.made.append(joint)
        except CostingError as error:
            taking.leave_out(f"joints.{joint.name}", entry, error)
    for one in parts:
        _glue_up(taking, one, held)
    for code, areas in held.glued.items():
        name = taking.catalogue.materials[code].name
        held.glue[code] = taking.total(f"glue/{code}", f"{name}: area of glue lines", "m2", areas)
    return held


def _count_outright(taking: Taking, joint: Joint, entry: str, held: HeldTogether) -> None:
    assert joint.count is not None
    key = f"joint/{joint.name}"
    count = taking.counted(f"{key}/count", f"{joint.says}: count", "piece", joint.count, entry, MOST_FASTENINGS)
    one = taking.working.given(f"{taking.prefix}/{key}/rows", f"{joint.says}: rows", 1, "row", "counted outright")
    held.lines[joint.name] = count
    held.fastenings.append(FasteningTaken(joint.name, joint.says, taking.code_of(joint.fastener), count, one, count))


def _lay_rows(taking: Taking, joint: Joint, entry: str, held: HeldTogether, meetings: Meetings) -> None:
    """Rows of fastenings and lines of glue along a run, or along each of the runs over which the faces meet."""
    lines = lines_of(taking, joint, entry, meetings)
    for row in lines.rows:
        if row.run.value <= 0 and row.rows.value:
            raise LeftOut(f"{entry} has a run of {taking.length(row.run.value)}; it is left out.")
    fastening = None
    if joint.fastener:
        fastening = _fasten(taking, joint, entry, lines.rows)
    rows = lines.rows[0].rows
    if len(lines.rows) > 1:
        counts = [one.rows for one in lines.rows]
        rows = taking.total(f"joint/{joint.name}/lines", f"{joint.says}: lines", "row", counts)
    if joint.glue:
        area = _glued(taking, joint, entry, lines)
        held.glue_lines[joint.name] = rows
        if joint.glue in taking.stock:
            held.glued.setdefault(taking.code_of(joint.glue), []).append(area)
    held.lines[joint.name] = rows
    if fastening is not None:
        held.fastenings.append(fastening)


def _glued(taking: Taking, joint: Joint, entry: str, lines: JointLines) -> Figure:
    """The area of glue of a joint: run x width x lines, or all of the faces that meet where neither is typed."""
    key, says = f"joint/{joint.name}", joint.says
    if joint.glue_width is None and lines.area is not None:
        return taking.derive(f"{key}/glue", f"{says}: area of glue lines", "m2", "all of the faces that meet",
                             "square_metres(area, 1)", area=lines.area)  # fmt: skip
    if joint.glue_width is None:
        if len(lines.met.widths) != 1:
            raise LeftOut(f"{entry} is glued, and its faces don't meet in one width: its glue width is needed.")
        width = taking.given(f"{key}/glue_width", f"{says}: width of a glue line", lines.met.widths[0], "nm",
                             "the faces that meet")  # fmt: skip
    else:
        width = taking.figure(f"{key}/glue_width", f"{says}: width of a glue line", "nm", joint.glue_width)
    if width.value <= 0:
        raise LeftOut(f"{entry} has a glue line {taking.length(width.value)} wide; it is left out.")
    areas = [
        taking.derive(
            f"{key}/glue" + (f"_{place}" if len(lines.rows) > 1 else ""), f"{says}: area of glue lines", "m2",
            "run x width of a line x lines", "square_metres(run, width) * rows",
            run=one.run, width=width, rows=one.rows,
        )
        for place, one in enumerate(lines.rows, 1)
    ]  # fmt: skip
    return areas[0] if len(areas) == 1 else taking.total(f"{key}/glue", f"{says}: area of glue lines", "m2", areas)


#: So many in a row at least, where a design says nothing: one alone lets a part turn (common practice).
_FEWEST: Final = 2


def _fasten(taking: Taking, joint: Joint, entry: str, rows: Sequence[Row]) -> FasteningTaken:
    key, says = f"joint/{joint.name}", joint.says
    assert joint.spacing is not None
    assert joint.end is not None
    spacing = taking.figure(f"{key}/spacing", f"{says}: spacing", "nm", joint.spacing)
    end = taking.figure(f"{key}/end", f"{says}: end distance", "nm", joint.end)
    label = f"{says}: fewest in a row"
    if joint.at_least is None:
        at_least = taking.given(f"{key}/at_least", label, _FEWEST, "piece", "common practice: one lets a part turn")
    else:
        at_least = taking.counted(f"{key}/at_least", label, "piece", joint.at_least, entry)
    for figure, word in ((spacing, "spacing"), (end, "end distance")):
        if figure.value < 0 or (figure is spacing and not figure.value):
            raise LeftOut(f"{entry} has a {word} of {taking.length(figure.value)}; it is left out.")
    in_rows, counts = [], []
    for place, row in enumerate(rows, 1):
        nth = f"_{place}" if place > 1 else ""
        in_rows.append(
            taking.derive(
                f"{key}/per_row{nth}", f"{says}: in a row", "piece",
                "(run - 2 x end distance) / spacing, rounded up, + 1; at least the fewest; "
                "2 where the run is shorter than both end distances; all within half the measuring step",
                "row_count(run, end, spacing, at_least, step / 2)",
                run=row.run, end=end, spacing=spacing, at_least=at_least, step=taking.step,
            )
        )  # fmt: skip
        counts.append(
            taking.derive(
                f"{key}/count" + (f"_{place}" if len(rows) > 1 else ""), f"{says}: count", "piece", "in a row x rows",
                "per_row * rows", per_row=in_rows[-1], rows=row.rows,
            )
        )  # fmt: skip
        _note_short(taking, joint, row, end, in_rows[-1])
    count = counts[0] if len(counts) == 1 else taking.total(f"{key}/count", f"{says}: count", "piece", counts)
    if count.value > MOST_FASTENINGS:
        raise LeftOut(f"{entry} comes to {count.value} fastenings; {MOST_FASTENINGS} are the most. It is left out.")
    return FasteningTaken(joint.name, says, taking.code_of(joint.fastener), in_rows[0], rows[0].rows, count)


def _note_short(taking: Taking, joint: Joint, row: Row, end: Figure, per_row: Figure) -> None:
    if row.rows.value and row.run.value + taking.step.value / 2 < 2 * end.value:
        taking.checks.append(
            Check(
                f"short_run/{joint.name}",
                "warning",
                f"{joint.says}: the run of {taking.length(row.run.value)} is shorter than two end distances of "
                f"{taking.length(end.value)}; {per_row.value} hold it, a quarter of the run from its ends.",
                (row.run.id, end.id),
            )
        )


def _glue_up(taking: Taking, one: MadePart, held: HeldTogether) -> None:
    """The glue lines between the strips and the layers of a glued-up part, over the size of its blank."""
    taken = one.taken
    if taken.strips == 1 and taken.layers == 1:
        return
    key, says = f"part/{one.part.name}", one.part.says
    areas = []
    if taken.strips > 1 and taken.thickness is not None:
        areas.append(
            taking.derive(
                f"{key}/glue_between_strips", f"{says}: glue between strips", "m2",
                "blank length x thickness x (strips - 1) x count",
                "square_metres(length, thickness) * (strips - 1) * count",
                length=taken.blank_length, thickness=taken.thickness, count=taken.count,
                strips=taking.strips(one.part, taken.strips),
            )
        )  # fmt: skip
    broad = taken.blank_width or taken.width
    if taken.layers > 1 and broad is not None:
        areas.append(
            taking.derive(
                f"{key}/glue_between_layers", f"{says}: glue between layers", "m2",
                "blank length x blank width x (layers - 1) x count",
                "square_metres(length, width) * (layers - 1) * count",
                length=taken.blank_length, width=broad, count=taken.count,
                layers=taking.layers(one.part),
            )
        )  # fmt: skip
    roles = _glue_roles(taking)
    if len(roles) != 1:
        found = "no glue" if not roles else f"{len(roles)} glues ({', '.join(roles)})"
        taking.wrong(
            f"parts.{one.part.name}",
            f"The part “{says}” is glued up from {taken.strips * taken.layers} pieces, and the design names {found} "
            "for it; the glue between them is left out.",
        )
    elif roles[0] in taking.stock:
        held.glued.setdefault(taking.code_of(roles[0]), []).extend(areas)


def _glue_roles(taking: Taking) -> list[str]:
    """The liquids of the design that are neither a finish nor used up by a supply: its glues."""
    design = taking.design
    other = {each.stock for each in design.finishes.values()} | {each.stock for each in design.supplies.values()}
    return [role.name for role in design.roles.values() if role.kind is Kind.LIQUID and role.name not in other]


def fit_hardware(taking: Taking) -> tuple[FittedHardware, ...]:
    """The hardware under the answers chosen, with its mass where that is stated and its places where it stands."""
    found = []
    for hardware in filter(taking.environment.active, taking.design.hardware.values()):
        entry = f"The hardware “{hardware.says}”"
        try:
            one = _fit(taking, hardware)
        except CostingError as error:
            taking.leave_out(f"hardware.{hardware.name}", entry, error)
            continue
        if one.taken.count.value:
            found.append(one)
    return tuple(found)


def _fit(taking: Taking, hardware: Hardware) -> FittedHardware:
    key, says = f"hardware/{hardware.name}", hardware.says
    count = taking.standing.count(taking.environment, hardware)
    each = taking.stated_figure(hardware.stock, "mass", "kg")
    mass = None
    if each is not None:
        mass = taking.derive(f"{key}/mass", f"{says}: weight of all", "kg", "weight of one x count", "each * count",
                             each=each, count=count)  # fmt: skip
    placed = _place_hardware(taking, hardware)
    boxes = tuple(box_of(one) for one in placed)
    taken = HardwareTaken(hardware.name, says, taking.code_of(hardware.stock), count, mass, boxes)
    return FittedHardware(hardware, taken, placed)


def _place_hardware(taking: Taking, hardware: Hardware) -> tuple[Placed, ...]:
    """The pieces in space; none where the design counts them only, or where a place can't be worked out."""
    if not hardware.size or taking.design.loose:
        return ()
    try:
        stood = taking.standing.stood(taking.environment, hardware)
    except FormulaError as error:
        why = taking.why(error)
        taking.wrong(f"hardware.{hardware.name}", f"Where “{hardware.says}” stands can't be worked out. {why}")
        return ()
    if min(stood.extent) <= 0:
        taking.wrong(
            f"hardware.{hardware.name}",
            f"“{hardware.says}” comes out at {taking.length(min(stood.extent))} one way; it is drawn nowhere.",
        )
        return ()
    places = stood.places or [()] * len(stood.corners)
    return tuple(
        Placed(hardware.name, number, corner, stood.extent, of_hardware=True, places=place)
        for number, (corner, place) in enumerate(zip(stood.corners, places, strict=True), 1)
    )


def _weigh_use(taking: Taking, use: Use, parts: tuple[MadePart, ...], hardware: Sequence[HardwareTaken]) -> None:
    """What one place of a use weighs: what is in all of them, and what is fitted there, by their number."""
    try:
        places = taking.standing.count(taking.environment, use)
    except CostingError:
        # Its parts are left out by then, and said.
        return
    masses = [(one.part.within, one.all_mass) for one in parts]
    masses += [(taking.design.hardware[one.name].within, one.mass) for one in hardware]
    held = [mass for within, mass in masses if mass is not None and is_in(taking.design, within, use.name)]
    if places.value:
        whole = taking.total(f"use/{use.name}/mass", f"{use.says}: weight of all", "kg", held)
        taking.standing.masses[use.name] = taking.derive(
            f"use/{use.name}/mass_of_one", f"{use.says}: weight of one", "kg", "weight of all / places",
            "whole / places", whole=whole, places=places,
        )  # fmt: skip


def weigh(
    taking: Taking, parts: tuple[MadePart, ...], hardware: Sequence[HardwareTaken]
) -> tuple[Figure, MadePart | None]:
    """The mass of one finished thing, and the heaviest of its parts. What it leaves out is said by a check."""
    for one in parts:
        if one.taken.mass is not None:
            taking.standing.masses[one.part.name] = one.taken.mass
    masses = [one.all_mass for one in parts if one.all_mass is not None]
    masses += [one.mass for one in hardware if one.mass is not None]
    whole = taking.total(
        "mass", "Weight of one", "kg", masses,
        "parts on finished sizes and hardware; glue, finish and fastenings are left out",
    )  # fmt: skip
    taking.standing.whole_mass = whole
    for use in filter(taking.environment.active, taking.design.uses.values()):
        _weigh_use(taking, use, parts, hardware)
    unknown = [one.part.says for one in parts if one.all_mass is None]
    small = [
        one.says
        for one in hardware
        if one.mass is None and taking.design.roles[taking.design.hardware[one.name].stock].kind is Kind.PIECE
    ]
    if unknown or small:
        said = ", ".join([*unknown, *small])
        taking.checks.append(
            Check(
                "mass_leaves_out",
                "warning" if unknown else "pass",
                f"The weight leaves out {said}: their materials state no {'density' if unknown else 'weight'}.",
                (whole.id,),
            )
        )
    weighed: Mapping[str, MadePart] = {one.part.name: one for one in parts if one.taken.mass is not None}
    heaviest = max(
        weighed.values(), key=lambda one: one.taken.mass.value if one.taken.mass is not None else 0, default=None
    )
    return whole, heaviest
