"""The steps of the work that follow from what a design holds, by the names of the shop's own table of steps.

Each rule is read aloud as an estimator would: what is there, which step works on it, and what of it is counted. A step
that finds nothing to do counts nothing, neither minutes nor a set-up; a design switches one off, or says it otherwise.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from webapp.costing.catalogue.tags import is_tagged
from webapp.costing.design_form.entries.read_roles import needed_tags
from webapp.costing.errors import MeasureError
from webapp.costing.measures.written import parse_length

Fields = Mapping[str, object]
Section = Mapping[str, Fields]


@dataclass(frozen=True, slots=True)
class Held:
    """What of a design the rules look at: its sections as written, each entry as its fields."""

    stock: Section
    parts: Section
    joints: Section
    hardware: Section
    finish: Section
    holes: Section
    openings: Section
    joinery: Section
    folds: Section
    outlines: Section
    values: Mapping[str, object]

    def kind(self, role: str) -> object:
        """The kind of material of a stock role; None where there is no such role."""
        return self.stock.get(role, {}).get("kind")

    def tags(self, role: str) -> tuple[str, ...]:
        """What a material has to be to fill a role."""
        return needed_tags(self.stock.get(role, {}))

    def is_one(self, role: str, tags: Sequence[str]) -> bool:
        """Whether what fills a role has to be one of these."""
        return any(is_tagged(self.tags(role), tag) for tag in tags)

    def cut_from(self, kind: str) -> list[str]:
        """The roles of a kind that some part is cut from."""
        used = {str(part.get("stock")) for part in self.parts.values()}
        return [role for role in self.stock if role in used and self.kind(role) == kind]

    def welded(self) -> list[str]:
        """The roles of bar and tube from which something is cut that is welded."""
        joined = {str(name) for joint in self.joints.values() if "weld" in joint
                  for name in (joint.get("from"), *into(joint))}  # fmt: skip
        stocks = {str(part.get("stock")) for name, part in self.parts.items() if name in joined}
        return [role for role in self.stock if role in stocks and self.kind(role) == "length"]

    def fastened(self, *tags: str, first: Sequence[str] | None = None) -> list[str]:
        """The joints whose fastening is one of these; `first` are the roles that the part first passed through has."""
        return [
            name
            for name, joint in self.joints.items()
            if "with" in joint
            and self.is_one(str(joint["with"]), tags)
            and (first is None or str(self.parts.get(str(joint.get("from")), {}).get("stock")) in first)
        ]

    def fitted(self, *tags: str) -> list[str]:
        """The pieces of hardware that have to be one of these."""
        return [name for name, one in self.hardware.items() if self.is_one(str(one.get("stock")), tags)]

    def drilled(self, step: str) -> list[str]:
        """The rows of holes that a step makes: the step that each says, or by what it is in, its size and its field."""
        return [name for name, one in self.holes.items() if (one.get("step") or self._drilling(one)) == step]

    def _drilling(self, holes: Fields) -> str:
        stock = str(self.parts.get(str(holes.get("part")), {}).get("stock"))
        if stock in self.welded() or self.is_one(stock, _METAL):
            return "drill_steel"
        if not _is_field(holes):
            return "drill_holes"
        wide = self._measured(holes.get("diameter"))
        return "bore_top_holes" if wide is not None and wide >= _WIDE else "drill_field"

    def _measured(self, text: object) -> Fraction | None:
        """A length as it is typed, or as the value of that name is."""
        text = self.values.get(text, text) if isinstance(text, str) else text
        try:
            return Fraction(parse_length(text.partition("|")[0].strip(), "mm")) if isinstance(text, str) else None
        except MeasureError:
            return None

    def joined(self, *sorts: str) -> list[str]:
        """The joinery of some sorts."""
        return [name for name, one in self.joinery.items() if one.get("sort") in sorts]

    def coated(self, *, sprayed: bool) -> list[str]:
        """The finishes that are sprayed, or those that are brushed."""
        return [name for name, one in self.finish.items() if (one.get("sprayed") == "yes") == sprayed]


def is_glue(role: Fields) -> bool:
    """Whether what fills a stock role has to be a glue."""
    return is_tagged(needed_tags(role), "wood_glue")


def into(joint: Fields) -> tuple[object, ...]:
    """The parts that a joint goes into, one or several."""
    held = joint.get("into")
    return tuple(held) if isinstance(held, list | tuple) else (held,)


#: From this on a hole of a field is bored as in a bench top: template, holding, chips to be cleared. Common practice.
_WIDE: Final = Fraction(15_000_000)
#: What is drilled as steel is.
_METAL: Final = ("tube", "steel_bar", "sheet_metal")


def _is_field(holes: Fields) -> bool:
    """Whether holes stand in a row or a field, for which a template is worth making."""
    return "every" in holes or any(str(holes.get(side, "1")) != "1" for side in ("columns", "rows"))


#: Hardware that has a step of its own, so that it is not counted as fitted a second time.
_OWN_STEP: Final = ("slide", "handle", "hinge")

#: What counts of it: the names, or None where the driver counts all by itself; an empty list where there is nothing.
_Of = Callable[[Held], list[str] | None]


def _all(_: Held) -> list[str] | None:
    return None


def _sheets(held: Held) -> list[str]:
    return held.cut_from("sheet")


def _sawn_lengths(held: Held) -> list[str]:
    """Lengths sawn like wood: those that aren't welded."""
    welded = held.welded()
    return [role for role in held.cut_from("length") if role not in welded]


def _tubes(held: Held) -> list[str]:
    return held.welded()


def _fence(held: Held) -> list[str]:
    return [*_sheets(held), *_sawn_lengths(held)]


def _banded(held: Held) -> list[str]:
    return [name for name, part in held.parts.items() if "band" in part]


def _glued(held: Held) -> list[str]:
    return [name for name, joint in held.joints.items() if "glue" in joint]


def _welds(held: Held) -> list[str]:
    return [name for name, joint in held.joints.items() if "weld" in joint]


def _other_hardware(held: Held) -> list[str]:
    own = held.fitted(*_OWN_STEP)
    return [
        name for name, one in held.hardware.items() if name not in own and held.kind(str(one.get("stock"))) == "piece"
    ]


def _on_wood(held: Held) -> list[str]:
    """The finishes that go on raw wood: not those for steel alone, nor what goes on over another, as paint does."""
    first: dict[tuple[str, str], str] = {}
    for name, one in held.finish.items():
        if not _on_steel(held, one):
            first.setdefault((str(one.get("on")), str(one.get("when", ""))), name)
    return list(first.values())


def _on_steel(held: Held, finish: Fields) -> bool:
    listed = finish.get("on")
    names = [str(text).split()[0] for text in (listed if isinstance(listed, list | tuple) else [listed]) if str(text)]
    steel = held.welded()
    stocks = [name if name in held.stock and name not in held.parts else str(held.parts.get(name, {}).get("stock"))
              for name in names]  # fmt: skip
    return bool(stocks) and all(stock in steel for stock in stocks)


@dataclass(frozen=True, slots=True)
class UsualStep:
    """A step of the shop's table: what drives it, and what of the design it works on."""

    name: str
    says: str
    driver: str
    of: _Of
    why: str


#: The step that counts what a design counts itself, and the openings beside it.
ALSO_COUNTS: Final = "rout_edges"

#: In the order in which the work goes.
USUAL_STEPS: Final[tuple[UsualStep, ...]] = (
    UsualStep("draw", "Draw, plan, list", "items", _all, "each design is looked over before it is cut"),
    UsualStep("fetch_order", "Order and fetch materials", "items", _all, "what is bought comes in"),
    UsualStep("unload", "Unload and rack sheets", "sheets_handled", lambda held: None if _sheets(held) else [],
              "sheets are carried in; what is carried on the shoulder comes in with the order"),
    UsualStep("saw_tube", "Saw bar and tube", "tube_cuts", _tubes, "what is welded is sawn on the metal saw"),
    UsualStep("deburr", "Deburr the ends", "tube_ends", _tubes, "each sawn end of it is deburred"),
    UsualStep("drill_steel", "Drill steel", "fastenings",
              lambda held: [*held.fastened("screw", "bolt", first=_tubes(held)), *held.drilled("drill_steel")],
              "a screw that passes through bar or tube first needs its hole, and so does each hole said"),
    UsualStep("fit_and_tack", "Fit and tack joints", "welded_joints", _welds, "each welded joint is fitted once"),
    UsualStep("weld_joints", "Weld", "weld_centimetres", _welds, "by the centimetre"),
    UsualStep("grind_welds", "Grind welds flush", "ground_centimetres", _welds, "those that the design grinds"),
    UsualStep("degrease", "Degrease steel", "surface_square_metres",
              lambda held: [f"steel_{role}" for role in _tubes(held)], "all around, before any coat"),
    UsualStep("part_sheets", "Part full sheets", "parting_cuts", _sheets, "cuts while the sheet is full"),
    UsualStep("hold_sheets", "Hold full sheets while they are parted", "parting_helpers", _sheets, "the far end"),
    UsualStep("saw_to_size", "Rip and crosscut sheet parts to size", "stop_cuts", _sheets, "cuts at fence and stop"),
    UsualStep("saw_lengths", "Crosscut lengths", "saw_cuts", _sawn_lengths, "cuts of the length plans"),
    UsualStep("set_fence", "Set the fence and the stop", "fence_settings", _fence, "once for equal widths and lengths"),
    UsualStep("cut_outlines", "Saw or rout along outlines", "metres", lambda held: list(held.outlines),
              "where an outline leaves the edges of its blank"),
    UsualStep("fold_sheets", "Fold sheet metal", "folds", lambda held: list(held.folds), "each edge"),
    UsualStep("plane_parts", "Plane, rip and cut solid wood", "planed_pieces", lambda held: held.cut_from("board"),
              "each strip of a glued-up part, any other part once"),
    UsualStep("turn_parts", "Turn on the lathe", "turned_pieces",
              lambda held: [name for name, part in held.parts.items() if "turned" in part], "each turned piece"),
    UsualStep("glue_up_panels", "Glue up panels", "strips", lambda held: [*_sheets(held), *held.cut_from("board")],
              "strips and layers of parts that are glued up; a part in one piece has none"),
    UsualStep("band_edges_on", "Band edges", "banded_metres", _banded, "finished lengths of banded edge"),
    UsualStep("drill_holes", "Drill holes by hand", "holes", lambda held: held.drilled("drill_holes"),
              "single ones, each marked and drilled by eye"),
    UsualStep("drill_field", "Drill rows of holes with a template", "holes",
              lambda held: held.drilled("drill_field"), "rows and fields of small ones, through a strip with a stop"),
    UsualStep("bore_top_holes", "Bore holes with a template", "holes", lambda held: held.drilled("bore_top_holes"),
              "fields of wide ones: the template is moved and held for each"),
    UsualStep("cut_housings", "Cut what parts are let into, and edges away", "metres",
              lambda held: held.joined("housing", "rebate"), "set by a test cut, then metre by metre"),
    UsualStep("cut_mortise_tenon", "Cut mortises and tenons", "joints", lambda held: held.joined("tenon"),
              "each tenon with its mortise"),
    UsualStep("slot_biscuits", "Biscuits, both slots", "fastenings", lambda held: held.fastened("biscuit"), "each"),
    UsualStep("bore_dowels", "Dowels, both holes", "fastenings", lambda held: held.fastened("dowel"), "each"),
    UsualStep("slot_loose_tenons", "Loose tenons, both mortises", "fastenings",
              lambda held: held.fastened("loose_tenon"), "each"),
    UsualStep("clamp_joints", "Glue and clamp", "joints", _glued, "each line of glue is spread, closed and clamped"),
    UsualStep("drive_screws", "Pilot, countersink, drive", "fastenings", lambda held: held.fastened("screw"), "each"),
    UsualStep("drive_bolts", "Bore and bolt", "fastenings", lambda held: held.fastened("bolt"), "each"),
    UsualStep("build_drawers", "Build drawer boxes", "hardware", lambda held: held.fitted("slide"), "one to a pair"),
    UsualStep("fit_drawers", "Hang and align drawers", "hardware", lambda held: held.fitted("slide"), "one to a pair"),
    UsualStep("hang_hinges", "Hang and adjust doors", "hardware", lambda held: held.fitted("hinge"), "each hinge"),
    UsualStep("fit_handles", "Fit handles", "hardware", lambda held: held.fitted("handle"), "each"),
    UsualStep("fit_hardware", "Fit hardware", "hardware", _other_hardware, "whatever else is bought and fitted"),
    UsualStep(ALSO_COUNTS, "Rout edges and openings", "metres", lambda held: list(held.openings),
              "round each opening, and each plate let in, as along an edge"),
    UsualStep("sand_raw", "Sand before finish", "square_metres", _on_wood, "raw wood under its first finish"),
    UsualStep("spray", "Spray", "square_metres_by_coat", lambda held: held.coated(sprayed=True), "each coat"),
    UsualStep("brush", "Brush or roll on", "square_metres_by_coat", lambda held: held.coated(sprayed=False), "each"),
    UsualStep("sand_between", "Sand between coats", "square_metres_between_coats", _all, "all coats but the last"),
    UsualStep("wrap_up", "Wrap and pack", "items_by_crew", _all, "each finished thing"),
    UsualStep("load_up", "Load", "items_by_crew", _all, "each finished thing"),
)  # fmt: skip

#: The order of the work, also of steps that no rule finds: a design that has one says so itself.
ORDER: Final = (
    "draw", "fetch_order", "make_jig", "unload", "saw_tube", "deburr", "drill_steel", "fit_and_tack", "weld_joints",
    "grind_welds", "degrease", "send_out", "part_sheets", "hold_sheets", "saw_to_size", "program_router",
    "load_router", "rout_sheets", "change_cutters", "saw_lengths", "set_fence", "cut_outlines", "fold_sheets",
    "plane_parts", "turn_parts", "glue_up_panels", "band_edges_on", "cut_housings", "drill_holes", "drill_field",
    "bore_top_holes", "slot_biscuits", "bore_dowels", "slot_loose_tenons", "cut_mortise_tenon", "clamp_joints",
    "drive_screws", "drive_bolts", "build_drawers", "fit_drawers", "hang_hinges", "fit_handles", "rout_edges",
    "sand_raw", "spray", "brush", "sand_between", "fit_hardware",
)  # fmt: skip
#: What comes when all is made.
LAST: Final = ("wrap_up", "load_up")


def in_order(steps: Mapping[str, object]) -> dict[str, object]:
    """Steps in the order of the work; those that no table knows stand before the packing, as they were written."""
    places = {name: place for place, name in enumerate((*ORDER, "", *LAST))}
    return dict(sorted(steps.items(), key=lambda step: places.get(step[0], places[""])))


def usual_steps(held: Held) -> dict[str, dict[str, object]]:
    """The steps that a design has of itself, by name, as entries of its form."""
    found: dict[str, dict[str, object]] = {}
    for step in USUAL_STEPS:
        of = step.of(held)
        if of is not None and not of:
            continue
        found[step.name] = {"says": step.says, "driver": step.driver} | ({} if of is None else {"of": of})
    return found
