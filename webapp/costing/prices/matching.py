"""Which of the shop's offers a line of a file is about, and why it is taken for that one.

By the names that the shop's own file uses; by the supplier's code; else by size and words together, where one offer
alone fits. What fits nothing is not bought here.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import ceil, floor
from typing import Final, Literal

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material, Offer
from webapp.costing.measures.quantities import NM_PER_FOOT, NM_PER_INCH, System
from webapp.costing.prices.file import ToldLine
from webapp.costing.prices.packs import is_pack, pack_text

How = Literal["", "named", "code", "words"]

#: Of a material's words one in so many must stand in a line that is matched by them: common practice.
WORDS_SHARE: Final = 2
#: A thickness is told by its name, 18 for what measures 17.5; lengths are told as they are.
THICKNESS_OFF: Final = Fraction(6, 100)
LENGTH_OFF: Final = Fraction(1, 200)

#: So many sizes of a line are looked at.
MOST_SIZES: Final = 6

#: Sizes that have to stand in a line, each from its least to its most.
Wanted = tuple[tuple[int, int], ...]

_NM_PER_MM: Final = 10**6
_UNITS: Final[Mapping[str, int]] = {
    "mm": _NM_PER_MM, "cm": 10 * _NM_PER_MM, "m": 1000 * _NM_PER_MM, "in": NM_PER_INCH, '"': NM_PER_INCH,
    "\u2033": NM_PER_INCH, "ft": NM_PER_FOOT, "'": NM_PER_FOOT, "\u2032": NM_PER_FOOT,
}  # fmt: skip
#: What a bare number may be in.
_BARE: Final = (_NM_PER_MM, 10 * _NM_PER_MM, NM_PER_INCH, NM_PER_FOOT)
_PARTS: Final = re.compile(r"(?<=\d)\s*[x×*/](?=\s*\d{2})|(?<=\d)\s*[x×*]\s*|[\s;()]+x?")
_SIZE: Final = re.compile(
    r"(?<![\w.,/])(?:M)?(?P<whole>\d+(?:[.,]\d+)?)?(?:(?<=\d)[ -])?(?P<part>\d+/\d+)?\s*"
    r"(?P<unit>mm|cm|m|in|ft|[\"'\u2032\u2033])?(?![\w/])",
    re.IGNORECASE,
)
_WORD: Final = re.compile(r"[^\W\d_]{3,}")
_SIGNS: Final = re.compile(r"[\W_]+")


@dataclass(frozen=True, slots=True)
class Match:
    """The offer that a line is about, how that is known and the words for it; `problem` says why none can be meant."""

    offer: Offer | None = None
    how: How = ""
    reason: str = ""
    problem: str = ""


@dataclass(frozen=True, slots=True)
class _Alike:
    """Offers of one size, of materials with the same words: how many words those are."""

    words: int
    wanted: Wanted
    offers: tuple[Offer, ...]


class Offers:
    """The offers that lines are held against: those of one supplier, or of all where a file names it line by line."""

    def __init__(self, catalogue: Catalogue, suppliers: Iterable[str], supplier: str, system: System) -> None:
        self.catalogue, self.supplier, self.system = catalogue, supplier, system
        self.suppliers = {code.casefold(): code for code in suppliers}
        self.all = [
            offer for code, material in catalogue.materials.items() if not material.retired
            for offer in catalogue.offers_of(code) if supplier in ("", offer.supplier)
        ]  # fmt: skip
        self._by_code: dict[str, list[Offer]] = {}
        self._by_signs: dict[str, list[Offer]] = {}
        self._every: dict[str, list[Offer]] = {}
        for code in catalogue.offers:
            for offer in catalogue.offers_of(code):
                self._every.setdefault(offer.supplier_code.casefold(), []).append(offer)
        for offer in self.all:
            if offer.supplier_code:
                self._by_code.setdefault(offer.supplier_code.casefold(), []).append(offer)
                self._by_signs.setdefault(_SIGNS.sub("", offer.supplier_code.casefold()), []).append(offer)
        self._words: dict[str, list[int]] | None = None
        self._alike: list[_Alike] = []
        self._sizes: dict[str, Wanted] = {}

    def named(self, line: ToldLine) -> Match:
        """The one offer that a line of the shop's own file names, or why it isn't plain."""
        if line.material:
            material = self.catalogue.materials.get(line.material)
            if material is None:
                return Match(problem=f"There is no material under the code “{line.material}”.")
            found, words = list(self.catalogue.offers_of(line.material)), material.name
            if line.article:
                found = [one for one in found if one.supplier_code.casefold() == line.article.casefold()]
                words += f" as article “{line.article}”"
        elif line.article:
            found, words = self._every.get(line.article.casefold(), []), f"The article “{line.article}”"
        else:
            return Match(problem="It names neither a material nor an article.")
        wanted = line.supplier or self.supplier
        if wanted:
            code = self.suppliers.get(wanted.casefold())
            if code is None:
                return Match(problem=f"There is no supplier under the code “{wanted}”. {self.known_suppliers}")
            found, words = [one for one in found if one.supplier == code], f"{words} from {code}"
        if not found:
            return Match(problem=f"{words} is not on offer. Add the offer first.")
        if line.pack:
            fitting = [one for one in found if is_pack(line.pack, self.material(one), one, self.system)]
            if not fitting:
                return Match(problem=f"{words} is not on offer as “{line.pack}”; it is as {self._packs(found)}.")
            found = fitting
        if len(found) > 1:
            return Match(problem=f"{words} is on offer in several ways; say which: {self._packs(found)}.")
        return Match(found[0], "named")

    def by_code(self, line: ToldLine) -> Match:
        """The offer that a line of a supplier's file is about by its code; nothing where the code is none of them."""
        if not line.article:
            return Match()
        code = line.article.casefold()
        found = self._by_code.get(code) or self._by_signs.get(_SIGNS.sub("", code) or "\0") or []
        if len(found) > 1 and line.in_pack is not None:
            found = [one for one in found if one.size.get("count") == line.in_pack] or found
        if len(found) > 1:
            sizes = sizes_in(line.words)
            found = [one for one in found if self._fits(one, sizes)] or found
        if len(found) > 1:
            return Match(problem=f"The code “{line.article}” is on offer in several ways: {self._packs(found)}.")
        return Match(found[0], "code", f"by its code {line.article}") if found else Match()

    def by_words(self, line: ToldLine, taken: Iterable[str] = ()) -> Match:
        """The one offer whose sizes stand in a line, and most of its words; `taken` were known by their codes."""
        if self._words is None:
            self._words = self._indexed(frozenset(taken))
        said = {word[:6] for word in _WORD.findall(line.words.casefold())}
        hits: Counter[int] = Counter()
        for word in said:
            hits.update(self._words.get(word, ()))
        likely = [(count, self._alike[place]) for place, count in hits.items()]
        likely = [(count, one) for count, one in likely if count * WORDS_SHARE >= one.words]
        if not likely:
            return Match()
        sizes = sizes_in(line.words)
        fitting = [(count, one.offers) for count, one in likely if one.wanted and _stand_among(one.wanted, sizes)]
        best = max((count for count, _ in fitting), default=0)
        first = [offer for count, offers in fitting if count == best for offer in offers]
        if len(first) != 1:
            return Match()
        material = self.material(first[0])
        words = " ".join(word for word in _WORD.findall(material.name.casefold()) if word[:6] in said)
        size = pack_text(material, first[0], self.system)
        return Match(first[0], "words", f"by its size {size} and the words {words}")

    def material(self, offer: Offer) -> Material:
        """The material of an offer."""
        return self.catalogue.materials[offer.material]

    @property
    def known_suppliers(self) -> str:
        """Whom the shop buys from, in a sentence."""
        return f"Known are: {', '.join(sorted(self.suppliers.values())[:12])}." if self.suppliers else ""

    def _packs(self, offers: list[Offer]) -> str:
        return "; ".join(
            f"{pack_text(self.material(one), one, self.system)} from {one.supplier}" for one in offers[:6]
        )

    def _indexed(self, taken: frozenset[str]) -> dict[str, list[int]]:
        """The places of offers by the words of their materials; those of one size and the same words stand together."""
        alike: dict[tuple[frozenset[str], Wanted], list[Offer]] = {}
        for offer in self.all:
            words = frozenset(word[:6] for word in _WORD.findall(self.material(offer).name.casefold()))
            if offer.id not in taken and words:
                alike.setdefault((words, self._wanted(offer)), []).append(offer)
        index: dict[str, list[int]] = {}
        for (words, wanted), offers in alike.items():
            for word in words:
                index.setdefault(word, []).append(len(self._alike))
            self._alike.append(_Alike(len(words), wanted, tuple(offers)))
        return index

    def _fits(self, offer: Offer, sizes: tuple[frozenset[int], ...]) -> bool:
        """Whether all that measures an offer stands among the sizes of a line, each in a place of its own."""
        wanted = self._wanted(offer)
        return bool(wanted) and _stand_among(wanted, sizes)

    def _wanted(self, offer: Offer) -> Wanted:
        """What measures an offer, each size from its least to its most, in nm."""
        if offer.id not in self._sizes:
            material = self.material(offer)
            exact = [offer.size[name] for name in ("length", "width") if name in offer.size]
            about: list[Fraction] = []
            if material.kind in (Kind.SHEET, Kind.LENGTH):
                about = [material.values[name] for name in ("thickness", "width") if name in material.values]
            elif material.kind is Kind.BOARD:
                about = [offer.size["rough_thickness"]]
            elif material.kind is Kind.FASTENER:
                exact += [material.values[name] for name in ("length", "diameter") if name in material.values]
            # Thicknesses differ more from one thing to the next than lengths do, and are looked for first.
            bounds = (*((one, THICKNESS_OFF) for one in about), *((one, LENGTH_OFF) for one in exact))
            self._sizes[offer.id] = tuple((ceil(one * (1 - off)), floor(one * (1 + off))) for one, off in bounds)
        return self._sizes[offer.id]


@lru_cache(maxsize=8192)
def _stand_among(wanted: Wanted, told: tuple[frozenset[int], ...]) -> bool:
    """Whether each wanted size is one of those told, each in a place of its own: 4 x 40 is 4 mm by 40 mm, and not twice
    4 cm."""
    if not wanted:
        return True
    if len(told) < len(wanted):
        return False
    for least, most in wanted:
        # Mostly one of them stands nowhere.
        if not any(least <= one <= most for held in told for one in held):
            return False
    (least, most), rest = wanted[0], wanted[1:]
    for at, held in enumerate(told):
        if any(least <= one <= most for one in held) and _stand_among(rest, (*told[:at], *told[at + 1 :])):
            return True
    return False


def sizes_in(text: str) -> tuple[frozenset[int], ...]:
    """The sizes that stand in a text, in nm, each as what it may mean: a bare number may be mm, cm or inches."""
    found = []
    for part in _PARTS.split(text):
        meant = _meant(part)
        if meant:
            found.append(meant)
        if len(found) == MOST_SIZES:
            break
    return tuple(found)


@lru_cache(maxsize=4096)
def _meant(part: str) -> frozenset[int]:
    match = _SIZE.fullmatch(part.strip().rstrip(".,:"))
    if match is None or not (match["whole"] or match["part"]) or (match["part"] or "").endswith("/0"):
        return frozenset()
    value = Fraction((match["whole"] or "0").replace(",", ".")) + Fraction(match["part"] or 0)
    unit = match["unit"]
    factors = (_UNITS[unit.casefold()],) if unit else _BARE
    return frozenset(round(value * factor) for factor in factors)
