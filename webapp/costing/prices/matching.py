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
from typing import Final, Literal

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Catalogue, Material, Offer
from webapp.costing.measures.quantities import NM_PER_FOOT, NM_PER_INCH, System
from webapp.costing.prices.file import ToldLine
from webapp.costing.prices.packs import is_pack, pack_text

How = Literal["", "named", "code", "words"]

#: So much of a material's words must stand in a line that is matched by them: common practice.
WORDS_SHARE: Final = Fraction(1, 2)
#: A thickness is told by its name, 18 for what measures 17.5; lengths are told as they are.
THICKNESS_OFF: Final = Fraction(6, 100)
LENGTH_OFF: Final = Fraction(1, 200)

#: So many sizes of a line are looked at.
MOST_SIZES: Final = 6

_NM_PER_MM: Final = 10**6
_UNITS: Final[Mapping[str, int]] = {
    "mm": _NM_PER_MM, "cm": 10 * _NM_PER_MM, "m": 1000 * _NM_PER_MM, "in": NM_PER_INCH, '"': NM_PER_INCH,
    "\u2033": NM_PER_INCH, "ft": NM_PER_FOOT, "'": NM_PER_FOOT, "\u2032": NM_PER_FOOT,
}  # fmt: skip
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
        self._words: dict[str, list[Offer]] | None = None
        self._counts: dict[str, int] = {}

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
        hits: Counter[str] = Counter()
        by_id: dict[str, Offer] = {}
        for word in said:
            for offer in self._words.get(word, ()):
                hits[offer.id] += 1
                by_id[offer.id] = offer
        likely = [(hits[key], by_id[key]) for key in hits if hits[key] >= WORDS_SHARE * self._counts[key]]
        if not likely:
            return Match()
        sizes = sizes_in(line.words)
        fitting = [(count, offer) for count, offer in likely if self._fits(offer, sizes)]
        best = max((count for count, _ in fitting), default=0)
        first = [offer for count, offer in fitting if count == best]
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

    def _indexed(self, taken: frozenset[str]) -> dict[str, list[Offer]]:
        index: dict[str, list[Offer]] = {}
        for offer in self.all:
            words = {word[:6] for word in _WORD.findall(self.material(offer).name.casefold())}
            if offer.id in taken or not words:
                continue
            self._counts[offer.id] = len(words)
            for word in words:
                index.setdefault(word, []).append(offer)
        return index

    def _fits(self, offer: Offer, sizes: list[frozenset[int]]) -> bool:
        """Whether all that measures an offer stands among the sizes of a line, each in a place of its own."""
        material = self.material(offer)
        exact = [offer.size[name] for name in ("length", "width") if name in offer.size]
        about: list[Fraction] = []
        if material.kind in (Kind.SHEET, Kind.LENGTH):
            about = [material.values[name] for name in ("thickness", "width") if name in material.values]
        elif material.kind is Kind.BOARD:
            about = [offer.size["rough_thickness"]]
        elif material.kind is Kind.FASTENER:
            exact += [material.values[name] for name in ("length", "diameter") if name in material.values]
        if not exact and not about:
            return False
        wanted = (*((one, LENGTH_OFF) for one in exact), *((one, THICKNESS_OFF) for one in about))
        return _stand_among(wanted, tuple(sizes[:MOST_SIZES]))


def _stand_among(wanted: tuple[tuple[Fraction, Fraction], ...], told: tuple[frozenset[int], ...]) -> bool:
    """Whether each wanted size is one of those told, each in a place of its own: 4 x 40 is 4 mm by 40 mm, and not twice
    4 cm."""
    if not wanted:
        return True
    (size, off), rest = wanted[0], wanted[1:]
    return any(
        any(abs(one - size) <= size * off for one in held) and _stand_among(rest, (*told[:at], *told[at + 1 :]))
        for at, held in enumerate(told)
    )


def sizes_in(text: str) -> list[frozenset[int]]:
    """The sizes that stand in a text, in nm, each as what it may mean: a bare number may be mm, cm or inches."""
    found = []
    for part in re.split(r"(?<=\d)\s*[x×*/](?=\s*\d{2})|(?<=\d)\s*[x×*]\s*|[\s;()]+x?", text):
        match = _SIZE.fullmatch(part.strip().rstrip(".,:"))
        if match is None or not (match["whole"] or match["part"]):
            continue
        value = Fraction((match["whole"] or "0").replace(",", "."))
        value += Fraction(match["part"]) if match["part"] and not match["part"].endswith("/0") else 0
        unit = match["unit"]
        factors = [_UNITS[unit.casefold()]] if unit else [_NM_PER_MM, 10 * _NM_PER_MM, NM_PER_INCH, NM_PER_FOOT]
        found.append(frozenset(round(value * factor) for factor in factors))
    return found
