"""Mitred ends of a part: its long point, which is what is cut and drawn, and its mean length, which weighs."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.costing.designs.model import FACES, Mitres, Part
from webapp.costing.ledger.working import Figure
from webapp.costing.takeoff.context import LeftOut, Taking
from webapp.costing.takeoff.placed.solid import Slant


@dataclass(frozen=True, slots=True)
class Mitred:
    """The lengths of a mitred part, nm: finished and exact to the long point, and the mean; how its ends slant."""

    long_point: Figure
    exact_long_point: Figure
    mean: Figure
    slant: Slant


def mitred(
    taking: Taking,
    part: Part,
    lengths: tuple[Figure, Figure],
    width: Figure | None,
    thickness: Figure | None,
    entry: str,
) -> Mitred | None:
    """What mitres make of a part's lengths (finished, exact); None where its ends are square."""
    cut = part.mitres
    if cut is None:
        return None
    long_axis, _ = FACES[cut.long]
    across = width if long_axis == part.width_axis else thickness
    if across is None:
        raise LeftOut(f"{entry} has mitred ends, but nothing says how far across they are cut; it is left out.")
    runs = {name: _run(taking, part, name, across) for name in ("start", "end") if getattr(cut, name)}
    finished, exact = (_long_point(taking, part, cut, name, length, runs)
                       for name, length in zip(("long_point", "exact_long_point"), lengths, strict=True))  # fmt: skip
    if sum(run.value for run in runs.values()) >= finished.value:
        raise LeftOut(f"{entry} is {taking.length(finished.value)} to its long point: its mitres meet; it is left out.")
    names = " + ".join(runs)
    mean = taking.derive(
        f"part/{part.name}/mean_length", f"{part.says}: mean length", "nm", "long point less half the mitres' runs",
        f"long_point - ({names}) / 2", long_point=finished, **runs,
    )  # fmt: skip
    start, last = (runs[name].value if name in runs else None for name in ("start", "end"))
    return Mitred(finished, exact, mean, Slant("xyz".index(part.length_axis), start, last, "xyz".index(long_axis)))


def _run(taking: Taking, part: Part, end: str, across: Figure) -> Figure:
    key, says = f"part/{part.name}/mitre_{end}", part.says
    assert part.mitres is not None
    degrees = taking.working.given(
        f"{taking.prefix}/{key}_degrees", f"{says}: mitre at the {end}, off square", getattr(part.mitres, end),
        "degrees", "the design",
    )  # fmt: skip
    return taking.derive(
        key, f"{says}: what the mitre at the {end} runs", "nm", "size across x tangent of the angle off square",
        "mitre_run(across, degrees)", across=across, degrees=degrees,
    )  # fmt: skip


def _long_point(taking: Taking, part: Part, cut: Mitres, name: str, length: Figure, runs: dict[str, Figure]) -> Figure:
    """The length itself where the design measures it on the longest face, else with what each mitre adds."""
    if cut.measured_long:
        return length
    exactly = ", exact" if name.startswith("exact") else ""
    return taking.derive(
        f"part/{part.name}/{name}", f"{part.says}: long point{exactly}", "nm", "short point + what each mitre runs",
        f"short + {' + '.join(runs)}", short=length, **runs,
    )  # fmt: skip
