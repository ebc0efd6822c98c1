"""Tenons counted, and the metres of housings and rebates: where the faces meet, or along the edges that are named."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from webapp.costing.designs.made import Joinery
from webapp.costing.designs.model import FACES
from webapp.costing.errors import CostingError
from webapp.costing.ledger.working import Figure
from webapp.costing.takeoff.context import LeftOut, Taking
from webapp.costing.takeoff.meetings import Meetings
from webapp.costing.takeoff.parts import MadePart


@dataclass(frozen=True, slots=True)
class Joined:
    """What is cut in all pieces, by its entry: tenons, and m of housings and rebates."""

    tenons: Mapping[str, Figure] = field(default_factory=dict)
    metres: Mapping[str, Figure] = field(default_factory=dict)


def cut_joinery(taking: Taking, parts: Sequence[MadePart], meetings: Meetings) -> Joined:
    """The joinery under the answers chosen; what can't be made is named and left out."""
    made = {one.part.name: one for one in parts}
    tenons: dict[str, Figure] = {}
    metres: dict[str, Figure] = {}
    for entry in filter(taking.environment.active, taking.design.joinery.values()):
        part = made.get(entry.part)
        if part is None:
            continue
        called = f"The joinery “{entry.says}”"
        try:
            if entry.sort == "tenon":
                tenons[entry.name] = _tenons(taking, entry, part)
            else:
                metres[entry.name] = (_housed if entry.sort == "housing" else _rebated)(
                    taking, entry, part, meetings, called
                )
        except CostingError as error:
            taking.leave_out(f"joinery.{entry.name}", called, error)
    return Joined(tenons, metres)


def _tenons(taking: Taking, entry: Joinery, part: MadePart) -> Figure:
    key = f"joinery/{entry.name}"
    places = taking.given(f"{key}/places", f"{entry.says}: of each piece", entry.places, "tenon")
    return taking.derive(f"{key}/count", f"{entry.says}: tenons", "tenon", "of each piece x count", "places * count",
                         places=places, count=part.taken.count)  # fmt: skip


def _housed(taking: Taking, entry: Joinery, part: MadePart, meetings: Meetings, called: str) -> Figure:
    """Metres of housing: the longer sides of the faces in which the two parts meet."""
    runs: Counter[Fraction] = Counter(meeting.contact.run for meeting in meetings.between(entry.part, entry.into))
    if not runs:
        raise LeftOut(
            f"{called} is cut where “{part.part.says}” meets “{taking.design.parts[entry.into].says}”, and they don't "
            "touch; it is left out."
        )
    key = f"joinery/{entry.name}"
    figures = []
    for place, (run, number) in enumerate(sorted(runs.items(), reverse=True), 1):
        inputs = {
            "run": taking.given(f"{key}/run_{place}", f"{entry.says}: one cut", run, "nm", "the faces that meet"),
            "number": taking.given(f"{key}/number_{place}", f"{entry.says}: such", number, "", "the faces that meet"),
        }
        figures.append(taking.derive(f"{key}/metres_{place}", f"{entry.says}: cut", "m", "run x number",
                                     "metres(run) * number", **inputs))  # fmt: skip
    return figures[0] if len(figures) == 1 else taking.total(f"{key}/metres", f"{entry.says}: cut", "m", figures)


def _rebated(taking: Taking, entry: Joinery, part: MadePart, meetings: Meetings, called: str) -> Figure:
    """Metres of rebate along the edges named, of all pieces."""
    inputs: dict[str, Figure] = {}
    for number, edge in enumerate(entry.edges, 1):
        axis = FACES[edge][0]
        side = part.taken.width if axis == part.part.length_axis else part.taken.length
        if axis not in (part.part.length_axis, part.part.width_axis) or side is None:
            raise LeftOut(f"{called}: {edge} is a broad face of “{part.part.says}” and no edge; it is left out.")
        inputs[f"edge_{number}"] = side
    return taking.derive(
        f"joinery/{entry.name}/metres", f"{entry.says}: cut away", "m", "the edges named x count",
        f"metres({' + '.join(inputs)}) * count", **inputs, count=part.taken.count,
    )  # fmt: skip
