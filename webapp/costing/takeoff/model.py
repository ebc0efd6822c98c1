"""What a design comes to at chosen sizes: parts, fastenings, areas and drivers for ONE finished thing.

Everything that enters a sum is a Figure in the shared working; geometry is in whole nanometres.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final, Literal

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.designs.model import Design, Face, Grain, Mitres
from webapp.costing.errors import Problem
from webapp.costing.ledger.working import Figure
from webapp.costing.space.saw_marks import SawMarks
from webapp.costing.takeoff.features import Hole, Marked, Pocket
from webapp.costing.trade.folding import SQUARE


@dataclass(frozen=True, slots=True)
class Box:
    """One placed part: its kind, its number from 1, the lower corner and the extents along x, y, z, nm.

    One that stands aslant has its `corners`, nm, and its `faces` as rounds of these, anticlockwise from outside.
    What is not convex is several of the same number, told apart by `nth` from 0 on.
    """

    part: str
    number: int
    corner: tuple[int, int, int]
    extent: tuple[int, int, int]
    corners: tuple[tuple[int, int, int], ...] = ()
    faces: tuple[tuple[int, ...], ...] = ()
    nth: int = 0


@dataclass(frozen=True, slots=True)
class Round:
    """A round section: its diameter and its wall, 0 of a solid one, nm."""

    diameter: Figure
    wall: Figure


@dataclass(frozen=True, slots=True)
class FoldTaken:
    """An edge that is folded: which, which way its leg goes, how far outside, what that takes off the flat, by how many
    degrees off the flat, and by which row. What is folded `on` the legs of another row goes `inwards` or back; `beyond`
    is what of the flat lies between its leg and the edge, nm.
    """

    edge: Face
    way: Face
    leg: Figure
    deduction: Figure
    degrees: Figure
    says: str
    on: str = ""
    inwards: bool = True
    beyond: Fraction = Fraction(0)

    @property
    def is_square(self) -> bool:
        """Whether its leg stands at a right angle to what it is folded on."""
        return self.degrees.value == SQUARE


@dataclass(frozen=True, slots=True)
class PartTaken:
    """A kind of part: sizes in nm as rounded to the shop's step; `count` for one finished thing.

    All parts of one finished thing with the same word in `together` come from one sheet. `long_point` is the length of
    one with mitred or slanting ends, and `mitre_runs` how far the start and end of a mitred one slant from there, nm.
    One that stands aslant is `sawn` by these marks; its length is that of its middle line. What has `folds` is measured
    between them, outside, and its blank is the flat. What is `round` lies in the middle of its square blank, which
    stands for it. What is cut to an `outline` has its corners, along and across, and its blank is the box about it;
    its `sides` are the same by lines and arcs: where each begins, and how it bulges (costing/contours).
    """

    name: str
    says: str
    role: str
    material: str
    kind: Kind
    grain: Grain
    layers: int
    strips: int
    length: Figure
    width: Figure | None
    thickness: Figure | None
    count: Figure
    blank_length: Figure
    blank_width: Figure | None
    rough_thickness: int | None
    banded: tuple[tuple[Face, int], ...]
    mass: Figure | None
    boxes: tuple[Box, ...]
    together: str = ""
    mitres: Mitres | None = None
    long_point: Figure | None = None
    mitre_runs: tuple[int, int] = (0, 0)
    by_router: bool = False
    sawn: SawMarks | None = None
    folds: tuple[FoldTaken, ...] = ()
    outline: tuple[tuple[int, int], ...] = ()
    sides: tuple[tuple[tuple[int, int], float], ...] = ()
    round: Round | None = None

    @property
    def is_bevelled(self) -> bool:
        """Whether an end is not cut square."""
        cuts = () if self.sawn is None else self.sawn.cuts
        return self.mitres is not None or any(cut.face_run or cut.edge_run for cut in cuts)


@dataclass(frozen=True, slots=True)
class FasteningTaken:
    """Fastenings of one joint: `count` = per row x rows, without spares."""

    joint: str
    says: str
    material: str
    per_row: Figure
    rows: Figure
    count: Figure


@dataclass(frozen=True, slots=True)
class WeldTaken:
    """The welds of one joint: `each` is cm of one, `length` cm of all `count`; `ground` where a step does that."""

    joint: str
    says: str
    material: str
    count: Figure
    each: Figure
    length: Figure
    ground: bool


@dataclass(frozen=True, slots=True)
class HardwareTaken:
    """Hardware of one sort: how many of it one item takes, and where they stand, as far as the design says it."""

    name: str
    says: str
    material: str
    count: Figure
    mass: Figure | None
    boxes: tuple[Box, ...] = ()


@dataclass(frozen=True, slots=True)
class FinishTaken:
    """A finish: `area` once in m2, `coated` = what a coat has to cover summed over the coats, edge factors included."""

    name: str
    says: str
    material: str
    coats: int
    area: Figure
    coated: Figure
    between: Figure


@dataclass(frozen=True, slots=True)
class Held:
    """What a check holds against each other: it passes while what is needed is no more than what there is."""

    needs: Fraction
    has: Fraction
    unit: str


#: How a check came out. Of what is 'unknown' the sentence says what to type; it is no pass.
Outcome = Literal["pass", "warning", "failure", "unknown"]


#: The check that sums up in one sentence what is said of each pair of parts that overlap.
CLEAR: Final = "clear"
#: The checks that are a design's own rules, by how their names begin.
OWN_RULE: Final = "must/"


@dataclass(frozen=True, slots=True)
class Check:
    """A check and how it came out, in a sentence, with the figures behind it.

    `held` is there where it is one measure against its limit.
    """

    name: str
    outcome: Outcome
    sentence: str
    figures: tuple[str, ...] = ()
    held: Held | None = None


@dataclass(frozen=True, slots=True)
class AssemblyStep:
    """What comes in at one go when the thing is put together: pieces by part and number, and which way they move, one
    long. Several were put together by the steps before, apart from the rest."""

    pieces: tuple[tuple[str, int], ...]
    direction: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class TakeOff:
    """The whole take-off of one finished thing.

    `glue` is m2 of glue line by material; `band` is m of edge band to buy by material (overhang and waste included);
    `drivers` are the units of each operation, by the operation's name, for those that follow from the design alone
    (those of the layout, 'items', 'items_by_crew' and 'people' are counted by the estimate);
    `supplies` likewise by supply name. `scope_says` is what stands for each name in the scope, lengths in nm.
    `made` is what is made into each part, by its name, `marked` where that stands on the pieces.
    `assembly` is an order in which all goes together; empty where none is found, or where nothing stands in space.
    """

    design: Design
    sizes: Mapping[str, Figure]
    choices: Mapping[str, str]
    materials: Mapping[str, str]
    fit_notes: Mapping[str, str]
    parts: tuple[PartTaken, ...]
    fastenings: tuple[FasteningTaken, ...]
    welds: tuple[WeldTaken, ...]
    hardware: tuple[HardwareTaken, ...]
    glue: Mapping[str, Figure]
    glue_lines: Mapping[str, Figure]
    band: Mapping[str, Figure]
    finishes: tuple[FinishTaken, ...]
    drivers: Mapping[str, Figure]
    supplies: Mapping[str, tuple[str, Figure | None]]
    mass: Figure
    heaviest: PartTaken | None
    checks: tuple[Check, ...]
    problems: tuple[Problem, ...]
    scope: str
    scope_says: Mapping[str, str | int] = field(default_factory=dict)
    assembly: tuple[AssemblyStep, ...] = ()
    made: Mapping[str, tuple[Hole | Pocket, ...]] = field(default_factory=dict)
    marked: tuple[Marked, ...] = ()

    @property
    def lifted(self) -> Figure:
        """The mass that is lifted at once: of the finished thing, or of the heaviest part of loose ones."""
        heaviest = self.heaviest.mass if self.heaviest is not None else None
        return heaviest if self.design.loose and heaviest is not None else self.mass

    @property
    def longest_side(self) -> int:
        """The longest side of what is lifted at once, from the floor's corner, nm."""
        if self.design.loose:
            return max((int(part.length.value) for part in self.parts), default=0)
        reach = (box.corner[axis] + box.extent[axis] for part in self.parts for box in part.boxes for axis in range(3))
        return max(reach, default=0)
