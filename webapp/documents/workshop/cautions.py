"""Where the work can hurt someone: short reminders, each for the steps that need it, with the source it rests on.

They defer to local codes, the makers' instructions and licensed practice; none of them replaces any of those.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from string import ascii_uppercase
from typing import Final

from webapp.costing.measures.trade_words import in_trade_words

PRACTICE: Final = "common practice"
DUST: Final = "NIOSH: at most 1 mg of wood dust in a cubic metre of air, mean of a working day"
LIFTING: Final = "the shop's own limits; DHHS (NIOSH) 94-110 has 23 kg or 51 lb for an ideal lift only"
SPRAYING: Final = "29 CFR 1910.107(b) and (c); local codes may ask for more"
RAGS: Final = "fire departments and universities, after the codes of the NFPA"

DEFERRING: Final = (
    "The cautions in this pack remind; they don't teach. Local codes, the instructions of the makers of machines, "
    "materials and fittings, and licensed practice come before anything printed here. Whoever has not been shown a "
    "machine does not run it."
)
NO_APPROVAL: Final = (
    "A load, a sag or a weight in this pack is a planning aid, not an engineer's approval. Where people or "
    "valuable things depend on it, have it checked by someone licensed to."
)


@dataclass(frozen=True, slots=True)
class Caution:
    """A reminder: its name, what to do, where that comes from, and the letter by which later steps recall it."""

    name: str
    sentence: str
    source: str = PRACTICE
    letter: str = ""


@dataclass(frozen=True, slots=True)
class Situation:
    """What is known of one step: its name and words, its machine, and traits of what is worked on ('fibre', ...)."""

    operation: str
    words: str
    machine: str = ""
    on_site: bool = False
    traits: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class _Rule:
    """When a caution is due: any of these machines or words in the step's name, and any of these traits (or none)."""

    caution: Caution
    machines: frozenset[str] = frozenset()
    words: tuple[str, ...] = ()
    traits: frozenset[str] = frozenset()
    on_site: bool = False

    def due(self, step: Situation) -> bool:
        if self.traits and not self.traits & step.traits:
            return False
        parts = step.operation.split("_") + step.words.casefold().replace(",", " ").split()
        named = any(part.startswith(word) for word in self.words for part in parts)
        return step.machine in self.machines or named or (self.on_site and step.on_site)


def _rule(
    name: str, sentence: str, source: str = PRACTICE, *, machines: str = "", words: str = "", traits: str = "",
    on_site: bool = False,
) -> _Rule:  # fmt: skip
    return _Rule(
        Caution(name, sentence, source), frozenset(machines.split()), tuple(words.split()), frozenset(traits.split()),
        on_site,
    )  # fmt: skip


#: Words that begin the names of steps in which a tool cuts, so that chips and noise fly.
_CUTTING: Final = "saw cut rip crosscut plane rout drill bore slot mortise tenon grind sand deburr weld"
_DUSTY: Final = "saw cut plane rout drill bore slot sand"

RULES: Final[tuple[_Rule, ...]] = (
    _rule(
        "Eyes and ears",
        "Wear eye protection, and hearing protection at every running machine. No gloves, loose sleeves or rings near "
        "anything that turns.",
        machines="saw planer router bander", words=_CUTTING,
    ),
    _rule(
        "Sawing",
        "Guard and riving knife in place; set fence and stops with the blade at rest; stand and hold out of its line. "
        "Clear offcuts only when it has stopped.",
        machines="saw", words="saw rip crosscut",
    ),
    _rule(
        "Planing",
        "Hands never over the cutters: use push blocks. Nothing shorter or thinner than the machine's maker allows.",
        machines="planer", words="plane",
    ),
    _rule(
        "CNC router",
        "Check the hold-down and the path clear of clamps before the first run; keep out of its reach while it runs.",
        machines="router",
    ),
    _rule(
        "Dust of sheet materials",
        "Dust of fibreboard, particleboard and plywood is fine and holds glue: extract at the tool, wear a dust "
        "mask that fits, and vacuum it up; do not sweep or blow.",
        DUST, machines="saw router", words=_DUSTY, traits="sheet",
    ),
    _rule(
        "Dust of hardwood",
        "Dust of hardwood can make people ill over the years: extract at the tool and wear a dust mask that fits.",
        DUST, machines="saw planer", words=_DUSTY, traits="hardwood",
    ),
    _rule(
        "Boring and driving",
        "Clamp small work, and steel always: a bit that catches turns it. Keep the other hand out of the screw's way.",
        words="drill bore drive",
    ),
    _rule(
        "Cutting and grinding steel",
        "Clamp the work; guard on the disc; disc rated for the machine's speed. Sparks travel: nothing that burns, no "
        "sawdust and no solvent within their reach. Edges are sharp and ends are hot.",
        words="grind deburr", traits="metal",
    ),
    _rule(
        "Sawing steel",
        "Clamp the tube on both sides of the cut where it can be; the end is sharp and hot. Keep chips of steel "
        "out of the dust extraction for wood.",
        words="saw", traits="metal",
    ),
    _rule(
        "Welding",
        "Helmet and covered skin, and screens up so that nobody else sees the arc. Draw the fumes off at the "
        "joint. Take off zinc, paint and any trace of cleaner first: zinc and cleaners with chlorine give "
        "poisonous fumes.",
        machines="welder", words="weld tack",
    ),
    _rule(
        "Fire watch",
        "Clear sawdust, rags and cans away before the first spark; extinguisher at hand; somebody stays and "
        "looks again half an hour after the last one.",
        machines="welder", words="weld tack grind",
    ),
    _rule(
        "Degreasing",
        "Gloves and moving air; away from flame and spark. The cleaner's own sheet says how and where its rags go.",
        words="degrease clean_steel",
    ),
    _rule(
        "Clamps and glue",
        "Gloves for glue that sticks to skin. A clamp under load can slip: keep fingers and feet out from under.",
        words="clamp glue laminate",
    ),
    _rule(
        "Spraying",
        "In the booth, fan on: at least 100 ft a minute (0.5 m/s) on average over its open face; no flame or "
        "spark within 20 ft (6 m), metal parts grounded. Respirator as the maker's sheet says; nobody else in "
        "the booth.",
        SPRAYING, machines="booth", words="spray",
    ),
    _rule(
        "Vapours",
        "Air moving, no flame; gloves and respirator as the tin says. Lids on when not in use; none of it down "
        "the drain.",
        words="spray brush roll oil paint varnish stain lacquer", machines="booth",
    ),
    _rule(
        "Oily rags",
        "Rags wet with a drying oil heat themselves and can catch fire within hours: spread each flat outdoors "
        "to dry, or put it under water in a metal can with a lid. Never in a heap or a bin.",
        RAGS, words="brush roll oil wipe stain", traits="oil",
    ),
    _rule(
        "Lifting",
        "{lift} Plan the way first; lift with the legs, together, on one person's word.",
        LIFTING, words="load unload wrap pack install turn assemble", traits="heavy", on_site=True,
    ),
    _rule(
        "Full sheets",
        "Two people carry a full sheet, and not in wind. Rack it so that it can't slide or tip.",
        words="unload rack", traits="sheet",
    ),
    _rule(
        "Loading",
        "Strap the load so that it neither slides nor tips, soft edges under the straps; no one rides with it.",
        words="load travel",
    ),
    _rule(
        "Castors and rated loads",
        "The load that a castor, slide, bracket or lift may carry is its maker's; count on three of four "
        "castors, for a floor is never flat. Brakes on before anyone leans on it; push, don't pull, and lower "
        "shelves first.",
        words="hardware castor caster feet slide drawer install load wrap", traits="rated",
    ),
    _rule(
        "Tipping",
        "It is tall for its foot: have it held until it is fixed, load it from below, and fix it to the wall where the "
        "design or the local code asks for it.",
        words="install load wrap fit clamp assemble", traits="tall", on_site=True,
    ),
    _rule(
        "Anchoring to a wall",
        "Find wires and pipes before the first hole. Fix into studs or sound masonry, with anchors that their "
        "maker rates for that wall and that load; where the wall is in doubt, ask someone licensed. Wiring is a "
        "licensed trade's.",
        words="install hang", traits="site wall",
    ),
)  # fmt: skip


@dataclass(slots=True)
class CautionBook:
    """Gives each step its cautions: each told whole where it first counts, and by its letter from there on."""

    lift: str
    letters: dict[str, str] = field(default_factory=dict)

    def beside(self, step: Situation) -> tuple[tuple[Caution, ...], str]:
        """The cautions told for the first time at this step, and the letters of all that count there."""
        fresh, minded = [], []
        for rule in RULES:
            if not rule.due(step):
                continue
            name = rule.caution.name
            if name not in self.letters:
                self.letters[name] = ascii_uppercase[len(self.letters)]
                words = in_trade_words(rule.caution.sentence).replace("{lift}", self.lift)
                fresh.append(Caution(in_trade_words(name), words, rule.caution.source, self.letters[name]))
            minded.append(self.letters[name])
        return tuple(fresh), " ".join(sorted(minded))


def narrow_strip_caution(smallest: str, words: Mapping[str, str]) -> Caution | None:
    """A reminder for strips under the shop's smallest on the saw; `words` gives each part's words and its width."""
    if not words:
        return None
    named = ", ".join(f"{says} ({width})" for says, width in words.items())
    return Caution(
        "Narrow strips",
        f"Under {smallest} wide: {named}. Use a sled, or a push stick or push block, with the fence no longer "
        "than the cut needs; fingers stay behind.",
    )
