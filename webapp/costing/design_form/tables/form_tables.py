"""The design form as tables: its sections, fields and what each may hold. The reader and the schema use these."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from keyword import kwlist
from typing import Final

from webapp.costing.catalogue.kinds import CUT_STOCK, Kind
from webapp.costing.design_form.tables.driver_tables import INCLUDED
from webapp.costing.design_form.tables.form_fields import SAYS as _SAYS
from webapp.costing.design_form.tables.form_fields import WHEN as _WHEN
from webapp.costing.design_form.tables.form_fields import Field, Section
from webapp.costing.design_form.tables.form_fields import a_length as _length
from webapp.costing.design_form.tables.form_fields import a_number as _number
from webapp.costing.design_form.tables.form_fields import a_role as _role
from webapp.costing.design_form.tables.form_fields import needed as _need
from webapp.costing.design_form.tables.form_made import MADE
from webapp.costing.designs.drivers import DRIVERS
from webapp.costing.designs.formulas import AREA, FIRST_FUNCTIONS, FUNCTIONS, MASS
from webapp.costing.designs.model import Axis

AXES: Final[tuple[Axis, ...]] = ("x", "y", "z")

#: A name: lower-case words joined by single underscores.
NAME_PATTERN: Final = "[a-z][a-z0-9]*(?:_[a-z0-9]+)*"
NAME: Final = re.compile(NAME_PATTERN)
LONGEST_NAME: Final = 40
LONGEST_WORDS: Final = 600
MOST_PARTS: Final = 400

#: The field in which a design keeps the documents of those that are used in it.
INSIDE: Final = "inside"
#: The field in which a design notes the names of earlier versions.
RENAMED: Final = "renamed"

#: How a measure of a material stands to what a place needs of it.
LIMIT_RULES: Final = ("equal", "least", "most")

#: Drivers that an operation has to count itself.
NEEDS_COUNT: Final = ("holes", "count", "metres")

#: Names with a meaning of their own where formulas are read, or in the workings that keep a formula beside its inputs.
TAKEN_NAMES: Final = frozenset((
    *kwlist, *FUNCTIONS, "number", "sum", "self", "figure_id", "label", "unit", "words", "expression", "source",
))  # fmt: skip
#: Of these, the functions that came after the first form: a design of that one may have them as names.
FREE_IN_FORM_1: Final = frozenset(FUNCTIONS) - set(FIRST_FUNCTIONS)


SIZES: Final = Section("sizes", "size", "What the user may change, with its limits.", (
    _SAYS,
    _need(
        "usual", "amount",
        "The value it starts from: a length with its unit, or a plain whole number; or a round one for each length "
        "system, as metric and inch.",
    ),
    _need("least", "amount", "The least it may be, or one for each length system."),
    _need("most", "amount", "The most it may be, or one for each length system."),
), most=40, required=True)  # fmt: skip

STOCK: Final = Section("stock", "stock role", "The places in the design that a material fills.", (
    _SAYS,
    _need("kind", "one_of", "The kind of material.", answers=tuple(kind.value for kind in Kind)),
    _need("usual", "words", "The code of the material it starts from."),
    Field(
        "customer", "words",
        "What a quote calls it; what it is called here, where not given. Hardware stands on a quote only where it is.",
    ),
    Field("follows", "entry", "The role whose material it has to fit; it is filled anew when that one changes.",
          looks_in=("stock",)),
    Field(
        "needs", "needs",
        "What may fill it: tags, and properties that equal a measure, or are least or most; of the role that it "
        "follows as 'role.property'.",
    ),
), most=60, required=True)  # fmt: skip

CHOICES: Final = Section("choices", "choice", "Questions with a few answers.", (
    _SAYS,
    _need("answers", "names", "The answers; no answer may stand in two choices."),
    _need("usual", "words", "The answer it starts from."),
), most=12)  # fmt: skip

#: Values are one measure or one formula each, or one for each answer of a choice or each length system; they have no
#: fields.
VALUES: Final = Section("values", "value", "Named measures and formulas.", (), most=400)

PARTS: Final = Section("parts", "part", "The kinds of part, each written once however many there are.", (
    _SAYS,
    _role("stock", "What it is cut from.", *CUT_STOCK),
    _number("count", "How many.", required=True),
    _length("length", "Finished length as seen.", required=True),
    _length("width", "Finished width as seen; a length of stock has its own where this isn't given."),
    _length("thickness", "Finished thickness of a part planed from sawn boards; other stock has its own."),
    _need("runs", "runs", "Which axes the length and the width follow; the thickness takes the third."),
    Field("at", "at", "The corner nearest the front left at the floor, by the piece's number; 0 where not given."),
    Field("grain", "one_of", "Which way the grain of a sheet runs.", answers=("length", "width", "free")),
    Field("together", "words", "Parts of one sheet, grain-matched: a word for all of them, as 'fronts'."),
    Field("together_when", "answer", "The answer under which they are; always, where not given."),
    Field("band", "band", "Edge band, and the edges that have it, as seen in the finished thing."),
    Field("mitres", "mitres", "Ends of a length cut on the slant: degrees off square, and the face that is longest."),
    _length("joint_length", "What tenons, tongues and housings add to the length of the blank."),
    _length("joint_width", "What tongues and housings add to the width of the blank."),
    Field("layers", "whole", "How many blanks are glued face to face to make one.", most=20),
    _WHEN,
), most=MOST_PARTS, required=True)  # fmt: skip

JOINTS: Final = Section("joints", "joint", "Parts held together by fastenings in rows, by lines of glue, or welded.", (
    _SAYS,
    _need("from", "part", "The part that the fastening passes through first."),
    _need("into", "part", "The part that it goes into."),
    _role("with", "The fastening.", Kind.FASTENER, required=False),
    _length("run", "The length of one row or line."),
    _number("rows", "How many rows or lines in the whole thing."),
    _length("spacing", "How far apart the fastenings of a row are at most."),
    _length("end", "How far the first and the last stand from the ends of the run."),
    _number("at_least", "The fewest in a row."),
    _number("count", "How many in the whole thing, where they don't stand in rows; of welded joints always."),
    _role("glue", "The glue.", Kind.LIQUID, required=False),
    _length("glue_width", "How wide a line of glue is."),
    _length("grip", "What a screw passes through before it bites."),
    _length("room", "What there is to bite into."),
    Field("bites", "one_of", "What it bites into.", answers=("solid", "sheet_edge", "sheet_face")),
    Field(
        "weld", "one_of", "How far each weld runs around the end of the first part, by its section; or as given.",
        answers=("all_round", "two_sides", "one_side", "given"),
    ),
    _length("weld_run", "How long the weld of one joint is, where that is given."),
    Field("ground", "yes_no", "Whether the welds are ground flush where the shop grinds; no, where not given."),
    Field("touches", "yes_no", "Whether the parts have to touch; yes, where not given."),
    _length("play", "How far what it holds may move each way, in slots or on buttons; not at all, where not given."),
    _WHEN,
), most=200)  # fmt: skip

HARDWARE: Final = Section("hardware", "piece of hardware", "Pieces that are bought and fitted.", (
    _SAYS,
    _role("stock", "What it is.", Kind.PIECE, Kind.FASTENER),
    _number("count", "How many.", required=True),
    Field("to_wall", "yes_no", "Whether it holds the whole to a wall; no, where not given."),
    _WHEN,
), most=100)  # fmt: skip

SURFACES: Final = Section("surfaces", "surface", "Areas to be finished: faces, edges, or an area worked out.", (
    Field("part", "part", "The part whose faces or edges these are."),
    _role("stock", "The stock of whose parts they are, in place of one part.", *CUT_STOCK, required=False),
    Field("faces", "whole", "How many broad faces of each.", most=2),
    Field(
        "edges", "one_of",
        "Which edges, of all parts where none is given; 'raw' have no band, 'around' are the sides of a bar or tube.",
        answers=("banded", "raw", "all", "long", "ends", "around"),
    ),
    Field("area", "formula", "The area, worked out.", dimension=AREA),
    Field("raw_edge", "yes_no", "Whether it is raw edge, which drinks more."),
    _WHEN,
), most=100)  # fmt: skip

FINISH: Final = Section("finish", "finish", "So many coats on the named surfaces.", (
    _SAYS,
    _role("stock", "What is put on.", Kind.LIQUID),
    _need("coats", "whole", "How many coats.", most=20),
    _need("on", "names", "The surfaces.", looks_in=("surfaces",)),
    _WHEN,
), most=20)  # fmt: skip

_DRIVER: Final = _need("driver", "one_of", "What drives it.", answers=tuple(DRIVERS))
_OF: Final = Field("of", "counted", "What of it counts; all, where not given.")

SUPPLIES: Final = Section("supplies", "supply", "What is used up in proportion to a driver.", (
    _SAYS,
    _role("stock", "What is used up.", *(kind for kind in Kind if kind not in CUT_STOCK)),
    _need("driver", "one_of", "What drives it.", answers=tuple(name for name in DRIVERS if name not in NEEDS_COUNT)),
    _OF,
    _WHEN,
), most=40)  # fmt: skip

OPERATIONS: Final = Section("operations", "operation", "The steps of the work by the shop's names.", (
    _SAYS,
    _DRIVER,
    _OF,
    _number("count", "How many, where the driver is holes, count or metres."),
    _WHEN,
), most=100)  # fmt: skip

SPANS: Final = Section("spans", "span", "Parts that span and are loaded evenly: checked for sag.", (
    _need("part", "part", "The part that spans."),
    _length("span", "The clear span.", required=True),
    _need("load", "load", "The load on a length of it, with its unit."),
    Field("limit", "one_of", "How much it may sag.", answers=("shelf", "bench")),
    _length("flat", "How far it may be out of flat, where it is judged by that."),
    _WHEN,
), most=40)  # fmt: skip

LOADS: Final = Section("loads", "load", "What is planned to stand on a part: for sag, tipping and what it stands on.", (
    _need("kilograms", "formula", "How heavy it is, on each piece.", dimension=MASS),
    _need("on", "part", "The part on each piece of which it stands."),
    Field("lies", "one_of", "How it lies on a piece.", answers=("spread", "middle", "edge")),
    _number("lasting", "Which share of it stays there, from 0 to 1; all of it, where not given."),
    _WHEN,
), most=40)  # fmt: skip

MUSTS: Final = Section("musts", "rule", "What has to hold, and the sentence when it doesn't.", (
    _need("that", "rule", "A comparison of two formulas."),
    _need("says", "sentence", "The sentence when it does not hold, with {names} filled in."),
    Field("severity", "one_of", "Whether the design fails by it or earns a warning.", answers=("failure", "warning")),
    _WHEN,
), most=60)  # fmt: skip

SECTIONS: Final[Mapping[str, Section]] = {
    section.name: section
    for section in (
        SIZES, STOCK, CHOICES, VALUES, PARTS, JOINTS, HARDWARE, SURFACES, FINISH, SUPPLIES, OPERATIONS, LOADS, SPANS,
        MUSTS,
    )
}  # fmt: skip

#: The sections whose names are looked up by others; each has its own space, apart from the names in formulas.
LOOKED_UP: Final = ("parts", "joints", "hardware", "surfaces", "finish")

CLOSES: Final = Section("closes", "overall size", "What the whole comes to along x, y and z.", tuple(
    _length(axis, f"The overall size along {axis}.", required=True) for axis in AXES
), most=3, required=True)  # fmt: skip

#: The form itself: its own fields, and its sections in the order in which they are written.
DESIGN: Final = Section("", "the design", "A parametric design.", (
    _need("form", "one_of", "The form of this text.", answers=("1", "2")),
    _need("design", "words", "The design's code, in lower-case words joined by underscores."),
    _need("name", "words", "Its name as printed."),
    _need("says", "words", "What it is, in one sentence."),
    Field(
        "loose", "yes_no",
        "Whether the parts stand nowhere, as those of a list: then there are no places, no overall size, no drawing, "
        "and sizes may be left out; no, where not given.",
    ),
    *(
        Field(section.name, "section", section.says, required=section.required)
        for name in (
            "sizes", "stock", "choices", "values", "parts", "closes", "joints", "hardware", "surfaces", "finish",
            "supplies", "operations", "loads", "spans", "musts",
        )
        for section in (CLOSES if name == "closes" else SECTIONS[name],)
    ),
    _need("scope", "sentence", "What a quote says of it, with {names} filled in."),
    Field("not_included", "lines", "What a quote says is not included.", most=30),
    Field(
        RENAMED, "renamed",
        "Names that entries had in earlier versions, by section, each with the one it has now: the program notes them, "
        "so that jobs that typed the old ones follow.",
    ),
), most=1, required=True)  # fmt: skip
#: What a design of loose parts need not have.
PLACED_ONLY: Final = ("sizes", "closes")
LOOSE: Final = replace(
    DESIGN, fields=tuple(replace(one, required=one.required and one.name not in PLACED_ONLY) for one in DESIGN.fields)
)


def _eased(section: Section, optional: tuple[str, ...], *further: Field) -> Section:
    """A section in which some fields may be left out, and some are of another sort or new."""
    renewed = {field.name: field for field in further}
    fields = [renewed.pop(field.name, field) for field in section.fields]
    kept = tuple(replace(field, required=field.required and field.name not in optional) for field in fields)
    return replace(section, fields=(*kept, *renewed.values()), required=section.required and "" not in optional)


USES: Final = Section("uses", "use", "Designs of their own that stand in this one: a drawer box, a welded frame.", (
    Field("says", "words", "What it is here, in words that are printed; its name, where not given."),
    _need("design", "words", "The code of the design that it is."),
    Field("sizes", "sizes_by_name",
          "Its sizes, each a measure or a formula of this design; the usual, where not given."),
    Field("materials", "by_name", "Its stock roles that one of this design fills; others are roles of their own.",
          looks_in=("stock",)),
    Field("choices", "by_name", "Its questions, each with its answer here; the usual, where not given."),
    _number("count", "How many; one at each crossing of its places, where not given."),
    Field("at", "at", "Where its corner nearest the front left at the floor stands, said as for a part."),
    Field("four_corners", "inset", "At the four corners of the whole, and how far in."),
    Field("mirrored", "names", "The axes along which it is mirrored."),
    _WHEN,
), most=40)  # fmt: skip

#: The form in which what follows from the parts in space is left unsaid.
SHORT_FORM: Final = "2"
#: What form 2 says otherwise: what follows from where parts stand and touch may be left out, or is said in words.
SHORTER: Final[Mapping[str, Section]] = {**SECTIONS, **{
    section.name: section
    for section in (
        _eased(STOCK, (), Field("used_by", "one_of", "What uses it up, one supply for the whole design.",
                                answers=tuple(name for name in DRIVERS if name not in NEEDS_COUNT)),
               Field("used_over", "counted", "What of the driver counts; all, where not given."),
               Field("used_when", "answer", "The answer under which it is used up; always, where not given.")),
        _eased(PARTS, ("count", "length"),
               Field("grain", "one_of", "Which way the grain runs; along timber, and free in a sheet, where not given.",
                     answers=("length", "width", "free")),
               Field("four_corners", "inset", "At the four corners of the whole, and how far in."),
               Field("splayed", "tilt", "Degrees off plumb from the front and from the side, the feet outwards."),
               Field("leans", "tilt", "Degrees off plumb to the right, left, back or front, all pieces alike."),
               Field("cut", "cut", "What its ends are cut to: square, level, or against a part.", looks_in=("parts",)),
               _length("turned", "The diameter that it is turned to out of its blank.")),
        _eased(JOINTS, (),
               _need("into", "names", "The parts, or hardware that stands in space, that it goes into.",
                     looks_in=("parts", "hardware")),
               Field("bites", "one_of", "What it bites into; lightly, where it holds little and no full bite is asked.",
                     answers=("solid", "sheet_edge", "sheet_face", "lightly"))),
        _eased(HARDWARE, ("count",),
               _length("wide", "How far it reaches from left to right, where it stands in space."),
               _length("deep", "How far it reaches from front to back."),
               _length("tall", "How high it is as fitted."),
               Field("at", "at", "The corner nearest the front left at the floor, as a part has it."),
               Field("four_corners", "inset", "At the four corners of the whole, and how far in."),
               Field("under_each", "part", "The part under each piece of which one stands, in its middle."),
               _length("through", "What of other hardware its screws pass through, as its plate."),
               Field("into", "part", "The part that screws which hold other hardware go into."),
               _length("room", "What such screws may bite into, where that is no part, as a wall.")),
        _eased(FINISH, (), _need("on", "faces_of", "Parts, and which of their faces and edges.", most=60,
                                 looks_in=("surfaces", "parts", "stock")),
               Field("sprayed", "yes_no", "Whether it is put on with a gun; brushed or rolled on, where not given.")),
        _eased(OPERATIONS, ("driver",),
               Field("off", "yes_no", "Whether the step is left out although there is something for it to do."),
               Field("includes", "names", "What is done within its time: parts, joints, hardware, finish, what is cut.",
                     looks_in=INCLUDED)),
        _eased(SURFACES, (), Field("exposed", "yes_no", "Whether it is what touches nothing and can be reached.")),
        _eased(SPANS, ("span",), Field(
            "load", "loading",
            "The load on one: kilograms, or a load along its length; what is planned on the part, where not given.",
        )),
        *MADE,
        USES,
    )
}}  # fmt: skip


def sections_of(form: object) -> Mapping[str, Section]:
    """The sections of a form as its tables say them."""
    return SHORTER if form == SHORT_FORM else SECTIONS
