"""Templates for a router with a guide bush: of openings, pockets, plates let in, and of a part's own outline."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from webapp.costing.contours.guide import Guide, template_for
from webapp.costing.contours.sides import Contour
from webapp.costing.measures.written import System, format_length
from webapp.documents.bench.templates import Drawn, is_square, over
from webapp.documents.bench.work import BenchWork, ToMake
from webapp.pictures.full_size.flat import NM_PER_MM, FlatPart
from webapp.pictures.full_size.template_page import FullSize


@dataclass(frozen=True, slots=True)
class Routed:
    """What a template may be made for: its key in an address, its words, its contour as the side that it is worked from
    shows it, whether what lies within is cut away, and whether a plate is let in there."""

    key: str
    one: ToMake
    says: str
    contour: Contour
    inside: bool
    let_in: bool = False


def routed_of(work: BenchWork) -> tuple[Routed, ...]:
    """All that a template may be made for, in the order of the cut list."""
    return tuple(each for one in work.made if (flat := one.flat) is not None for each in _routed(one, flat))


def _routed(one: ToMake, flat: FlatPart) -> Iterator[Routed]:
    called = f"{one.number} {one.part.says}"
    if not is_square(flat.outline):
        yield Routed(f"{one.number}-outline", one, f"{called}: its own outline", flat.outline, inside=False)
    plates = {entry.says for entry in one.item.take_off.design.openings.values() if entry.let_in}
    for number, cut in enumerate(flat.cuts, 1):
        if cut.side not in ("face", "back"):
            continue
        from_back = cut.side == "back" and bool(cut.depth)
        seen = over(flat, cut.contour) if from_back else cut.contour
        words = f"{called}: {cut.takes or 'opening'}{', from the back' if from_back else ''}"
        let_in = bool(cut.depth) and cut.takes in plates
        if cut.takes in plates:
            words += " (pocket)" if cut.depth else " (opening beneath)"
        yield Routed(f"{one.number}-{number}", one, words, seen, inside=True, let_in=let_in)
        if let_in:
            # The plate comes to lie face up, so that its outline is that of the pocket.
            yield Routed(f"{one.number}-{number}-insert", one, f"{called}: what is let in", seen, inside=False)


def route(routed: Routed, guide: Guide, system: System) -> tuple[Drawn, tuple[str, ...]]:
    """The template for one of them with this guide, and what to mind. Raises GuideError where none can be made."""
    say = sayer(system)
    made = template_for(routed.contour, guide, inside=routed.inside, say=say)
    way = "outside" if routed.inside else "inside"
    notes = [
        f"For a guide bush of {say(guide.bush)} and a cutter of {say(guide.cutter)}: the template runs "
        f"{say(guide.off)} {way} the cut, which is the broken line.",
        *made.says,
    ]
    if routed.let_in and guide.insert_bush > guide.cutter:
        notes.append(
            f"With the same cutter and a bush of {say(guide.insert_bush)} this template cuts the piece that is let in, "
            "too: keep what lies within."
        )
    drawing = FullSize((made.edge,), (routed.contour,))
    return Drawn(routed.one, f"Router template, {routed.says}", "", drawing), tuple(notes)


def sayer(system: System) -> Callable[[float], str]:
    """Lengths of mm in the words of a shop."""
    return lambda mm: format_length(round(mm * NM_PER_MM), system)
