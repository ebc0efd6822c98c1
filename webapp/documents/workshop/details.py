"""Each kind of part of an item drawn by itself, under its number in the cut list."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.designs.model import FACES, Axis
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.measures.written import STEP_NM, System, format_length, round_to_step
from webapp.costing.takeoff.features import FastenedRow, Hole, Pocket
from webapp.costing.takeoff.model import PartTaken
from webapp.documents.plans.drawings import CutParts
from webapp.documents.printing.mitre_words import tilt_words
from webapp.documents.printing.shape_words import fold_line, shape_words
from webapp.pictures.drawings.detail import Grained, PartDrawn, draw_part
from webapp.pictures.drawings.views import BenchView
from webapp.pictures.piece_mark import Edge
from webapp.showing import counted

#: What is made into the parts of an item, by the part's name.
Feature = Hole | Pocket | FastenedRow
Made = Mapping[str, Sequence[Feature]]
EDGE_WORDS: Final[dict[Edge, str]] = {
    "start": "left end", "end": "right end", "low": "lower edge", "high": "upper edge",
}  # fmt: skip


def part_details(
    item: ItemTaken, parts: CutParts, materials: Mapping[str, Material], system: System, made: Made | None = None
) -> tuple[BenchView, ...]:
    """A drawing of each kind of part whose sizes are known, by number; with what the take-off makes into it, unless
    something else is `made`."""
    drawn = sorted(drawn_parts(item, parts, materials, system, made).values(), key=lambda one: one.number)
    return tuple(BenchView(f"{one.number} {one.says}", draw_part(one, system)) for one in drawn)


def drawn_parts(
    item: ItemTaken, parts: CutParts, materials: Mapping[str, Material], system: System, made: Made | None = None
) -> Mapping[str, PartDrawn]:
    """What there is to draw of each kind of part whose sizes are known, by the part's name."""
    made = item.take_off.made if made is None else made
    found = {}
    for part in item.take_off.parts:
        name = f"{item.id}/{part.name}"
        sizes = _sizes(part)
        if sizes is None or not part.count.value:
            continue
        material, stands = materials.get(part.material), item.take_off.design.parts[part.name]
        folds = fold_lines(part, stands.length_axis)
        all_made = [_on_flat(one, folds) for one in made.get(part.name, ())]
        found[part.name] = PartDrawn(
            parts.numbers[name], part.says, _notes(part, material, parts.banded[name], system), *sizes,
            part.mitre_runs if part.mitres else (0, 0), parts.banded[name], grain_of(part, material),
            tuple(one for one in all_made if not isinstance(one, FastenedRow)),
            tuple(one for one in all_made if isinstance(one, FastenedRow)), part.sawn,
            tuple((edge, line) for edge, line, _ in folds), part.outline, part.sides,
            lower=("xyz".index(stands.width_axis) - "xyz".index(stands.length_axis)) % 3 != 1,
        )  # fmt: skip
    return found


def _sizes(part: PartTaken) -> tuple[int, int, int] | None:
    """Length at its longest, width and thickness, nm, of what is folded those of its flat; what the take-off does not
    say is read off a placed piece."""
    length = int((part.long_point or part.length).value)
    width = int(part.width.value) if part.width is not None else 0
    thickness = int(part.thickness.value) if part.thickness is not None else 0
    if part.folds and part.blank_width is not None and thickness:
        return int(part.blank_length.value), int(part.blank_width.value), thickness
    if part.boxes and part.sawn is None and not (width and thickness):
        extent = sorted(part.boxes[0].extent)
        thickness, width = thickness or extent[0], width or extent[1]
    return (length, width, thickness) if length and width and thickness else None


def fold_lines(part: PartTaken, length_axis: Axis) -> list[tuple[Edge, int, int]]:
    """The folds of a part on its flat: along which edge, how far in the middle of the fold lies, and how much further
    in the flat goes on than the outside of the folded part; nm."""
    ends: tuple[tuple[Edge, Edge], tuple[Edge, Edge]] = (("start", "end"), ("low", "high"))
    return [
        (ends[FACES[fold.edge][0] != length_axis][FACES[fold.edge][1]], fold_line(fold),
         round(fold.leg.value - fold.deduction.value))
        for fold in part.folds
    ]  # fmt: skip


def _on_flat(one: Feature, folds: Sequence[tuple[Edge, int, int]]) -> Feature:
    """What is made into a folded part, measured on its flat."""
    if one.side not in ("face", "back") or isinstance(one, FastenedRow):
        return one
    first: Edge = "start" if one.side == "face" else "end"
    more: dict[Edge, int] = {}
    for edge, _, further in folds:
        more[edge] = more.get(edge, 0) + further
    return replace(one, along=one.along + more.get(first, 0), up=one.up + more.get("low", 0))


def _notes(part: PartTaken, material: Material | None, banded: Sequence[Edge], system: System) -> tuple[str, ...]:
    pieces = counted(int(part.count.value), "piece")
    notes = [f"{pieces}, {material.name}" if material else pieces]
    if banded:
        notes.append(f"band: {', '.join(EDGE_WORDS[edge] for edge in banded)}")
    if part.layers > 1:
        notes.append(f"{part.layers} layers of one part")
    if part.strips > 1:
        notes.append(f"glued up of {part.strips} strips")
    if part.is_bevelled or part.folds or part.outline or part.round:
        # Each row of folds stands in a line of its own.
        notes += shape_words(part, system).split("; ")
    if part.sawn is not None:
        notes += [words] if (words := tilt_words(part.sawn)) else []
        if short := round_to_step(part.sawn.short_length, STEP_NM[system]):
            notes.append(f"{format_length(short, system)} from short point to short point")
    return tuple(notes)


def grain_of(part: PartTaken, material: Material | None) -> Grained:
    """The way of the grain where the stock has one that the part is bound to."""
    without = part.kind is Kind.SHEET and material is not None and material.values.get("grain") != 1
    return "" if without or part.kind is Kind.LENGTH or part.grain == "free" else part.grain
