"""The table of how the fields of each section are said in sentences."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from webapp.costing.design_lines.table import Clause

#: Small numbers, from nothing on.
NUMBERS: Final = (
    "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip
_FROM_EDGES: Final = (
    Clause("{off} from the {edge} edge"), Clause("{off_too} from the {edge_too} edge"),
)  # fmt: skip
#: How the fields of each section are said, in this order; a clause is said where the entry has all its fields. What is
#: left is said by the field's own name.
WORDS: Final[Mapping[str, tuple[Clause, ...]]] = {
    "sizes": (Clause("{usual} as a rule"), Clause("from {least} to {most}")),
    "stock": (
        Clause("{kind}"), Clause("{usual:material} as a rule"), Clause("on a quote “{customer:words}”"),
        Clause("chosen to fit {follows:named}"), Clause("needing {needs:needs}"),
    ),
    "choices": (Clause("{answers:or}"), Clause("{usual} as a rule")),
    "uses": (
        Clause("a {design:answer}"), Clause("{count:number} of them"), Clause("with {sizes:by}"),
        Clause("made from {materials:by}"), Clause("with {choices:by}"),
        Clause("from left to right: {at.x}"), Clause("from front to back: {at.y}"), Clause("in height: {at.z}"),
        Clause("mirrored along {mirrored}"),
    ),
    "parts": (
        Clause("one", {"count": "1"}), Clause("{count:number} of them"), Clause("cut from {stock:named}"),
        Clause("{length} long"), Clause("{runs.length:lies}"), Clause("{width} wide {runs.width:wide}"),
        Clause("{width} wide"), Clause("its width {runs.width:wide}"), Clause("{thickness} thick"),
        Clause("from left to right: {at.x}"), Clause("from front to back: {at.y}"), Clause("in height: {at.z}"),
        Clause("splayed {splayed}, the feet outwards"), Clause("leaning {leans}"), Clause("its ends cut {cut}"),
        Clause("grain {grain:grain}"), Clause("{band.with:named} on {band.edges}"),
        Clause("mitred {mitres.start} degrees at the start"), Clause("mitred {mitres.end} degrees at the end"),
        Clause("longest on the {mitres.long}"), Clause("measured on the {mitres.measured} side"),
        Clause("{joint_length} longer for its joints"), Clause("{joint_width} wider for its joints"),
        Clause("turned to {turned} across"), Clause("glued up from {layers:number} layers"),
        Clause("kept on one sheet as {together}"),
        Clause("that only for {together_when:answer}"),
    ),
    "holes": (
        Clause("{diameter} wide"), Clause("{depth} deep in {part:named} on the {face}"),
        Clause("through {part:named} from the {face}"), Clause("through {part:named}"),
        Clause("{columns:number} by {rows:number}"), Clause("{apart} apart each way"),
        Clause("{apart_along} apart along and {apart_across} across"),
        Clause("every {every} from {first} to at most {last}"),
        Clause("as many as there is room for every {every} each way, {from_edges} from the edges"),
        Clause("in the leg of {leg:named}"), *_FROM_EDGES,
        Clause("for {takes:named}"), Clause("kept {clear} clear of the ribs behind"), Clause("made by {step}"),
    ),
    "openings": (
        Clause("a plate {length} by {width}, {depth} thick, let into {part:named} on the {face}", {"let_in": "yes"}),
        Clause("a round plate {diameter} wide, {depth} thick, let into {part:named} on the {face}", {"let_in": "yes"}),
        Clause("{length} by {width}"), Clause("round, {diameter} wide"), Clause("cut to the corners {points:points}"),
        Clause("{depth} deep in {part:named} on the {face}"), Clause("through {part:named} from the {face}"),
        Clause("through {part:named}"), Clause("in the leg of {leg:named}"), *_FROM_EDGES,
        Clause("its corners {corners} round"),
        Clause("going through all behind it", {"behind": "yes"}), Clause("lying on a ledge of {ledge}"),
        Clause("for {takes:named}"),
    ),
    "joinery": (
        Clause("tenons {deep} long and {wide} thick at {at} of {part:named}, into {into:named}", {"sort": "tenon"}),
        Clause("tenons {deep} long and {wide} thick at {at} of {part:named}", {"sort": "tenon"}),
        Clause("{part:named} housed {deep} deep in {into:named} at {at}", {"sort": "housing"}),
        Clause("{part:named} housed {deep} deep in {into:named} at both ends", {"sort": "housing"}),
        Clause("cut away {wide} wide and {deep} deep along {edges} of {part:named}", {"sort": "rebate"}),
    ),
    "outlines": (Clause("{part:named} cut to the corners {points:points}"),),
    "folds": (
        Clause("{edges} of {part:named} folded {fold_leg} up", {"way": "top"}),
        Clause("{edges} of {part:named} folded {fold_leg} down", {"way": "bottom"}),
        Clause("{edges} of {part:named} folded {fold_leg} to the {way}"),
        Clause("folded again {fold_leg} inwards on {on:named}", {"turn": "inwards"}),
        Clause("folded again {fold_leg} outwards on {on:named}", {"turn": "outwards"}),
        Clause("bent {degrees} degrees off the flat"), Clause("cut back {cut_back} at each end"),
    ),
    "moves": (
        Clause("{parts:named} swinging to the {way} by {degrees} degrees about the {hinge} edge"),
        Clause("{parts:named} drawn to the {way} by {travel}"), Clause("{parts:named} drawn to the {way}"),
        Clause("on {on:named}"), Clause("with {room} at each side"),
    ),
    "holds": (
        Clause("{tall} tall on {part:named}, within {within:named}"), Clause("{tall} tall on {part:named}"),
    ),
    "joints": (
        Clause("{from:named} into {into:named}"), Clause("held by {with:named}"), Clause("{count:number} in all"),
        Clause("{rows:number} rows of {run}"), Clause("one at most every {spacing}"),
        Clause("the first {end} from the end"), Clause("at least {at_least:number} in each row"),
        Clause("glued", {"glue": "yes"}), Clause("glued with {glue:named}"), Clause("in lines {glue_width} wide"),
        Clause("through {grip}"), Clause("with {room} to bite into"), Clause("biting into {bites}"),
        Clause("welded {weld}"), Clause("each weld {weld_run}"), Clause("ground flush", {"ground": "yes"}),
        Clause("though they need not touch", {"touches": "no"}), Clause("with {play} of play each way"),
    ),
    "hardware": (
        Clause("{count:number} of {stock:named}"), Clause("{stock:named}"),
        Clause("one under each {under_each:named}"), Clause("from left to right: {at.x}"),
        Clause("from front to back: {at.y}"), Clause("in height: {at.z}"), Clause("{wide} wide"),
        Clause("{deep} deep"), Clause("{tall} high"), Clause("driven through {through}"),
        Clause("into {into:named}"), Clause("with {room} to bite into"),
        Clause("holding it to the wall", {"to_wall": "yes"}),
    ),
    "surfaces": (
        Clause("one broad face of {part:named}", {"faces": "1"}),
        Clause("{faces:number} broad faces of {part:named}"), Clause("{edges} edges of {part:named}"),
        Clause("{faces:number} broad faces of all that is cut from {stock:named}"),
        Clause("{edges} edges of all that is cut from {stock:named}"), Clause("{edges} edges of every part"),
        Clause("an area of {area}"), Clause("raw edge, which drinks more", {"raw_edge": "yes"}),
    ),
    "finish": (
        Clause("one coat of {stock:named}", {"coats": "1"}), Clause("{coats:number} coats of {stock:named}"),
        Clause("sprayed", {"sprayed": "yes"}), Clause("on {on}"),
    ),
    "supplies": (Clause("{stock:named}"), Clause("by {driver}"), Clause("over {of:named}")),
    "operations": (
        Clause("left off", {"off": "yes"}), Clause("by {driver}"), Clause("over {of:named}"),
        Clause("{count:number} of them"), Clause("with {includes:named} done in its time"),
    ),
    "loads": (
        Clause("{kilograms} on each {on:named}"), Clause("in its middle", {"lies": "middle"}),
        Clause("along one edge", {"lies": "edge"}), Clause("half of it lasting", {"lasting": "1/2"}),
        Clause("{lasting} of it lasting"),
    ),
    "spans": (
        Clause("{part:named} over {span}"), Clause("carrying {load}"), Clause("judged as a {limit}"),
        Clause("no more than {flat} out of flat"),
    ),
    "musts": (Clause("{that}"),),
}  # fmt: skip
ALWAYS: Final = (Clause("only for {when:answer}"),)
