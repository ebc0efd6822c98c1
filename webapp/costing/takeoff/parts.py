"""Parts of a design as made: finished sizes, the blanks they are cut from, edge band, mass, and where they stand."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.designs.model import FACES, Face, Part
from webapp.costing.errors import CostingError, FormulaError
from webapp.costing.ledger.working import Figure
from webapp.costing.space.saw_marks import SawMarks, saw_marks
from webapp.costing.space.turns import take_away
from webapp.costing.takeoff.context import LeftOut, Taking
from webapp.costing.takeoff.folds import fold
from webapp.costing.takeoff.mitres import mitred
from webapp.costing.takeoff.model import Box, FoldTaken, PartTaken, Round
from webapp.costing.takeoff.outlines import Outlined, outline, pieces_of
from webapp.costing.takeoff.placed.folded import FoldedPart, LegThere, legs_of
from webapp.costing.takeoff.placed.solid import Corner, Placed, Slant
from webapp.costing.takeoff.placed.stood import Stood, box_around, lie
from webapp.costing.takeoff.rounds import round_mass, round_section
from webapp.costing.takeoff.standing import MOST_OF_ONE
from webapp.costing.trade.boards import choose_rough, strips_for

#: The step of the work that cuts sheets by router instead of by saw.
ROUTER_STEPS: Final = ("rout_sheets", "run_router")


@dataclass(frozen=True, slots=True)
class MadePart:
    """A part with what the rest of the take-off needs of it.

    `banded_edges` pairs each banded edge of one piece with its finished length; `banded` is m of banded edge of all
    pieces, `all_mass` their mass, `placed` the pieces in space; of one that is not convex these are the boxes that hold
    what is drilled and cut, and `solids` what it fills. A board or sheet with mitred ends is coated over its
    `mean_length`; anything else over its length. Where it stands for the `legs` of one row of folds, so that something
    is made in these, `placed` are their boxes as if all folds were square.
    """

    part: Part
    taken: PartTaken
    banded_edges: tuple[tuple[Face, Figure], ...]
    banded: Figure | None
    all_mass: Figure | None
    placed: tuple[Placed, ...]
    mean_length: Figure
    solids: tuple[Placed, ...]
    folded: FoldedPart | None = None
    outlined: Outlined | None = None
    legs: tuple[LegThere, ...] = ()

    @property
    def of(self) -> str:
        """The name of the part that is cut, where this stands for its legs too."""
        return self.legs[0].base.part if self.legs else self.part.name

    @property
    def flat_area(self) -> Figure | None:
        """The nm2 of what is folded, laid flat, or cut to an outline; None of a rectangle."""
        shaped = self.folded or self.outlined
        return None if shaped is None else shaped.area


def make_parts(taking: Taking) -> tuple[MadePart, ...]:
    """The parts under the answers chosen, in the design's order; those that can't be made are named and left out."""
    made, pieces = [], 0
    for part in filter(taking.environment.active, taking.design.parts.values()):
        entry = f"The part “{part.says}”"
        try:
            if part.slanting is not None and not taking.standing.count(taking.environment, part).value:
                # Its length follows from where its pieces stand.
                continue
            one = _make(taking, part, entry)
            pieces += int(one.taken.count.value)
            if pieces > MOST_OF_ONE:
                raise LeftOut(f"{entry} makes more than {MOST_OF_ONE} pieces in all; it is left out.")
        except CostingError as error:
            taking.leave_out(f"parts.{part.name}", entry, error)
            taking.unplaced.add(part.name)
            continue
        if one.taken.count.value:
            made.append(one)
            if not one.placed:
                taking.unplaced.add(part.name)
    return tuple(made)


def _make(taking: Taking, part: Part, entry: str) -> MadePart:
    key, says = f"part/{part.name}", part.says
    role = taking.design.roles[part.stock]
    count = taking.standing.count(taking.environment, part)
    exact = taking.standing.sizes(taking.environment, part)
    length = taking.rounded(f"{key}/length", f"{says}: finished length", exact.length)
    width, thickness = (_finished(taking, part, side, getattr(exact, side)) for side in ("width", "thickness"))
    for figure, word in ((length, "long"), (width, "wide"), (thickness, "thick")):
        if figure is not None and figure.value <= 0:
            raise LeftOut(f"{entry} comes out at {taking.length(figure.value)} {word}; it is left out.")
    edges = _banded_edges(part, length, width)
    strips = 1
    if role.kind is Kind.BOARD and width is not None:
        strips = strips_for(int(width.value), max(1, int(taking.rates["widest_strip"])), taking.step_nm)
    slanted = mitred(taking, part, (length, exact.length), width, thickness, entry)
    stood = _stood(taking, part) if part.slanting is not None else None
    sawn = saw_marks(stood.bodies[0]) if stood is not None and stood.bodies else None
    whole = length if slanted is None else slanted.long_point
    if sawn is not None:
        whole = _to_long_points(taking, part, sawn)
    exact_whole = exact.length if slanted is None else slanted.exact_long_point
    folded = fold(taking, part, length, width, thickness)
    outlined = outline(taking, part, length, width)
    section = round_section(taking, part, role.kind, width, thickness)
    flat = folded.area if folded is not None else outlined.area if outlined is not None else None
    blank_length, blank_width = _blank(taking, part, role.kind, whole, width, strips, entry, folded)
    mass = _mass(taking, part, length if slanted is None else slanted.mean, width, thickness, flat, section)
    slant = None if slanted is None else slanted.slant
    if part.slanting is None:
        placed = _place(taking, part, (exact_whole, exact.width, exact.thickness), slant)
    else:
        placed = _aslant(part, stood)
    solids = placed
    if folded is not None:
        solids = tuple(leg for piece in placed for leg in legs_of(folded, piece))
    elif outlined is not None:
        solids = tuple(each for piece in placed for each in pieces_of(outlined, piece))
    taken = PartTaken(
        name=part.name,
        says=says,
        role=part.stock,
        material=taking.code_of(part.stock),
        kind=role.kind,
        grain=part.grain,
        layers=part.layers,
        strips=strips,
        length=length,
        width=width,
        thickness=thickness,
        count=count,
        blank_length=blank_length,
        blank_width=blank_width,
        rough_thickness=_rough(taking, part, thickness, entry) if role.kind is Kind.BOARD else None,
        banded=tuple((face, int(edge.value)) for face, edge in edges),
        mass=mass,
        boxes=tuple(box_of(each) for each in solids),
        together=part.together if taking.environment.answered(part.together_when) else "",
        mitres=part.mitres,
        long_point=whole if sawn is not None else None if slanted is None else slanted.long_point,
        mitre_runs=(0, 0) if slant is None else (int(slant.low or 0), int(slant.high or 0)),
        by_router=role.kind is Kind.SHEET and _by_router(taking, part.stock),
        sawn=sawn,
        folds=() if folded is None else tuple(
            FoldTaken(one.edge, one.root.way, one.leg, one.deduction, one.degrees, one.entry.says,
                      one.on.entry.says if one.on else "", one.entry.inwards, folded.laid_beyond(one))
            for one in folded.folds
        ),
        outline=() if outlined is None else outlined.corners,
        sides=() if outlined is None else outlined.sides,
        round=section,
    )  # fmt: skip
    all_mass = None
    if mass is not None:
        all_mass = taking.derive(f"{key}/all_mass", f"{says}: weight of all", "kg", "weight x count", "mass * count",
                                 mass=mass, count=count)  # fmt: skip
    mean = length if slanted is None or role.kind is Kind.LENGTH else slanted.mean
    banded = _banded(taking, part, edges, count)
    return MadePart(part, taken, edges, banded, all_mass, placed, mean, solids, folded, outlined)


def _by_router(taking: Taking, stock: str) -> bool:
    steps = (taking.design.operations[name] for name in ROUTER_STEPS if name in taking.design.operations)
    return any(taking.environment.active(step) and stock in step.of for step in steps)


def _finished(taking: Taking, part: Part, side: str, exact: Figure | None) -> Figure | None:
    """A width or thickness as finished: rounded where the design says it, else as its stock has it."""
    if exact is None or getattr(part, side) is None:
        return exact
    return taking.rounded(f"part/{part.name}/{side}", f"{part.says}: finished {side}", exact)


def _banded_edges(part: Part, length: Figure, width: Figure | None) -> tuple[tuple[Face, Figure], ...]:
    """The banded edges of one piece with their finished lengths: the face across the width has the length's edge."""
    edges = []
    for face in part.band:
        edge = length if FACES[face][0] == part.width_axis else width
        if edge is not None:
            edges.append((face, edge))
    return tuple(edges)


def _banded(taking: Taking, part: Part, edges: tuple[tuple[Face, Figure], ...], count: Figure) -> Figure | None:
    if not edges:
        return None
    inputs = {f"edge_{number}": edge for number, (_, edge) in enumerate(edges, 1)}
    return taking.derive(
        f"part/{part.name}/banded", f"{part.says}: banded edges", "m", "finished lengths of the banded edges x count",
        f"metres({' + '.join(inputs)}) * count", **inputs, count=count,
    )  # fmt: skip


def _blank(
    taking: Taking, part: Part, kind: Kind, length: Figure, width: Figure | None, strips: int, entry: str,
    folded: FoldedPart | None,
) -> tuple[Figure, Figure | None]:  # fmt: skip
    """What is cut: the finished size with what joints, oversize and milling add, less the band where it is deducted."""
    across = {face: FACES[face][0] for face in part.band} if kind is Kind.SHEET else {}
    on_ends = sum(axis == part.length_axis for axis in across.values())
    on_sides = len(across) - on_ends
    blank_length = _blank_size(taking, part, kind, "length", length, on_ends, 1, folded)
    blank_width = None
    if width is not None and kind is not Kind.LENGTH:
        blank_width = _blank_size(taking, part, kind, "width", width, on_sides, strips, folded)
    for figure, word in ((blank_length, "long"), (blank_width, "wide")):
        if figure is not None and figure.value <= 0:
            raise LeftOut(f"{entry} has a blank of {taking.length(figure.value)} {word}; it is left out.")
    return blank_length, blank_width


def _blank_size(
    taking: Taking, part: Part, kind: Kind, side: str, finished: Figure, bands: int, strips: int,
    folded: FoldedPart | None,
) -> Figure:  # fmt: skip
    key, says = f"part/{part.name}", part.says
    terms, words, inputs = ["finished"], ["the finished size"], {"finished": finished}

    def add(sign: str, term: str, word: str, name: str, figure: Figure) -> None:
        terms.append(f"{sign} {term}")
        words.append(f"{sign} {word}")
        inputs[name] = figure

    joint = part.joint_length if side == "length" else part.joint_width
    if joint is not None:
        added = taking.figure(f"{key}/joint_{side}", f"{says}: what its joints add to the {side}", "nm", joint)
        add("+", "whole_up(joint)", "what joints add", "joint", added)
    if folded is not None and side in folded.added:
        add("+", "half_up(legs, step)", "what its folds add, to the shop's measuring step", "legs", folded.added[side])
        inputs["step"] = taking.step
    if kind is Kind.BOARD:
        add("+", "oversize", "oversize", "oversize", taking.setting(f"oversize_{side}", "nm"))
        if strips > 1:
            inputs["strips"] = taking.strips(part, strips)
            add("+", "2 * (strips - 1) * jointing", f"jointing on {2 * (strips - 1)} glued edges", "jointing",
                taking.setting("jointing", "nm"))  # fmt: skip
    if kind is Kind.SHEET and part.layers > 1:
        add("+", "oversize", "oversize of glued layers", "oversize", taking.setting("oversize_layers", "nm"))
    if bands:
        edges = taking.given(f"{key}/bands_{side}", f"{says}: banded edges across the {side}", bands, "edge")
        thickness = _band_thickness(taking, part)
        if thickness is not None and thickness.value > taking.rates["band_deducted_above"]:
            inputs["edges"] = edges
            add("-", "edges * band", f"band on {bands} edge{'s' * (bands > 1)}", "band", thickness)
        if taking.rates["band_pre_mill"]:
            inputs["edges"] = edges
            add("+", "edges * milled", "what is milled before banding", "milled",
                taking.setting("band_pre_mill", "nm"))  # fmt: skip
    return taking.derive(
        f"{key}/blank_{side}", f"{says}: blank {side}", "nm", " ".join(words), " ".join(terms), **inputs
    )


def _band_thickness(taking: Taking, part: Part) -> Figure | None:
    if part.band_stock not in taking.stock:
        return None
    try:
        return taking.named(f"{part.band_stock}.thickness")
    except FormulaError as error:
        taking.wrong(
            f"materials.{part.band_stock}",
            f"{error} The blanks of “{part.says}” are cut as if it had none.",
            "warning",
        )
        return None


def _rough(taking: Taking, part: Part, thickness: Figure | None, entry: str) -> int | None:
    """The thinnest rough thickness on offer that planes to the finished one, nm."""
    material = taking.stock.get(part.stock)
    if material is None or thickness is None:
        return None
    layer = thickness.value / part.layers
    offered = sorted(
        int(offer.size["rough_thickness"])
        for offer in taking.catalogue.offers_of(material.code)
        if "rough_thickness" in offer.size
    )
    rough = choose_rough(-(-layer.numerator // layer.denominator), offered)
    if rough is None:
        thickest = "none is on offer"
        if offered:
            thickest = f"the thickest on offer is {taking.length(Fraction(offered[-1]))} rough"
        taking.wrong(
            f"parts.{part.name}",
            f"{entry} is {taking.length(layer)} thick, and no board of “{material.name}” planes to that: {thickest}.",
        )
    return rough


def _mass(
    taking: Taking, part: Part, length: Figure, width: Figure | None, thickness: Figure | None,
    flat: Figure | None, section: Round | None,
) -> Figure | None:  # fmt: skip
    """The mass of one piece on its finished size, or on its `flat` area; None where the material states no density."""
    key, label = f"part/{part.name}/mass", f"{part.says}: weight of one"
    by_length = taking.stated_figure(part.stock, "mass_per_metre", "kg/m")
    if by_length is not None:
        return taking.derive(key, label, "kg", "length x weight of a metre", "metres(length) * by_length",
                             length=length, by_length=by_length)  # fmt: skip
    density = taking.stated_figure(part.stock, "density", "kg/m3")
    if density is None or width is None or thickness is None:
        return None
    if section is not None:
        return round_mass(taking, part, length, section, density)
    if flat is not None:
        return taking.derive(key, label, "kg", "area of the flat x thickness x density",
                             "kilograms(area, 1, thickness, density)", area=flat, thickness=thickness,
                             density=density)  # fmt: skip
    wall = taking.stated_figure(part.stock, "wall", "nm")
    if wall is not None and wall.value:
        return taking.derive(
            key, label, "kg", "length x (section outside - section inside the wall) x density",
            "tube_kilograms(length, width, thickness, wall, density)",
            length=length, width=width, thickness=thickness, wall=wall, density=density,
        )  # fmt: skip
    return taking.derive(
        key, label, "kg", "length x width x thickness x density", "kilograms(length, width, thickness, density)",
        length=length, width=width, thickness=thickness, density=density,
    )  # fmt: skip


def _place(
    taking: Taking, part: Part, sizes: tuple[Figure | None, ...], slant: Slant | None
) -> tuple[Placed, ...]:
    """The pieces in space, exact; none where they stand nowhere, a size is not known or a place can't be worked out."""
    if taking.design.loose or any(size is None for size in sizes):
        return ()
    length, width, thickness = (size.value for size in sizes if size is not None)
    extent = lie(part, length, width, thickness)
    stood = _stood(taking, part)
    if stood is None:
        return ()
    return tuple(
        Placed(part.name, number, corner, extent, slant, places=places)
        for number, (corner, places) in enumerate(zip(stood.corners, stood.places_of_all, strict=True), 1)
    )


def _stood(taking: Taking, part: Part) -> Stood | None:
    """The pieces as they stand; None where a place can't be worked out, and that is said."""
    try:
        return taking.standing.stood(taking.environment, part)
    except FormulaError as error:
        taking.wrong(
            f"parts.{part.name}.at", f"Where the part “{part.says}” stands can't be worked out. {taking.why(error)}"
        )
        return None


def _aslant(part: Part, stood: Stood | None) -> tuple[Placed, ...]:
    """Pieces that stand aslant, each in the box around it."""
    if stood is None:
        return ()
    found = []
    for number, (body, places) in enumerate(zip(stood.bodies, stood.places_of_all, strict=True), 1):
        low, high = box_around(body)
        found.append(Placed(part.name, number, low, take_away(high, low), places=places, body=body))
    return tuple(found)


def _to_long_points(taking: Taking, part: Part, sawn: SawMarks) -> Figure:
    """From long point to long point along a piece that stands aslant, as finished."""
    key, says = f"part/{part.name}/long_point", part.says
    exact = taking.given(f"{key}/exact", f"{says}: from long point to long point, exact", sawn.length_nm, "nm",
                         "the corners of the piece as its ends are cut")  # fmt: skip
    return taking.rounded(key, f"{says}: from long point to long point", exact)


def box_of(piece: Placed) -> Box:
    """A piece as it is told outside the sums: in whole nanometres."""
    corners = () if piece.body is None else tuple(_whole(corner) for corner in piece.body.corners)
    faces = () if piece.body is None else tuple(face.corners for face in piece.body.faces)
    return Box(piece.part, piece.number, _whole(piece.corner), _whole(piece.extent), corners, faces, piece.nth)


def _whole(values: Corner) -> tuple[int, int, int]:
    """Whole nanometres, a half going up."""
    x, y, z = (
        value.numerator
        if value.denominator == 1
        else (2 * value.numerator + value.denominator) // (2 * value.denominator)
        for value in values
    )
    return x, y, z
