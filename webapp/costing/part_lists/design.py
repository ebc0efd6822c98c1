"""A list of parts made into a design of loose parts: the one way in which parts without a design enter the sums.

What is made is the canonical form of a design, in memory, and goes through the same reader and take-off as any other.
So what is bought, cut, timed, weighed, printed and frozen with a quote follows without a second path.

What is charged, by the shop's own minutes, as a design's parts are:

- drawing, and ordering and fetching, once for the list;
- sheets: unloaded, parted, held by a second person, sawn to size, the fence set;
- bar and tube of metal: sawn and deburred; other lengths: crosscut at the stop;
- boards: jointed and planed by the piece, each strip of a wide part for itself, and those strips glued up;
- edge band by the metre;
- sanding of the wood by the square metre where the list asks for it, and wherever it is finished;
- finishing by the square metre and coat, brushed or sprayed as the shop does, faces and edges of all parts;
- packing and loading, one stack for each set of the list, by those who lift its heaviest part.

What is not: joints, fastenings, fitting, hardware and abrasives, of which a list says nothing.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Catalogue, Material, is_metal
from webapp.costing.catalogue.meant import KnownStock
from webapp.costing.errors import Problem
from webapp.costing.jobs.job import DesignItem, ListedPart, PartsList
from webapp.costing.measures.trade_words import in_trade_words
from webapp.costing.measures.written import write_quantity
from webapp.costing.part_lists.stock import grain_of, thickness_of, unmakable

#: Before the item's id in the code of its design, which nobody sees.
CODE: Final = "parts_"
#: The longest name that the form takes.
LONGEST_NAME: Final = 40
#: The uses of stock that give roles their names.
STOCK: Final = "stock"
BAND: Final = "band"
#: The answer of the shop's setting 'finish_method' that stands for the brush.
BRUSHED: Final = 0

_LONG_EDGES: Final = ("front", "back")
_SHORT_EDGES: Final = ("left", "right")

_Entry = dict[str, object]
#: What the places are called that are no stock of parts; those are called by the kind of their material.
_USES: Final = {BAND: "Edge band", "finish": "Finish", "glue": "Glue"}


@dataclass(slots=True)
class _Roles:
    """The stock roles of the list, one for each material and use, in the order in which the rows name them."""

    entries: dict[str, _Entry] = field(default_factory=dict)
    names: dict[tuple[str, str], str] = field(default_factory=dict)
    materials: dict[str, Material] = field(default_factory=dict)

    def of(self, use: str, material: Material) -> str:
        """The role of a material in that use."""
        name = self.names.get((use, material.code))
        if name is None:
            name = f"{use}_{sum(other == use for other, _ in self.names) + 1}"
            words = _USES.get(use) or KINDS[material.kind].singular
            like = sum(
                one["says"] == words or str(one["says"]).startswith(f"{words} ") for one in self.entries.values()
            )
            self.names[use, material.code] = name
            self.materials[name] = material
            self.entries[name] = {
                "says": f"{words} {like + 1}" if like else words, "kind": str(material.kind), "usual": material.code,
            }  # fmt: skip
        return name

    def surface(self, role: str, words: str) -> str:
        """A name for a surface of a role's parts, which is printed with its underscores as spaces."""
        name = f"{self.materials[role].code}_{words}".replace("-", "_")
        return name if len(name) <= LONGEST_NAME and name[0].isalpha() and "__" not in name else f"{role}_{words}"

    def banded(self) -> list[str]:
        """The roles of edge band."""
        return [name for (use, _), name in self.names.items() if use == BAND]

    def cut(self, *kinds: Kind, metal: bool | None = None) -> list[str]:
        """The roles that parts of these kinds are cut from."""
        return [
            name
            for (use, _), name in self.names.items()
            if use == STOCK
            and self.materials[name].kind in kinds
            and (metal is None or is_metal(self.materials[name]) is metal)
        ]


def design_of_list(
    item: DesignItem, catalogue: Catalogue, finish_method: Fraction
) -> tuple[dict[str, object] | None, tuple[Problem, ...]]:
    """The document of the design that an item's list of parts makes, and what of the list can't be made.

    None where no row of it can be. The fields of the problems are within the item: parts.3.material. Whatever else is
    wrong, a part that is larger than any sheet among it, the take-off and the purchase say of it as of any design.
    """
    listed = item.listed or PartsList()
    maker = _Maker(listed, catalogue)
    parts = {f"part_{row.place}": made for row in listed.parts if (made := maker.part(row)) is not None}
    if not parts:
        return None, tuple(maker.problems)
    roles = maker.roles
    coat = maker.liquid("finish", listed.finish)
    if roles.cut(Kind.BOARD):
        # Sheets and lengths are not glued up from strips.
        maker.liquid("glue", listed.glue)
    surfaces = _surfaces(roles, finished=bool(coat), sanded=listed.sanded)
    pieces = sum(row.count for row in listed.parts if f"part_{row.place}" in parts)
    document: dict[str, object] = {
        "form": "1",
        "design": _code(item.id),
        "name": item.label or "Parts",
        "says": "Loose parts, cut by a list.",
        "loose": "yes",
        "stock": roles.entries,
        "parts": parts,
        "surfaces": surfaces,
        "finish": {} if not coat else {
            "coats": {"says": "All parts", "stock": coat, "coats": str(listed.coats), "on": list(surfaces)},
        },
        "operations": _operations(roles, surfaces, coat, brushed=finish_method == BRUSHED),
        "scope": _scope(pieces, len(parts), roles, listed, bool(coat)),
    }  # fmt: skip
    return {name: section for name, section in document.items() if section}, tuple(maker.problems)


def _code(item_id: str) -> str:
    return f"{CODE}{re.sub('[^a-z0-9]+', '_', item_id)}"[:40].replace("__", "_").rstrip("_")


class _Maker:
    """Makes the parts of one list, and notes what can't be made."""

    def __init__(self, listed: PartsList, catalogue: Catalogue) -> None:
        self.listed, self.catalogue = listed, catalogue
        self.known = KnownStock(catalogue.materials.values())
        self.roles, self.problems = _Roles(), list[Problem]()

    def wrong(self, row: ListedPart, key: str, message: str, severity: str = "failure") -> None:
        """Note what is wrong with a row."""
        said = f"Row {row.place}, “{row.name[:60]}”: {message}"
        self.problems.append(Problem(f"parts.{row.place}.{key}", said, severity))

    def part(self, row: ListedPart) -> _Entry | None:
        """The part of a row, standing nowhere: its length lies along x and its width along y."""
        material = self.known.find(row.material)
        if material is None:
            self.wrong(row, "material", self.known.unknown(row.material))
            return None
        field_wrong, why = unmakable(row, material, self.catalogue)
        if why:
            self.wrong(row, field_wrong, why)
            return None
        made: _Entry = {
            "says": row.name,
            "stock": self.roles.of(STOCK, material),
            "count": str(row.count),
            "length": _written(row.length),
            "runs": {"length": "x", "width": "y"},
        }
        own = material.kind is Kind.LENGTH
        if row.width is not None and not own:
            made["width"] = _written(row.width)
        elif row.width is not None:
            said = f"“{material.name}” is as wide as it comes; the width typed is not used."
            self.wrong(row, "width", said, "warning")
        if material.kind is Kind.BOARD:
            made["thickness"] = _written(thickness_of(row, material, self.catalogue) or 0)
        elif row.thickness is not None:
            said = f"“{material.name}” is as thick as it comes; the thickness typed is not used."
            self.wrong(row, "thickness", said, "warning")
        if material.kind is Kind.SHEET:
            made["grain"] = grain_of(row, material)
        if any(row.edges):
            self.band(row, made, material)
        return made

    def band(self, row: ListedPart, made: _Entry, material: Material) -> None:
        """The edge band of a part: of its row, else of the list."""
        typed = row.band or self.listed.band
        band = self.known.find(typed, (Kind.LENGTH,)) if typed else None
        if material.kind is Kind.LENGTH:
            self.wrong(row, "edges", f"the edges of “{material.name}” are not banded; it is a length itself.")
        elif not typed:
            self.wrong(row, "band", "its edges are banded, and neither the row nor the list says with what.")
        elif band is None:
            self.wrong(row, "band", self.known.unknown(typed, (Kind.LENGTH,)))
        else:
            long, short = row.edges
            edges = [*_LONG_EDGES[:long], *_SHORT_EDGES[:short]]
            made["band"] = {"with": self.roles.of(BAND, band), "edges": edges}

    def liquid(self, use: str, typed: str) -> str:
        """The role of the finish or the glue of the list; '' where there is none."""
        if not typed:
            return ""
        found = self.known.find(typed, (Kind.LIQUID,))
        if found is None:
            said = self.known.unknown(typed, (Kind.LIQUID,))
            self.problems.append(Problem(use, f"The {use} of the list: {said}"))
            return ""
        return self.roles.of(use, found)


def _written(nm: int) -> str:
    return write_quantity(Fraction(nm), "length", "metric")


def _surfaces(roles: _Roles, *, finished: bool, sanded: bool) -> dict[str, _Entry]:
    """What is finished or sanded: faces and edges of sheets and boards, lengths all around; metal only finished."""
    surfaces: dict[str, _Entry] = {}
    if not finished and not sanded:
        return surfaces
    for role in roles.cut(Kind.SHEET):
        surfaces |= {
            roles.surface(role, "faces"): {"stock": role, "faces": "2"},
            roles.surface(role, "banded_edges"): {"stock": role, "edges": "banded"},
            roles.surface(role, "raw_edges"): {"stock": role, "edges": "raw", "raw_edge": "yes"},
        }
    for role in roles.cut(Kind.BOARD):
        surfaces |= {
            roles.surface(role, "faces"): {"stock": role, "faces": "2"},
            roles.surface(role, "edges"): {"stock": role, "edges": "all"},
        }
    for role in roles.cut(Kind.LENGTH, metal=None if finished else False):
        surfaces[roles.surface(role, "around")] = {"stock": role, "edges": "around"}
    return surfaces


def _operations(roles: _Roles, surfaces: Mapping[str, _Entry], coat: str, *, brushed: bool) -> dict[str, _Entry]:
    """The steps by the shop's names, in the order of the work; see the head of this file."""
    sheets, boards = roles.cut(Kind.SHEET), roles.cut(Kind.BOARD)
    wood, metal = roles.cut(Kind.LENGTH, metal=False), roles.cut(Kind.LENGTH, metal=True)
    of_wood = [name for name, surface in surfaces.items() if surface["stock"] not in metal]
    steps = [
        ("draw", "Draw, plan, list", "items", None),
        ("fetch_order", "Order and fetch materials", "items", None),
        ("unload", "Unload and rack sheets", "sheets_handled", sheets),
        ("part_sheets", "Trim and part full sheets", "parting_cuts", sheets),
        ("hold_sheets", "Hold full sheets while they are parted", "parting_helpers", sheets),
        ("saw_to_size", "Rip and crosscut sheet parts to size", "stop_cuts", sheets),
        ("saw_lengths", "Crosscut lengths", "saw_cuts", wood),
        ("set_fence", "Set the fence or a stop", "fence_settings", [*sheets, *wood]),
        ("saw_tube", "Saw bar and tube", "tube_cuts", metal),
        ("deburr", "Deburr the ends", "tube_ends", metal),
        ("plane_parts", in_trade_words("Plane and thickness, rip and cut solid parts"), "planed_pieces", boards),
        ("glue_up_panels", "Glue up wide parts", "strips", boards),
        ("band_edges_on", "Band edges", "banded_metres", roles.banded()),
        ("sand_raw", "Sand the wood", "surface_square_metres", of_wood),
        ("brush" if brushed else "spray", "Finish", "square_metres_by_coat", ["coats"] if coat else []),
        ("sand_between", "Sand between coats", "square_metres_between_coats", ["coats"] if coat else []),
        ("wrap_up", "Wrap and pack", "items_by_crew", None),
        ("load_up", "Load", "items_by_crew", None),
    ]
    return {
        name: {"says": says, "driver": driver, **({} if of is None else {"of": of})}
        for name, says, driver, of in steps
        if of is None or of
    }


def _scope(pieces: int, sorts: int, roles: _Roles, listed: PartsList, finished: bool) -> str:
    """What a quote says of the list."""
    parts = "One part" if pieces == 1 else f"{pieces} parts"
    of_sorts = f" of {sorts} sorts" if sorts > 1 else ""
    done = ["cut to size"]
    if roles.banded():
        done.append("edges banded")
    if finished:
        done.append("finished on all sides")
    elif listed.sanded:
        done.append("sanded")
    return f"{parts}{of_sorts}, {', '.join(done)}, loose."
