"""The one table of how a design's entries are said: each clause of a line as a pattern over the fields it holds."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Final

from webapp.costing.design_form.tables.form_tables import CLOSES
from webapp.costing.design_form.tables.form_tables import SHORTER as SECTIONS

#: A row of spaces, which is never parted: so that a line of nothing else is read as fast.
_SPACES: Final = "(?<! ) +(?! )"
_SLOT: Final = re.compile(r"\{([a-z_.]+)(?::([a-z]+))?\}")


@dataclass(frozen=True)
class Clause:
    """One way of saying some fields: words with {field:shape} in them; `fixed` is what the words alone say.

    `at.x` is the x of the field `at`. A clause that begins with words has them as its lead. One that is a field alone
    is bare: the first bare one may only be the first clause of a line, the second the one after it. `opens` lets a
    clause without lead be the first of a line although there are bare ones; `takes_rest` takes all to the line's end.
    """

    pattern: str
    fixed: Mapping[str, str] = field(default_factory=dict)
    opens: bool = False
    takes_rest: bool = False

    @cached_property
    def slots(self) -> tuple[tuple[str, str], ...]:
        """The fields that it holds, each with its shape ('' for any text)."""
        return tuple((found[1], found[2] or "") for found in _SLOT.finditer(self.pattern))

    @cached_property
    def lead(self) -> str:
        """The words with which it begins."""
        return self.pattern.partition("{")[0].strip()

    @cached_property
    def is_bare(self) -> bool:
        """Whether it is a field and no words."""
        return _SLOT.fullmatch(self.pattern) is not None

    @cached_property
    def _words(self) -> tuple[re.Pattern[str], ...]:
        """What finds the words before, between and behind its fields; two may share a space."""
        pieces = (re.escape(piece).replace(r"\ ", _SPACES) for piece in self.around)
        return tuple(re.compile(f"(?=({piece}))") for piece in pieces)

    @cached_property
    def around(self) -> tuple[str, ...]:
        """The words before, between and behind its fields, as they are written."""
        return tuple(_SLOT.split(self.pattern)[::3])

    def texts(self, clause: str) -> tuple[str, ...] | None:
        """The text of each field in a clause, the first as long as it can be; None where the clause is another one.

        The words are looked for from the end, so that a clause of nothing but such words is read as fast as any.
        """
        opening, *others = self._words
        opened = opening.match(clause)
        if opened is None:
            return None
        begin, end = opened.end(1), len(clause)
        if not others:
            return () if begin == end else None
        texts: list[str] = []
        for number, words in enumerate(reversed(others)):
            most = end - 1 if number else end
            found = [one for one in words.finditer(clause, begin + 1) if begin < one.start() and one.end(1) <= most]
            if not found or (not number and found[-1].end(1) < end):
                return None
            if number:
                texts.append(clause[found[-1].end(1) : end])
            end = found[-1].start()
        return (clause[begin:end], *reversed(texts))

    def filled(self, values: tuple[str, ...]) -> str:
        """The clause with its fields as they are written."""
        return "".join(word + value for word, value in zip(self.around, (*values, ""), strict=True))


#: How far something stands from one edge of a part, or from two.
_FROM_EDGES: Final = (
    Clause("{off} from {edge:name}, {off_too} from {edge_too:name}"), Clause("{off} from {edge:name}"),
)  # fmt: skip

#: The clauses of each section in the order in which they are written. A field that none of them holds, or that a
#: document fills in another way, is said by its name: see `clauses_of`.
CLAUSES: Final[Mapping[str, tuple[Clause, ...]]] = {
    "sizes": (Clause("{says}"), Clause("{usual}")),
    "stock": (
        Clause("{says}"), Clause("{kind:kind} {usual:name}"), Clause("{kind:kind}"), Clause("customer {customer}"),
        Clause("follows {follows:name}"), Clause("needs {needs:needs}"),
    ),
    "choices": (Clause("{says}"), Clause("{answers:answers}")),
    "uses": (
        Clause("{design:name}"), Clause("says {says}"), Clause("{sizes:sizes}"), Clause("material {materials:pairs}"),
        Clause("choice {choices:pairs}"), Clause("count {count}"), Clause("x {at.x}"), Clause("y {at.y}"),
        Clause("z {at.z}"), Clause("four corners", {"four_corners": "yes"}), Clause("four corners {four_corners}"),
        Clause("mirrored {mirrored:list}"),
    ),
    "parts": (
        Clause("{says}"),
        Clause("{count} of {stock:name}"), Clause("of {stock:name}"),
        Clause("long {length} along {runs.length:axis}"), Clause("long along {runs.length:axis}"),
        Clause("long {length}"),
        Clause("wide {width} along {runs.width:axis}"), Clause("wide along {runs.width:axis}"), Clause("wide {width}"),
        Clause("thick {thickness}"),
        Clause("x {at.x}"), Clause("y {at.y}"), Clause("z {at.z}"),
        Clause("four corners", {"four_corners": "yes"}), Clause("four corners {four_corners}"),
        Clause("grain {grain}"), Clause("band {band.with:name} on {band.edges:list}"), Clause("mitres {mitres:pairs}"),
    ),
    "holes": (
        Clause("{says}"),
        *(
            Clause(f"{{diameter}} {called} {through}", opens=True)
            for called in ("holes", "hole")
            for through in (
                "{depth} deep in {part:name}, {face:name}", "{depth} deep in {part:name}",
                "through {part:name}, {face:name}", "through {part:name}",
            )
        ),
        Clause("{apart} apart each way"), Clause("{apart_along} by {apart_across} apart"), Clause("{apart} apart"),
        Clause("{columns} by {rows}"),
        Clause("every {every} from {first} up to {last}"), Clause("every {every} each way"),
        Clause("in the leg of {leg:name}"), Clause("{from_edges} from the edges"), *_FROM_EDGES,
        Clause("for {takes:name}"),
        Clause("clear of ribs by {clear}"), Clause("clear of ribs", {"clear": "0 mm"}), Clause("step {step:name}"),
    ),
    "openings": (
        Clause("{says}"),
        Clause("{length} x {width} x {depth} let into {part:name}, {face:name}", {"let_in": "yes"}, opens=True),
        Clause("{length} x {width}, {depth} deep in {part:name}, {face:name}", opens=True),
        Clause("{length} x {width}, {depth} deep in {part:name}", opens=True),
        Clause("{length} x {width} in {part:name}, {face:name}", opens=True),
        Clause("{length} x {width} in {part:name}", opens=True),
        Clause("{diameter} x {depth} round let into {part:name}, {face:name}", {"let_in": "yes"}, opens=True),
        Clause("{diameter} round, {depth} deep in {part:name}, {face:name}", opens=True),
        Clause("{diameter} round, {depth} deep in {part:name}", opens=True),
        Clause("{diameter} round in {part:name}, {face:name}", opens=True),
        Clause("{diameter} round in {part:name}", opens=True),
        Clause("{points:points}, {depth} deep in {part:name}, {face:name}", opens=True),
        Clause("{points:points}, {depth} deep in {part:name}", opens=True),
        Clause("{points:points} in {part:name}, {face:name}", opens=True),
        Clause("{points:points} in {part:name}", opens=True),
        Clause("in the leg of {leg:name}"), *_FROM_EDGES, Clause("corners {corners}"), Clause("ledge {ledge}"),
        Clause("through all behind", {"behind": "yes"}), Clause("for {takes:name}"),
    ),
    "outlines": (Clause("{says}"), Clause("{points:points} of {part:name}", opens=True)),
    "joinery": (
        Clause("{says}"),
        Clause("{deep} x {wide} tenons at {at} of {part:name} into {into:name}", {"sort": "tenon"}, opens=True),
        Clause("{deep} x {wide} tenons at {at} of {part:name}", {"sort": "tenon"}, opens=True),
        Clause("{part:name} housed {deep} in {into:name} at {at}", {"sort": "housing"}, opens=True),
        Clause("{part:name} housed {deep} in {into:name}", {"sort": "housing"}, opens=True),
        *(
            Clause(f"{{wide}} x {{deep}} {word} in {{part:name}} along {{edges:list}}", {"sort": "rebate"}, opens=True)
            for word in ("rebate", "rabbet")
        ),
    ),
    "folds": (
        Clause("{says}"),
        *(Clause(f"{{fold_leg}} {word} along {{edges:sides}} of {{part:name}}", {"way": way}, opens=True)
          for word, way in (("up", "top"), ("down", "bottom"))),
        Clause("{fold_leg} to the {way:name} along {edges:sides} of {part:name}", opens=True),
        *(Clause(f"{{fold_leg}} {turn} on {{on:name}}", {"turn": turn}, opens=True)
          for turn in ("inwards", "outwards")),
        Clause("bent {degrees} degrees"), Clause("cut back {cut_back}"),
    ),
    "moves": (
        Clause("{says}"),
        Clause("{parts:names} swung to the {way:name} by {degrees} degrees about its {hinge:name} edge", opens=True),
        Clause("{parts:names} drawn to the {way:name} by {travel}", opens=True),
        Clause("{parts:names} drawn to the {way:name}", opens=True), Clause("on {on:name}"), Clause("room {room}"),
    ),
    "holds": (
        Clause("{says}"), Clause("{tall} on {part:name} within {within:name}", opens=True),
        Clause("{tall} on {part:name}", opens=True),
    ),
    "joints": (
        Clause("{says}"), Clause("{from:name} into {into:names}", opens=True), Clause("with {with:name}"),
        Clause("every {spacing}"), Clause("ends {end}"), Clause("at least {at_least}"), Clause("count {count}"),
        Clause("run {run}"), Clause("rows {rows}"),
        Clause("glue", {"glue": "yes"}), Clause("glue {glue:name}"), Clause("apart", {"touches": "no"}),
        Clause("play {play}"),
    ),
    "hardware": (
        Clause("{says}"), Clause("{count} of {stock:name}"), Clause("of {stock:name}"),
        Clause("under each {under_each:name}"), Clause("through {through}"), Clause("into {into:name}"),
        Clause("to the wall", {"to_wall": "yes"}),
        Clause("four corners", {"four_corners": "yes"}), Clause("four corners {four_corners}"),
        Clause("x {at.x}"), Clause("y {at.y}"), Clause("z {at.z}"),
    ),
    "surfaces": (
        Clause("{faces} faces of {part:name}", opens=True), Clause("{edges:edges} edges of {part:name}", opens=True),
        Clause("{faces} faces of all {stock:name}", opens=True),
    ),
    "finish": (
        Clause("{says}"), Clause("1 coat of {stock:name}", {"coats": "1"}), Clause("{coats} coats of {stock:name}"),
        Clause("sprayed", {"sprayed": "yes"}),
        Clause("on {on:list}"),
    ),
    "supplies": (Clause("{says}"), Clause("of {stock:name}"), Clause("by {driver}"), Clause("over {of:list}")),
    "operations": (
        Clause("{says}"), Clause("by {driver}"), Clause("over {of:list}"), Clause("off", {"off": "yes"}),
        Clause("includes {includes:list}"),
    ),
    "loads": (
        Clause("{kilograms} on each {on:name}", opens=True),
        Clause("in the middle", {"lies": "middle"}), Clause("at the edge", {"lies": "edge"}),
        Clause("half lasting", {"lasting": "1/2"}),
    ),
    "spans": (
        Clause("{part:name}"), Clause("{part:name} over {span}", opens=True), Clause("limit flat {flat}"),
        Clause("limit {limit}"),
    ),
    "musts": (
        Clause("{that}"), Clause("warning", {"severity": "warning"}), Clause("failure", {"severity": "failure"}),
        Clause("{says}", takes_rest=True),
    ),
}  # fmt: skip

#: Sections that are one entry, and so one line, themselves: what the whole comes to along each axis.
ONE_LINE: Final = ("closes", "whole")
#: Sections whose entries are one formula, or one for each of some answers.
ANSWERED: Final = ("values",)

#: The shape of a field by what the form says that it holds; any text where it isn't here.
_SHAPE_OF_SORT: Final = {
    "names": "list", "counted": "list", "faces_of": "list", "lines": "list",
    "at": "pairs", "runs": "pairs", "band": "pairs", "mitres": "pairs",
    "needs": "needs", "by_name": "pairs", "sizes_by_name": "pairs",
}  # fmt: skip


@dataclass(frozen=True)
class Said:
    """How the entries of a section are said: all its clauses, those by lead, and what may stand bare or by its form."""

    clauses: tuple[Clause, ...]
    by_lead: Mapping[str, tuple[Clause, ...]]
    placed: tuple[Clause, ...]
    bare: tuple[Clause, ...]
    rest: Clause | None
    flags: frozenset[str]

    @cached_property
    def leads_by_first_word(self) -> Mapping[str, tuple[str, ...]]:
        """The leads that begin with a word, the longest first."""
        found: dict[str, list[str]] = {}
        for lead in sorted(self.by_lead, key=len, reverse=True):
            found.setdefault(lead.partition(" ")[0], []).append(lead)
        return {word: tuple(leads) for word, leads in found.items()}


def entry_words(section: str) -> str:
    """What an entry of a section is called in sentences."""
    known = SECTIONS.get(section) or (CLOSES if section in ONE_LINE else None)
    return known.entry if known else f"entry of {section}"


def has_lines(section: str) -> bool:
    """Whether the entries of a section are lines."""
    return section in SECTIONS or section in CLAUSES


def how_it_is_said(section: str) -> str:
    """A whole line of a section as a pattern in words: 'says; count of stock; long length along axis; …'."""
    if section in ANSWERED:
        return "one formula; or answer formula; answer formula"
    said, known = list[str](), set[str]()
    for clause in clauses_of(section).clauses:
        fields = {slot.partition(".")[0] if slot != clause.lead else slot for slot, _ in clause.slots} | {*clause.fixed}
        if not fields <= known or any("." in slot and slot not in known for slot, _ in clause.slots):
            known |= fields | {slot for slot, _ in clause.slots}
            said.append(_SLOT.sub(_slot_words, clause.pattern))
    return "; ".join(said)


def _slot_words(found: re.Match[str]) -> str:
    words = found[1].rpartition(".")[2].replace("_", " ").upper()
    shown = {
        "answers": f"{words} or {words}", "list": f"{words}, {words}", "axis": "x",
        "sizes": "size FORMULA, size FORMULA",
    }  # fmt: skip
    return shown.get(found[2] or "", words)


@lru_cache(maxsize=64)
def clauses_of(section: str) -> Said:
    """How a section's entries are said: the clauses of the table, then each field by its own name.

    The name of a field, with spaces for underscores, is its lead unless another clause begins like that.
    """
    known = SECTIONS.get(section) or (CLOSES if section in ONE_LINE else None)
    sorts: dict[str, str] = {one.name: one.sort for one in known.fields} if known else {}
    own = CLAUSES.get(section, ())
    held = [slot.partition(".")[0] for clause in own for slot, _ in clause.slots]
    names = dict.fromkeys([*held, *(name for clause in own for name in clause.fixed), *sorts])
    shapes = {slot: shape for clause in own for slot, shape in clause.slots if shape in ("list", "pairs", "needs")}
    leads = {clause.lead for clause in own if clause.lead}
    added = []
    for name in names:
        lead = name.replace("_", " ")
        shape = _SHAPE_OF_SORT.get(sorts.get(name, ""), shapes.get(name, ""))
        pattern = f"{lead} {{{name}:{shape}}}" if shape else f"{lead} {{{name}}}"
        if pattern not in {clause.pattern for clause in own} and not _is_taken(name, lead, leads, own):
            added.append(Clause(pattern))
    clauses = (*(one for one in own if not one.takes_rest), *added, *(one for one in own if one.takes_rest))
    by_lead: dict[str, list[Clause]] = {}
    for clause in clauses:
        if clause.lead:
            by_lead.setdefault(clause.lead, []).append(clause)
    return Said(
        clauses,
        {lead: tuple(found) for lead, found in by_lead.items()},
        tuple(clause for clause in clauses if not clause.lead and (not clause.is_bare or _is_told_apart(clause))),
        tuple(one for one in own if one.is_bare and not one.takes_rest and not _is_told_apart(one)),
        next((clause for clause in own if clause.takes_rest), None),
        frozenset(name for name, sort in sorts.items() if sort == "yes_no"),
    )


def _is_told_apart(clause: Clause) -> bool:
    """Whether a field alone is known by what it may be: the kind of a material, or sizes with their names."""
    return clause.is_bare and clause.slots[0][1] in ("kind", "sizes")


def _is_taken(name: str, lead: str, leads: set[str], own: tuple[Clause, ...]) -> bool:
    """Whether a lead says another field, or the field ends its lines, so that its name can't be its lead."""
    if any(clause.takes_rest and clause.slots[0][0] == name for clause in own):
        return True
    return lead in leads and not any(clause.lead == lead and {name} == {*dict(clause.slots)} for clause in own)
