"""The sections of the short form for what is made into parts, holes and openings, and for what moves or lives there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from webapp.costing.design_form.tables.form_fields import SAYS, WHEN, Field, Section, a_length, a_number, needed
from webapp.costing.designs.model import FACES

#: Where what goes in, or what something runs on, is looked up.
BOUGHT: Final = ("stock", "hardware")
_FACE: Final = Field("face", "one_of", "Which side of the part, or inside: the broad face that looks to the middle.",
                     answers=(*FACES, "inside", "outside"))  # fmt: skip
_FROM_EDGES: Final = (
    a_length("off", "How far the first, or the side nearest, stands from an edge; in the middle, where not given."),
    Field("edge", "one_of", "The edge of the part that this is measured from.", answers=tuple(FACES)),
    a_length("off_too", "The same from an edge that runs across it."),
    Field("edge_too", "one_of", "The edge that this is measured from.", answers=tuple(FACES)),
    Field("takes", "entry", "The stock role or the piece of hardware that goes in.", looks_in=BOUGHT), WHEN,
)  # fmt: skip
_LEG: Final = Field("leg", "entry", "The row of folds in whose legs it is; in the flat between folds, where not given.",
                    looks_in=("folds",))  # fmt: skip
HOLES: Final = Section("holes", "row of holes", "Round holes in parts: single ones, rows and fields.", (
    SAYS, needed("part", "part", "The part that they are made in, every piece of it alike."),
    a_length("diameter", "How wide a hole is.", required=True),
    a_length("depth", "How deep; through, where not given."),
    _FACE, a_number("columns", "How many along the first axis of the side: x before y before z."),
    a_number("rows", "How many along the second axis of the side."),
    a_length("apart", "How far apart from middle to middle, both ways."),
    a_length("apart_along", "How far apart the columns are."), a_length("apart_across", "How far apart the rows are."),
    a_length("every", "At this pitch as many as there is room for."),
    a_length("first", "The middle of the first of a row, from the lower end of the part."),
    a_length("last", "No hole of the row lies beyond this."),
    a_length("from_edges", "How far all stay from the edges."),
    a_length("clear", "Rows move, or are left out, to keep so far from the ribs behind."),
    Field("step", "words", "The step of the work that makes them, by the shop's name."), _LEG, *_FROM_EDGES,
), most=100)  # fmt: skip
OPENINGS: Final = Section("openings", "opening", "Openings through parts, pockets, and plates let in flush.", (
    SAYS, needed("part", "part", "The part that it is made in, every piece of it alike."),
    a_length("length", "How long, along the first axis of the side."), a_length("width", "How wide, along the second."),
    a_length("diameter", "How wide a round one is."), a_length("depth", "How deep; through, where not given."), _FACE,
    a_length("corners", "The radius of its corners."), a_length("ledge", "How wide the ledge is that a plate lies on."),
    Field("let_in", "yes_no", "Whether a plate of that size, as thick as it is deep, is let in flush."),
    Field("behind", "yes_no", "Whether it goes on through all that lies behind in its line."), _LEG, *_FROM_EDGES,
    Field("points", "points", "The corners of one that is neither, in order: so far along the first axis of the side "
          "and across; the edges say where it is.", most=200),
), most=100)  # fmt: skip

MOVES: Final = Section("moves", "move", "What is drawn or swung open: drawers, doors, slides.", (
    SAYS, needed("parts", "names", "The parts that go together, those that touch at a time.", looks_in=("parts",)),
    needed("way", "one_of", "Towards which side of the whole.", answers=tuple(FACES)),
    a_length("travel", "How far it is drawn; as far as what it runs on goes, where not given."),
    a_number("degrees", "How far it swings, where it is hinged."),
    Field("hinge", "one_of", "Which edge of the side that it shows the hinge is on.", answers=tuple(FACES)),
    Field("on", "entry", "The hardware or the stock role that it runs or hangs on.", looks_in=BOUGHT),
    a_length("room", "What that needs at each side; as the material states it, where not given."), WHEN,
), most=40)  # fmt: skip
HOLDS: Final = Section("holds", "thing that lives there", "What is to find room over a part.", (
    SAYS, needed("part", "part", "The part that it stands on."), a_length("tall", "How tall it is.", required=True),
    Field("within", "part", "The part up to whose top it may reach, as the sides of a drawer."), WHEN,
), most=40)  # fmt: skip
#: Where tenons and housings are, and how many of them a piece has.
JOINED_AT: Final[Mapping[str, int]] = {"both ends": 2, "one end": 1, "both edges": 2, "one edge": 1}
JOINERY: Final = Section("joinery", "piece of joinery", "Joints that are cut in the wood itself.", (
    SAYS, needed("sort", "one_of", "What it is.", answers=("tenon", "housing", "rebate")),
    needed("part", "part", "The part that has the tenons or the cut edge, or that is let in."),
    Field("into", "part", "The part that the mortise is in, or that it is let into."),
    a_length("deep", "How long the tenon is, or how deep the cut.", required=True),
    a_length("wide", "How thick the tenon is, or how wide the cut."),
    Field("at", "one_of", "Which ends or edges; both ends, where not given.", answers=tuple(JOINED_AT)),
    Field("edges", "lines", "The edges that are cut away.", most=6), WHEN,
), most=60)  # fmt: skip
FOLDS: Final = Section("folds", "row of folds", "Edges of sheet metal that are folded, and folds on their legs.", (
    SAYS, Field("part", "part", "The part that is folded, every piece of it alike."),
    a_length("fold_leg", "How far each leg goes, outside; from the outermost of its fold, where it is bent beyond "
             "square.", required=True),
    a_number("degrees", "By how many degrees it is bent off the flat, from 5 to 175; 90, where not given. Between the "
             "legs there is what is left of 180."),
    Field("way", "one_of", "Which way the legs go from the flat, as if they stood square.", answers=tuple(FACES)),
    Field("edges", "lines", "The edges of the flat that are folded.", most=4),
    Field("on", "entry", "The row of folds whose legs are folded again.", looks_in=("folds",)),
    Field("turn", "one_of", "Which way what is folded again goes: further round, or back.",
          answers=("inwards", "outwards")),
    a_length("cut_back", "How much shorter than its fold a leg is at each end."), WHEN,
), most=60)  # fmt: skip
OUTLINES: Final = Section("outlines", "outline", "What flat parts are cut to, by points and arcs.", (
    SAYS, needed("part", "part", "The part that is cut to it, every piece of it alike."),
    Field("points", "points", "Its corners in order: so far along the part's length and across.", required=True,
          most=200), WHEN,
), most=60)  # fmt: skip
#: What a corner of an outline says: where it is, its radius, and the bow of the side that comes to it.
CORNER_FIELDS: Final = ("along", "across", "rounded", "bowed")
#: All of these, and the section before which they are written.
MADE: Final = (HOLES, OPENINGS, OUTLINES, JOINERY, FOLDS, MOVES, HOLDS)
