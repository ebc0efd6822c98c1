"""What a material is, in tags: the words that places of a design ask for, what each means, and what is one besides.

A shop may tag with words of its own; a place fits by them only where a design asks for the same word.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Final

from webapp.costing.measures.trade_words import in_trade_words, said_in_either

LONGEST_TAG: Final = 40
MOST_TAGS: Final = 12


@dataclass(frozen=True, slots=True)
class Tag:
    """A tag: what one of it is called, with its article, what it means, and which tags it is as well."""

    one: str
    means: str
    also: tuple[str, ...] = ()


#: The tags that the program knows, by what a material is cut, joined, fitted or treated as. British trade words.
TAGS: Final[Mapping[str, Tag]] = {
    # What parts are cut from.
    "wood_panel": Tag("a sheet of wood or fibre", "plywood, fibreboard, particleboard, strand board, hardboard"),
    "plywood": Tag("plywood", "veneers glued crosswise", ("wood_panel",)),
    "fibreboard": Tag("fibreboard", "fibres pressed with glue, medium dense", ("wood_panel",)),
    "particleboard": Tag("particleboard", "chips pressed with glue", ("wood_panel",)),
    "strand_board": Tag("strand board", "long strands pressed with glue", ("wood_panel",)),
    "hardboard": Tag("hardboard", "fibres pressed hard and thin", ("wood_panel",)),
    "veneer_faced": Tag("a veneer-faced sheet", "its faces are veneer that is meant to be seen", ("wood_panel",)),
    "laminate_faced": Tag("a laminate-faced sheet", "its faces are laminate and take no finish", ("wood_panel",)),
    "timber": Tag("timber", "solid wood, sawn or planed"),
    "hardwood": Tag("hardwood", "solid wood of a broad-leaved tree", ("timber",)),
    "softwood": Tag("softwood", "solid wood of a conifer", ("timber",)),
    "edge_band": Tag("an edge band", "a thin strip that is glued onto the edge of a sheet"),
    "tube": Tag("a tube", "a hollow section of metal"),
    "steel_tube": Tag("a steel tube", "a hollow section of steel that can be welded", ("tube",)),
    "steel_bar": Tag("a steel bar", "flat, square or round steel without a hollow"),
    "sheet_metal": Tag("sheet metal", "thin flat metal"),
    "plastic": Tag("plastic", "acrylic, polyethylene and the like, in sheets, blocks or lengths"),
    # What holds parts together.
    "screw": Tag("a wood screw", "a screw that cuts its own thread in wood"),
    "countersunk": Tag("a countersunk screw", "a wood screw whose head sinks in flush", ("screw",)),
    "pan_head": Tag("a pan head screw", "a wood screw that is flat under a low head", ("screw",)),
    "washer_head": Tag("a washer head screw", "a wood screw that is flat under a wide head", ("screw",)),
    "nail": Tag("a nail", "driven in, for wood"),
    "bolt": Tag("a bolt", "a machine thread, with what it is screwed into"),
    "dowel": Tag("a dowel", "a round pin of wood, glued in"),
    "biscuit": Tag("a biscuit", "a flat oval of pressed wood, glued into slots"),
    "loose_tenon": Tag("a loose tenon", "a flat tenon of its own, glued into two mortises"),
    # What is fitted on.
    "castor": Tag("a castor", "a wheel under furniture, with its plate or stem"),
    "swivel_castor": Tag("a swivel castor", "a castor that turns about its plate", ("castor",)),
    "fixed_castor": Tag("a fixed castor", "a castor that only rolls straight on", ("castor",)),
    "foot": Tag("a foot", "what a bench stands on, and carries a load that is known"),
    "levelling_foot": Tag("a levelling foot", "a foot that is screwed up and down", ("foot",)),
    "lifting_base": Tag("a lifting base", "a base that raises and lowers a top, bought whole"),
    "turntable_plate": Tag("a turntable plate", "a plate with a disc that turns on it, let in flush"),
    "bin": Tag("a bin", "a box or a bucket that scraps fall into"),
    "pad": Tag("a pad", "a thin pad of rubber or felt under a foot"),
    "slide": Tag("a drawer slide", "a pair of runners for a drawer, mounted at its sides"),
    "handle": Tag("a handle", "a pull for a drawer or a door, with its screws"),
    "hinge": Tag("a hinge", "what a door or a lid turns on"),
    "shelf_peg": Tag("a shelf peg", "a pin that a loose shelf lies on"),
    "bracket": Tag("a bracket", "an angle that is screwed to two parts"),
    "slotted_bracket": Tag("a slotted bracket", "a bracket that lets a solid top move", ("bracket",)),
    "tube_plug": Tag("a tube plug", "it closes the end of a tube, and may hold a foot"),
    "wrapping": Tag("wrapping", "card, film and what else a finished thing is wrapped in"),
    # What is spread on, and what is used up.
    "wood_glue": Tag("wood glue", "glue that holds wood to wood"),
    "wood_finish": Tag("a clear finish for wood", "lacquer, varnish, oil or wax"),
    "lacquer": Tag("lacquer", "a clear film on wood", ("wood_finish",)),
    "varnish": Tag("varnish", "a thick clear film on wood", ("wood_finish",)),
    "oil": Tag("oil", "oil or hard wax that sinks into wood", ("wood_finish",)),
    "wood_primer": Tag("primer for wood", "the first coat under paint on wood"),
    "wood_paint": Tag("paint for wood", "a covering coat on wood"),
    "steel_primer": Tag("primer for steel", "the first coat against rust under paint"),
    "steel_paint": Tag("paint for steel", "a covering coat on primed steel"),
    "powder_coat": Tag("a powder coat", "powder that is stoved onto steel by those who have the oven"),
    "welding_wire": Tag("welding wire", "wire that a weld is filled with"),
    "shielding_gas": Tag("shielding gas", "gas that is let out over a weld"),
    "flap_disc": Tag("a flap disc", "it dresses welds"),
    "sanding_disc": Tag("a sanding disc", "abrasive for wood and for between coats, by its grit"),
    "cutting": Tag("cutting by others", "sawing that the yard does"),
    "sharpening": Tag("sharpening", "of blades and cutters, by others"),
}  # fmt: skip


def tag_words(tag: str) -> str:
    """A tag as it is read and typed, one of the program's in the shop's trade words: edge band.

    >>> tag_words("edge_band")
    'edge band'
    """
    words = tag.replace("_", " ")
    return in_trade_words(words) if tag in TAGS else words


def one_of(tag: str) -> str:
    """What one of a tag is called, with its article; of a tag that the program doesn't know, with the nearest.

    >>> one_of("castor"), one_of("castr")
    ('a castor', 'what is tagged “castr” (no tag that the program knows; the nearest is “castor”)')
    """
    if tag in TAGS:
        return in_trade_words(TAGS[tag].one)
    near = nearest_tag(tag)
    return f"what is tagged “{tag_words(tag)}”" + (
        f" (no tag that the program knows; the nearest is “{tag_words(near)}”)" if near else ""
    )


def nearest_tag(tag: str) -> str:
    """The known tag that is likest to one that is not known; '' where none is.

    >>> nearest_tag("bisquit"), nearest_tag("birch")
    ('biscuit', '')
    """
    return next(iter(get_close_matches(tag, TAGS, 1, 0.75)), "")


def is_tagged(tags: Collection[str], tag: str) -> bool:
    """Whether something with these tags is one of this tag, by itself or by what a tag of it is as well.

    >>> is_tagged(("swivel_castor",), "castor"), is_tagged(("castor",), "swivel_castor")
    (True, False)
    """
    return any(one == tag or (one in TAGS and is_tagged(TAGS[one].also, tag)) for one in tags)


def tags_that_are(tag: str) -> tuple[str, ...]:
    """Every tag by which something is one of this tag.

    >>> tags_that_are("castor")
    ('castor', 'swivel_castor', 'fixed_castor')
    """
    return (tag, *(one for one in TAGS if one != tag and is_tagged((one,), tag)))


def says_what_it_is(tags: Collection[str], asked: str) -> bool:
    """Whether these tags tell that something is not what is asked for, where they don't name it: a word of the shop's
    own, as birch, says nothing of what the program's tags mean."""
    return any(one in TAGS for one in tags) or (asked not in TAGS and bool(tags))


def what_it_is(tags: Collection[str]) -> tuple[str, ...]:
    """What something with these tags is called: what a tag of it is as well is not said again.

    >>> what_it_is(("castor", "swivel_castor"))
    ('a swivel castor',)
    """
    known = [tag for tag in tags if tag in TAGS]
    plain = [tag for tag in known if not any(tag != other and is_tagged(TAGS[other].also, tag) for other in known)]
    return tuple(map(one_of, plain)) or tuple(f"tagged “{tag_words(tag)}”" for tag in tags)


def read_tags(text: str) -> tuple[tuple[str, ...], str]:
    """Tags typed with commas between, each once and in order of the alphabet, or the sentence why they can't be taken.

    Capitals and signs between words make no other tag, nor does the other set of trade words: Edge-band is edge_band.

    >>> read_tags("Edge band, birch, birch")
    (('birch', 'edge_band'), '')
    """
    tags = {_plain(one) for one in text.split(",") if one.strip()}
    if "" in tags or any(not tag[0].isalpha() or len(tag) > LONGEST_TAG for tag in tags):
        return (), f"“{text[:80]}”: a tag is words of plain letters and digits, at most {LONGEST_TAG} of them."
    if len(tags) > MOST_TAGS:
        return (), f"There are {len(tags)} tags; at most {MOST_TAGS} are kept."
    return tuple(sorted(tags)), ""


def _plain(word: str) -> str:
    """A typed tag as it is kept; one that the program knows under its name in the British set."""
    joined = re.sub(r"[^a-z0-9]+", "_", word.casefold()).strip("_")
    either = (one.replace(" ", "_") for one in said_in_either(joined.replace("_", " ")))
    return next((one for one in either if one in TAGS), joined)


def unknown_words(tags: Collection[str]) -> tuple[str, ...]:
    """A sentence for each tag that the program doesn't know, with the nearest that it does.

    >>> unknown_words(("castr", "castor"))
    ('“castr” is no tag that the program knows; did you mean “castor”?',)
    """
    said = []
    for tag in tags:
        if tag not in TAGS:
            near = nearest_tag(tag)
            meant = f"did you mean “{tag_words(near)}”?" if near else "only a design that asks for it fits by it."
            said.append(f"“{tag_words(tag)}” is no tag that the program knows; {meant}")
    return tuple(said)
