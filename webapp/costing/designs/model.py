"""A design: the parametric pattern a job starts from. Frozen values; the text form and the database hold the same."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING, Final, Literal

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.designs.needs import Needs
from webapp.costing.designs.stations import Slanting, Stations
from webapp.costing.ledger.formula import Expression
from webapp.costing.measures.quantities import System

if TYPE_CHECKING:
    from webapp.costing.designs.made import Folds, Holds, HoleField, Joinery, Move, Opening, Outline

Axis = Literal["x", "y", "z"]
Face = Literal["left", "right", "front", "back", "top", "bottom"]
Grain = Literal["length", "width", "free"]

#: The faces of a placed box: axis and end (0 the lower, 1 the upper).
FACES: Final[Mapping[Face, tuple[Axis, int]]] = {
    "left": ("x", 0), "right": ("x", 1), "front": ("y", 0), "back": ("y", 1), "bottom": ("z", 0), "top": ("z", 1),
}  # fmt: skip

#: What a screw bites into.
Bites = Literal["solid", "sheet_edge", "sheet_face", "lightly", ""]
#: How a load lies on a piece: spread over it, in its middle, or along one edge.
Lies = Literal["spread", "middle", "edge"]
#: How far a weld runs around the end of a bar or tube: along all its sides, two wide ones, one, or as worked out.
Weld = Literal["", "all_round", "two_sides", "one_side", "given"]


@dataclass(frozen=True, slots=True)
class Size:
    """A value the user may change, with its limits. Lengths in nm; whole numbers have no unit.

    `inch` is the same where the shop measures in inches and the design says round values of its own for that.
    """

    name: str
    says: str
    usual: Fraction
    least: Fraction
    most: Fraction
    is_length: bool = True
    inch: Size | None = None

    def told_in(self, system: System) -> Size:
        """The size with the values of a length system."""
        return self.inch if system == "inch" and self.inch is not None else self


@dataclass(frozen=True, slots=True)
class Role:
    """A place in the design that a material fills. One that `follows` another takes what fits that one's material;
    `customer` is what a quote calls it, where that is something else."""

    name: str
    says: str
    kind: Kind
    usual: str
    follows: str = ""
    needs: Needs = field(default_factory=Needs)
    customer: str = ""


@dataclass(frozen=True, slots=True)
class Choice:
    """A question with a few answers; entries with `when` belong to one answer. Answers are unique in a design."""

    name: str
    says: str
    answers: tuple[str, ...]
    usual: str


@dataclass(frozen=True, slots=True)
class Value:
    """A named value: one formula, or one per answer of a choice ('' where it is the same for every answer); or one per
    length system, as if that were a choice.

    A measure stands as a formula of one number in nm, nm2 or kg. `dimension` is the exponents of length and mass.
    """

    name: str
    formulas: Mapping[str, Expression]
    dimension: tuple[int, int] = (0, 0)


@dataclass(frozen=True, slots=True)
class Mitres:
    """Ends of a length cut on the slant: degrees off square at the lower and the upper end along its axis, 0 if square.

    The part is longest on the face `long`, or on the one opposite where several lie turned over, as in a frame; its
    length in the design is measured there, or else on the shorter face.
    """

    start: Fraction
    end: Fraction
    long: Face
    measured_long: bool


@dataclass(frozen=True, slots=True)
class Part:
    """A kind of part, written once however many there are.

    `length` and `width` are finished sizes as seen; the thickness comes from the stock, or from `thickness` for boards.
    `runs` says which axes length and width follow. `at` is the corner nearest the front left at the floor, where
    `number` counts 1..count; along the axes of `stations` the pieces stand as these say, and without a `count` there is
    one at each crossing of the stations. `joint_length` and `joint_width` are what tenons, tongues and housings add to
    the blank. `layers` blanks are glued to make one part. All parts of one thing with the same word in `together` come
    from one sheet, under the answer `together_when` or always. What stands `within` a use is told for one
    place of it. One that is `slanting` has no length of its own; one that is
    `turned` is round, of that diameter, out of its square blank.
    """

    name: str
    says: str
    stock: str
    count: Expression | None
    length: Expression
    width: Expression | None
    thickness: Expression | None
    length_axis: Axis
    width_axis: Axis
    at: Mapping[Axis, Expression]
    grain: Grain = "free"
    band: tuple[Face, ...] = ()
    band_stock: str = ""
    joint_length: Expression | None = None
    joint_width: Expression | None = None
    layers: int = 1
    mitres: Mitres | None = None
    when: str = ""
    together: str = ""
    together_when: str = ""
    stations: Mapping[Axis, Stations] = field(default_factory=dict)
    within: str = ""
    slanting: Slanting | None = None
    turned: Expression | None = None


@dataclass(frozen=True, slots=True)
class Use:
    """A design that stands in another, once or in rows, as a box with `size` along x, y and z.

    It stands as a part does: `at`, `stations`, `count`. What is in it stands by its own corner nearest the front left
    at the floor, and mirrored along the axes `mirrored`. `design` is the code of the one that it is, `within` the use
    in which it stands itself.
    """

    name: str
    says: str
    design: str
    size: Mapping[Axis, Expression]
    at: Mapping[Axis, Expression]
    stations: Mapping[Axis, Stations]
    count: Expression | None
    mirrored: tuple[Axis, ...] = ()
    when: str = ""
    within: str = ""


@dataclass(frozen=True, slots=True)
class Joint:
    """Parts held together: rows of fastenings, lines of glue, or both; or welded.

    `rows` rows of `run` length, a fastening every `spacing` from `end` on; or `count` fastenings outright. `glue_width`
    is the width of each glue line; `grip` is what a screw passes through before it bites, `room` what there is to bite
    into (0: as much as it likes). A welded joint has a `count`, and `weld` says how far each weld runs: by the section
    of `source`, or `weld_run` where it is given; `ground` welds are ground flush where the shop grinds.

    Where `meets` is set, whatever of run, rows, count of welds, width of glue, grip, room and bite isn't given follows
    from the faces of `source` that meet those of `into` or of the `others`: parts, or hardware that stands in space, as
    a base or a drawer box bought whole. `play` is how far what it holds may move
    each way. `within` a use, both stand in one place of it.
    """

    name: str
    says: str
    source: str
    into: str
    run: Expression | None = None
    rows: Expression | None = None
    count: Expression | None = None
    fastener: str = ""
    spacing: Expression | None = None
    end: Expression | None = None
    at_least: Expression | None = None
    glue: str = ""
    glue_width: Expression | None = None
    grip: Expression | None = None
    room: Expression | None = None
    bites: Bites = ""
    weld: Weld = ""
    weld_run: Expression | None = None
    ground: bool = False
    touches: bool = True
    when: str = ""
    others: tuple[str, ...] = ()
    meets: bool = False
    play: Expression | None = None
    within: str = ""

    @property
    def held(self) -> tuple[str, ...]:
        """The parts, or the standing hardware, that the first one is held to."""
        return (self.into, *self.others)


@dataclass(frozen=True, slots=True)
class Hardware:
    """Pieces that are bought and fitted.

    With a `size` along x, y and z they stand in space as parts do: by `at` and `stations`, or one `under` each piece of
    a part, in its middle. Without a `count` there are as many as there are places. Screws that hold other hardware say
    how much they pass `through` of it, and the part that they go `into`, or what `room` there is to bite into. What
    goes `to_wall` holds the whole to a wall.
    """

    name: str
    says: str
    stock: str
    count: Expression | None
    when: str = ""
    size: Mapping[Axis, Expression] = field(default_factory=dict)
    at: Mapping[Axis, Expression] = field(default_factory=dict)
    stations: Mapping[Axis, Stations] = field(default_factory=dict)
    under: str = ""
    into: str = ""
    through: Expression | None = None
    room: Expression | None = None
    to_wall: bool = False
    within: str = ""


@dataclass(frozen=True, slots=True)
class Surface:
    """Area to be finished: `faces` broad faces of each part of a kind, or its edges, or an area worked out.

    `edges`: 'banded' edges, 'raw' ones without band, 'all' four edges, 'long' or 'ends'; 'around' is the long sides of
    a bar or tube. With `stock` it is that of every part cut from it. What is `exposed` is all of a part that touches
    nothing else and can be reached.
    """

    name: str
    part: str = ""
    faces: int = 0
    edges: Literal["", "banded", "raw", "all", "long", "ends", "around"] = ""
    area: Expression | None = None
    raw_edge: bool = False
    when: str = ""
    stock: str = ""
    exposed: bool = False

    def is_on(self, part: str, stock: str) -> bool:
        """Whether it is named as a surface of this part, or of all that is cut from its stock."""
        return bool((self.part and self.part == part) or (self.stock and self.stock == stock))


@dataclass(frozen=True, slots=True)
class Finish:
    """So many coats of a stock role on the named surfaces."""

    name: str
    says: str
    stock: str
    coats: int
    on: tuple[str, ...]
    when: str = ""


@dataclass(frozen=True, slots=True)
class Supply:
    """Something used up in proportion to a driver: abrasive discs by area, wrapping by item."""

    name: str
    says: str
    stock: str
    driver: str
    of: tuple[str, ...] = ()
    when: str = ""


@dataclass(frozen=True, slots=True)
class Operation:
    """A step of the work, by the shop's name for it, and what drives it. The shop's rates say how long it takes.

    What a step `includes` by name, of parts, joints, finishes, hardware and what is cut, is done in its time.
    """

    name: str
    says: str
    driver: str
    of: tuple[str, ...] = ()
    count: Expression | None = None
    when: str = ""
    includes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Load:
    """What is planned on each piece of a part, by weight, and which share of it stays there (all, where None)."""

    name: str
    part: str
    kilograms: Expression
    lies: Lies = "spread"
    lasting: Expression | None = None
    when: str = ""


@dataclass(frozen=True, slots=True)
class Span:
    """A part that spans and is loaded evenly: the sag check. Load in N/mm, or as `kilograms` spread over one of it.

    Without a `span` it is the widest gap between what the part rests on. Where `flat` is given it is judged by that.
    """

    name: str
    part: str
    span: Expression | None
    load: Fraction
    limit: Literal["shelf", "bench"] = "shelf"
    when: str = ""
    kilograms: Expression | None = None
    flat: Expression | None = None


@dataclass(frozen=True, slots=True)
class Must:
    """A rule the design has to satisfy; `says` is the sentence when it does not, with {names} filled in."""

    name: str
    that: Expression
    says: str
    severity: Literal["failure", "warning"] = "failure"
    when: str = ""


@dataclass(frozen=True, slots=True)
class Design:
    """One immutable version of a design. `document` is its canonical form, whose digest is its identity.

    The parts of a `loose` one stand nowhere: they are cut and worked on, and not put together. One of a later `form`
    than 1 leaves unsaid what follows from its parts in space.
    """

    code: str
    name: str
    says: str
    sizes: Mapping[str, Size]
    roles: Mapping[str, Role]
    choices: Mapping[str, Choice]
    values: Mapping[str, Value]
    parts: Mapping[str, Part]
    joints: Mapping[str, Joint]
    hardware: Mapping[str, Hardware]
    surfaces: Mapping[str, Surface]
    finishes: Mapping[str, Finish]
    supplies: Mapping[str, Supply]
    operations: Mapping[str, Operation]
    spans: Mapping[str, Span]
    musts: Mapping[str, Must]
    closes: Mapping[Axis, Expression]
    scope: str
    not_included: tuple[str, ...]
    holes: Mapping[str, HoleField] = field(default_factory=dict)
    openings: Mapping[str, Opening] = field(default_factory=dict)
    joinery: Mapping[str, Joinery] = field(default_factory=dict)
    folds: Mapping[str, Folds] = field(default_factory=dict)
    outlines: Mapping[str, Outline] = field(default_factory=dict)
    moves: Mapping[str, Move] = field(default_factory=dict)
    holds: Mapping[str, Holds] = field(default_factory=dict)
    digest: str = ""
    document: Mapping[str, object] = field(default_factory=dict)
    loose: bool = False
    form: str = "1"
    loads: Mapping[str, Load] = field(default_factory=dict)
    uses: Mapping[str, Use] = field(default_factory=dict)
    for_others: bool = False

    def thing(self, name: str) -> Part | Hardware:
        """What stands in space under a name: a part, or hardware."""
        return self.parts.get(name) or self.hardware[name]

    def sizes_in(self, system: System) -> dict[str, Size]:
        """The sizes with the values of a length system."""
        return {name: size.told_in(system) for name, size in self.sizes.items()}
