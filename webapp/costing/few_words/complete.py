"""What may be typed next: names completed at the end of a line, and words that may stand there."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from webapp.costing.catalogue.kinds import CUT_STOCK, Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.designs.names_within import held
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.line.words import several
from webapp.costing.few_words.placing import stands_often
from webapp.costing.few_words.read import read_few_words
from webapp.costing.few_words.stock import materials_by_words, short_words
from webapp.costing.measures.trade_words import in_trade_words

#: So many are offered at most.
MOST_OFFERED: Final = 8
#: What may come behind an entry of each section, where with it the line can be read; {} is a part that stands so.
NEXT: Final[Mapping[str, tuple[str, ...]]] = {
    "parts": ("flush all round", "between the {twice}", "on the {part}", "under the {part}", "left and right",
              "upright", "front edges banded", "300 up", "front and back", "at the top", "half way up"),
    "uses": ("between the {twice}", "on the {part}", "behind the {part}", "left and right"),
    "hardware": ("under each {twice}", "on each {twice}", "left and right"),
    "joints": ("glued", "ends 20", "at least 3"),
    "holes": ("clear of ribs", "in the {part}", "10 deep"),
    "openings": ("corners 10", "400 from left", "250 from front", "in the {part}"),
    "finish": ("sprayed",),
    "loads": ("half lasting", "in the middle"),
}  # fmt: skip
#: What a line that can't be read yet may want.
WANTED: Final = (
    "flush all round", "between the {twice}", "600 long", "every 150", "glued", "welded all round", "on all parts",
    "on the {part}",
)  # fmt: skip
#: Phrases that are completed as they are typed, beside those above.
PHRASES: Final = (
    "from left to right", "from front to back", "on edge", "laid flat", "four corners", "upright", "set back 50",
    "all edges banded", "glued up from 2", "splayed 8 from the front, 5 from the side", "welded all round",
    "ground flush", "behind the {part}", "in front of the {part}", "centred", "on all parts", "as a bench",
    "as a shelf", "cut against the {part}", "inset 50", "to the wall", "used by weld metres", "used by square metres",
)  # fmt: skip
#: What a line may begin with.
BEGIN: Final = (
    "length 1800", "shelf of", "4 legs of", "opening 300 x 200", "holes 20", "plate 300 x 200 x 8", "2 coats of",
    "must mass at most 60 kg",
)  # fmt: skip
_AFTER_OF: Final = re.compile(r"(?P<before>.*\b(?:of|with|in) )(?P<words>[^,;:]*)", re.IGNORECASE)
_PLACE: Final = re.compile(r"\{(twice|part)\}")
#: A longer line is no longer completed as it is typed.
_LONGEST: Final = 300
_FEWEST_LETTERS: Final = 2
_NOUN: Final = re.compile(r"[a-z]{3,}")


@dataclass(frozen=True, slots=True)
class Offer:
    """Something that may be typed next: words that are added or stand in place of the last, and the whole line."""

    words: str
    line: str


def offers(line: str, known: Known) -> tuple[Offer, ...]:
    """What may come at the end of a line, the likeliest first, eight at most. Never raises."""
    if len(line) > _LONGEST:
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
        yield from _completed(line, known)
    yield from _library(line, known)
    read = read_few_words(line, known)
    if read.question is not None:
        yield from (Offer(one.words, one.line) for one in read.question.answers)
        return
    section = next((one.section for one in reversed(read.entries)), "")
    said = {word.casefold() for word in line.replace(",", " ").split()}
    for words in _filled(NEXT.get(section, ()) if section else WANTED, known):
        joined = f"{line}, {words}"
        if words.split()[0] not in said and read_few_words(joined, known).entries:
            yield Offer(words, joined)


def _filled(phrases: tuple[str, ...], known: Known) -> Iterator[str]:
    """Phrases with the parts of the design in their places."""
    for phrase in phrases:
        place = _PLACE.search(phrase)
        if place is None:
            yield in_trade_words(phrase)
            continue
        twice = place[1] == "twice"
        for name, part in known.standing.items():
            many = _is_several(part)
            if many or not twice:
                words = name.replace("_", " ")
                one = words if "each" in phrase or not many else several(words)
                yield _PLACE.sub(one, phrase)


def _is_several(part: Mapping[str, Any]) -> bool:
    return "four_corners" in part or any(stands_often(str(text)) for text in held(part, "at").values())


def _materials(line: str, known: Known) -> Iterator[Offer]:
    """Materials by what is typed of their names: behind 'of' those that parts are cut from, else what is fitted."""
    found = _AFTER_OF.fullmatch(line if not line.lower().endswith((" of", " with")) else f"{line} ")
    before, words = (found["before"], found["words"].strip()) if found else ("", line)
    if found and words:
        kinds = (tuple(CUT_STOCK), (Kind.LIQUID, Kind.PIECE, Kind.FASTENER))
        materials = next((some for one in kinds if (some := materials_by_words(words, known, one))), ())
    elif found:
        materials = (*_used(known), *(one for one in known.materials if one.kind in CUT_STOCK))
    else:
        materials = materials_by_words(words, known, (Kind.PIECE, Kind.FASTENER))
    for one in materials[:MOST_OFFERED]:
        short = short_words(one, known)
        yield Offer(short, f"{before}{short}")


def _used(known: Known) -> Iterator[Material]:
    """What parts of the design are cut from already."""
    for role in known.own("stock").values():
        code = str(role.get("usual")) if isinstance(role, Mapping) else ""
        if code in known.by_code and known.by_code[code].kind in CUT_STOCK:
            yield known.by_code[code]


def _completed(line: str, known: Known) -> Iterator[Offer]:
    """Phrases, names and nouns that go on from the last words, the longest beginning first."""
    words = line.split(" ")
    names = [name.replace("_", " ") for name in (*known.standing, *known.entries("sizes"), *known.entries("values"))]
    phrases = [*_filled((*PHRASES, *(one for some in NEXT.values() for one in some)), known), *names]
    phrases += [several(one) for one in names[: len(known.standing)]]
    for number in range(min(len(words), 5), 0, -1):
        typed = " ".join(words[-number:]).casefold()
        if len(typed) < _FEWEST_LETTERS or "," in typed or (number == len(words) and number > 1):
            continue
        for phrase in dict.fromkeys(phrases):
            if phrase.startswith(typed) and phrase != typed:
                yield Offer(phrase, " ".join([*words[:-number], phrase]))
    last = words[-1].casefold()
    if len(words) > 1 and len(last) >= _FEWEST_LETTERS:
        fitting = (one for one in known.materials if one.kind in (Kind.PIECE, Kind.FASTENER, Kind.LIQUID))
        for noun in dict.fromkeys(word for one in fitting for word in _NOUN.findall(one.name.casefold())):
            if noun.startswith(last) and noun != last:
                yield Offer(noun, " ".join([*words[:-1], noun]))


def _library(line: str, known: Known) -> Iterator[Offer]:
    """Designs of the library whose names begin with what is typed, with their first sizes as they usually are."""
    typed = line.casefold()
    for one in known.library:
        code = one.code.replace("_", " ")
        if (code.startswith(typed) or one.name.casefold().startswith(typed)) and len(typed) > 1:
            sizes = [size for size in held(one.document, "sizes").values() if isinstance(size, Mapping)][:3]
            usual = [str(size.get("usual", "")).split("|")[0].strip().removesuffix(" mm") for size in sizes]
            yield Offer(code, " ".join([code, " x ".join(usual)]) if len(usual) > 1 else code)
