"""What may be typed next: names completed at the end of a line, and words that may stand there."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from webapp.costing.catalogue.kinds import CUT_STOCK, Kind
from webapp.costing.designs.names_within import held
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.read import LONGEST, read_few_words
from webapp.costing.few_words.stock import materials_by_words, short_words

#: So many are offered at most.
MOST_OFFERED: Final = 8
#: Words that may stand at the end of a line, where with them it can be read.
NEXT: Final = (
    "between the sides", "flush all round", "four corners", "left and right", "front and back", "upright",
    "on legs", "at the top", "300 up", "front edges banded", "under each leg", "glued", "welded all round",
    "in the top", "clear of ribs", "half lasting", "sprayed", "on all parts", "centred",
)  # fmt: skip
#: What a line may begin with.
BEGIN: Final = (
    "length 1800", "shelf of", "4 legs of", "opening 300 x 200", "holes 20", "plate 300 x 200 x 8", "2 coats of",
    "must mass at most 60 kg",
)  # fmt: skip
_AFTER_OF: Final = re.compile(r"(?P<before>.*\b(?:of|with|in) )(?P<words>[^,;:]*)", re.IGNORECASE)
#: A longer line is no longer completed as it is typed.
_LONGEST: Final = 300


@dataclass(frozen=True, slots=True)
class Offer:
    """Something that may be typed next: words that are added or stand in place of the last, and the whole line."""

    words: str
    line: str


def offers(line: str, known: Known) -> tuple[Offer, ...]:
    """What may come at the end of a line, the likeliest first, eight at most. Never raises."""
    if len(line) > min(_LONGEST, LONGEST):
        return ()
    found: dict[str, Offer] = {}
    for offer in _offered(" ".join(line.split()), line.endswith(" "), known):
        if offer.line.casefold() != line.strip().casefold():
            found.setdefault(offer.line.casefold(), offer)
        if len(found) == MOST_OFFERED:
            break
    return tuple(found.values())


def _offered(line: str, spaced: bool, known: Known) -> Iterator[Offer]:
    if not line:
        yield from (Offer(words, words) for words in BEGIN)
        return
    yield from _materials(line, known)
    if not spaced:
        yield from _names(line, known)
    yield from _library(line, known)
    read = read_few_words(line, known)
    if read.question is not None:
        yield from (Offer(one.words, one.line) for one in read.question.answers)
        return
    for words in _next(known):
        for joined in (f"{line}, {words}", f"{line} {words}"):
            if words.split()[0] not in line.split() and read_few_words(joined, known).entries:
                yield Offer(words, joined)
                break


def _next(known: Known) -> Iterator[str]:
    for words in NEXT:
        last = words.split()[-1].removesuffix("s")
        named = last in ("side", "leg", "top")
        if not named or last in known.standing or words == "at the top":
            yield words


def _materials(line: str, known: Known) -> Iterator[Offer]:
    """Materials by what is typed of their names: behind 'of' those that parts are cut from, else what is fitted."""
    found = _AFTER_OF.fullmatch(line if not line.lower().endswith((" of", " with")) else f"{line} ")
    before, words = (found["before"], found["words"].strip()) if found else ("", line)
    kinds = tuple(CUT_STOCK) if found else (Kind.PIECE, Kind.FASTENER)
    if found and not words:
        own = [str(one.get("usual")) for one in known.own("stock").values() if hasattr(one, "get")]
        usual = [known.by_code[code] for code in dict.fromkeys(own) if code in known.by_code]
        materials = [one for one in (*usual, *known.materials) if one.kind in CUT_STOCK]
    else:
        materials = [*materials_by_words(words, known, kinds)]
        if found and not materials:
            materials = [*materials_by_words(words, known, (Kind.LIQUID, Kind.PIECE, Kind.FASTENER))]
    for one in materials[:MOST_OFFERED]:
        short = short_words(one, known)
        yield Offer(short, f"{before}{short}")


def _names(line: str, known: Known) -> Iterator[Offer]:
    """Parts, sizes and values whose names go on from the last words."""
    words = line.split()
    names = [name.replace("_", " ") for name in (*known.standing, *known.entries("sizes"), *known.entries("values"))]
    for several in (3, 2, 1):
        typed = " ".join(words[-several:]).casefold()
        if len(words) < several or len(typed) < 2 or len(words) == several:
            continue
        for name in dict.fromkeys(names):
            if name.startswith(typed) and name != typed:
                yield Offer(name, " ".join([*words[:-several], name]))


def _library(line: str, known: Known) -> Iterator[Offer]:
    """Designs of the library whose names begin with what is typed, with their first sizes as they usually are."""
    typed = line.casefold()
    for one in known.library:
        code = one.code.replace("_", " ")
        if (code.startswith(typed) or one.name.casefold().startswith(typed)) and len(typed) > 1:
            sizes = [size for size in held(one.document, "sizes").values() if isinstance(size, Mapping)][:3]
            usual = [str(size.get("usual", "")).split("|")[0].strip().removesuffix(" mm") for size in sizes]
            yield Offer(code, " ".join([code, " x ".join(usual)]) if len(usual) > 1 else code)
