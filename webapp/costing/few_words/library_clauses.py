"""One clause about a design of the library: matched to its sizes, answers and stock roles by their names and words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Final

from webapp.costing.catalogue.kinds import CUT_STOCK, Kind
from webapp.costing.designs.names_within import held
from webapp.costing.few_words.known import InLibrary, Known
from webapp.costing.few_words.line.clauses import as_written
from webapp.costing.few_words.line.words import (
    NotReadError,
    bare_words,
    free_name,
    is_several,
    listed,
    name_from,
    with_figures,
    without_article,
)
from webapp.costing.few_words.named import formula, is_formula, with_unit
from webapp.costing.few_words.placing import said_places
from webapp.costing.few_words.reading import Entry, asked
from webapp.costing.few_words.stock import find_stock, materials_by_words

#: Clauses of the short form that a line may hold beside few words.
_AS_WRITTEN: Final = ("says ", "material ", "choice ", "count ", "mirrored ", "when ")
_NUMBER_LAST: Final = re.compile(r"(?P<words>.*[a-z].*?) (?P<said>[\d.(].*)", re.IGNORECASE)
_NUMBER_FIRST: Final = re.compile(r"(?P<said>[\d.]+(?: ?(?:mm|cm|in|ft|\"))?) (?P<words>[a-z].*)", re.IGNORECASE)
_BOTH: Final = re.compile(r"(?P<count>\d+) (?P<words>[a-z][a-z ]*?) (?P<said>[\d.].*)", re.IGNORECASE)
_STEM: Final = 4
_NO: Final = ("no", "none", "without", "not")
_SMALL: Final = frozenset(("and", "the", "of", "with", "at", "to", "on", "in", "all", "a", "an", "from", "up", "down"))


@dataclass(frozen=True, slots=True)
class Said:
    """What a clause says of a use: sizes, materials and answers by their names there, clauses of the short form, and
    what it says that is so anyhow."""

    sizes: Mapping[str, str] = field(default_factory=dict)
    materials: Mapping[str, str] = field(default_factory=dict)
    choices: Mapping[str, str] = field(default_factory=dict)
    short: tuple[str, ...] = ()
    derived: tuple[str, ...] = ()


class Inside:
    """A design of the library as clauses speak of it; `added` are the stock roles of the host that they bring."""

    def __init__(self, known: Known, line: str, one: InLibrary) -> None:
        self.known, self.line, self.one = known, line, one
        self.sizes = held(one.document, "sizes")
        self.stock = held(one.document, "stock")
        self.choices = held(one.document, "choices")
        self.added: list[Entry] = []

    def clause(self, clause: str) -> Said | None:
        """What one clause says; None where it says nothing of this design. Raises NotReadError or AskedError."""
        said = without_article(with_figures(clause))
        for read in (self.counted, self.measured, self.made_of, self.answered):
            if (found := read(said)) is not None:
                return found
        try:
            places = said_places(clause, self.known, self.line)
        except NotReadError:
            if (bought := self.on_bought(clause)) is None:
                raise
            return bought
        if places is not None:
            return Said(short=tuple(places))
        if clause.startswith(_AS_WRITTEN) and as_written("uses", clause):
            return Said(short=(clause,))
        return self.several(said) or self.so_anyhow(said)

    def counted(self, said: str) -> Said | None:
        """'2 drawers 150': so many, and how large one is; '1 shelf' alone."""
        both = _BOTH.fullmatch(said)
        if both is not None and (size := self.size(both["words"])) and is_formula(both["said"], self.known):
            stem = bare_words(size.replace("_", " "))[0]
            of_one = [name for name in self.sizes if name != size and bare_words(name.replace("_", " "))[0] == stem]
            if len(of_one) != 1:
                raise NotReadError(f"What of the {both['words']} is {both['said']}? {self._known_sizes()}")
            return Said(sizes={size: both["count"], of_one[0]: formula(both["said"], self.known)})
        first = _NUMBER_FIRST.fullmatch(said)
        if first is not None and (size := self.size(first["words"])):
            return Said(sizes={size: first["said"]})
        return None

    def measured(self, said: str) -> Said | None:
        """'toe 100', 'hollow core 104', 'width inside - 25.4 mm': a size of it by its name or its words."""
        words = said.split()
        for several in range(min(len(words) - 1, 5), 0, -1):
            size, rest = self.size(" ".join(words[:several])), " ".join(words[several:])
            if size and is_formula(rest, self.known):
                return Said(sizes={size: formula(rest, self.known)})
        last = _NUMBER_LAST.fullmatch(said)
        if last is not None and is_formula(last["said"], self.known):
            named = [word for word in bare_words(last["words"]) if word not in _SMALL]
            sizes = [name for name in self.sizes if any(word in bare_words(name.replace("_", " ")) for word in named)]
            left = [word for word in named if not any(word in bare_words(name.replace("_", " ")) for name in sizes)]
            if len(sizes) == 1 and {*left} <= self.words:
                return Said(sizes={sizes[0]: formula(last["said"], self.known)})
        return None

    def size(self, words: str) -> str:
        """The size that some words mean; '' where none does, or several do."""
        sought = bare_words(words)
        if not sought:
            return ""
        by_name = [name for name in self.sizes if bare_words(name.replace("_", " ")) == sought]
        by_words = [name for name, one in self.sizes.items() if bare_words(_says(one)) == sought]
        return next((found[0] for found in (by_name, by_words) if len(found) == 1), "")

    def measured_as(self, size: str, said: str) -> str:
        """A size as it is said, with the shop's unit where it is a bare number and the size is a length."""
        usual = self.sizes[size].get("usual") if isinstance(self.sizes.get(size), Mapping) else ""
        is_length = isinstance(usual, Mapping) or re.search(r"[a-z\"']", str(usual)) is not None
        return with_unit(said, self.known) if is_length else said

    def made_of(self, said: str) -> Said | None:
        """'lipped maple 20', 'tube 50 x 50 x 3', 'of birch plywood 18': a material for one of its stock roles."""
        if said.startswith(("of ", "in ")):
            roles = [
                name for name, one in self.stock.items() if isinstance(one, Mapping) and one.get("kind") in CUT_STOCK
            ]
            named = said.partition(" ")[2]
            fitting = [
                name for name in roles if materials_by_words(named, self.known, (str(self.stock[name].get("kind")),))
            ]
            return self._filled(fitting[0], named) if fitting else None
        words = said.split()
        stem = words[0][:_STEM].lower() if words and len(words[0]) >= _STEM else ""
        for name, role in self.stock.items():
            told = bare_words(f"{name.replace('_', ' ')} {_says(role)}")
            if not stem or not isinstance(role, Mapping) or not any(one.startswith(stem) for one in told):
                continue
            kind = (str(role.get("kind")),)
            for sought, size_stem in ((said, stem), (" ".join(words[1:]), stem)):
                last = _NUMBER_LAST.fullmatch(sought)
                if materials_by_words(sought, self.known, kind):
                    return self._filled(name, sought)
                if last is not None and materials_by_words(last["words"], self.known, kind):
                    sizes = [size for size in self.sizes if size.startswith(size_stem)]
                    filled = self._filled(name, last["words"])
                    measured = {sizes[0]: formula(last["said"], self.known)} if len(sizes) == 1 else {}
                    return replace(filled, sizes=measured)
        return None

    def _filled(self, role: str, words: str) -> Said:
        """A role with the material that words say; one that is usual there stays the role's own."""
        kind = (str(self.stock[role].get("kind")),)
        if any(one.code == self.stock[role].get("usual") for one in materials_by_words(words, self.known, kind)):
            material = self.known.by_code[str(self.stock[role]["usual"])]
            return Said(derived=(f"{_says(self.stock[role])}: {material.name}.",))
        found = find_stock(words, self.known, self.line, kind, added=self.added)
        self.added += [one for one in found.added if one not in self.added]
        return Said(materials={role: found.role})

    def answered(self, said: str) -> Said | None:
        """'doors below', 'railed sides': the answer to one of its questions. Raises AskedError where two are meant."""
        sought = {*bare_words(said)} - _SMALL
        if not sought or any(word[0].isdigit() for word in sought):
            return None
        for name, choice in self.choices.items():
            answers = [str(one) for one in choice.get("answers", ())] if isinstance(choice, Mapping) else []
            exact = [one for one in answers if {*bare_words(one.replace("_", " "))} == sought]
            if exact:
                return Said(choices={name: exact[0]})
        best: list[tuple[str, str]] = []
        for name, choice in self.choices.items():
            answers = [str(one) for one in choice.get("answers", ())] if isinstance(choice, Mapping) else []
            shared = [one for one in answers if sought & {*bare_words(one.replace("_", " "))}]
            if not sought <= {*self.words, *bare_words(_says(choice))} or not shared:
                continue
            denied = bool(sought & {*_NO})
            shared = [one for one in shared if denied or not {*bare_words(one.replace("_", " "))} & {*_NO}] or shared
            if len(shared) > 1 and not denied:
                single = not is_several(said.split()[0])
                shared = [one for one in shared if ("one" in one.split("_")) == single] or shared
            best += [(name, one) for one in shared]
        if len(best) == 1:
            return Said(choices={best[0][0]: best[0][1]})
        if best:
            offered = {one.replace("_", " "): one.replace("_", " ") for _, one in best}
            raise asked(f"Which “{said}”: {listed(offered)}?", self.line, said, offered)
        return None

    def on_bought(self, clause: str) -> Said | None:
        """'on lifting base': on what is bought whole and is not there yet, which comes with it."""
        found = re.fullmatch(r"on (?:top of )?(?:the |a )?(?P<words>.+)", clause, re.IGNORECASE)
        if found is None or not materials_by_words(found["words"], self.known, (Kind.PIECE,)):
            return None
        name = free_name(name_from(found["words"]), self.known.taken)
        stock = find_stock(
            found["words"], self.known, self.line, (Kind.PIECE,), wanted=f"{name}_stock", added=self.added
        )
        says = found["words"][:1].upper() + found["words"][1:]
        self.added += [*stock.added, Entry("hardware", name, {"says": says, "count": "1", "stock": stock.role})]
        height = self.known.size_along("z")
        told = (
            f"It is held on the {found['words']}; say how wide, deep and high that stands, so that it can be checked."
        )
        return Said(short=(f"z up to {height}",) if height else (), derived=(told,))

    def several(self, said: str) -> Said | None:
        """'rails top and 180 up': several things in one clause, with a number for the size that its words name."""
        numbers = [word for word in said.split() if re.fullmatch(r"\d+(?:\.\d+)?", word)]
        sought = {word for word in bare_words(said) if not word[0].isdigit()} - _SMALL
        if len(numbers) != 1 or not sought <= self.words:
            return None
        shared = {
            name: len(sought & {*bare_words(f"{name.replace('_', ' ')} {_says(one)}")})
            for name, one in self.sizes.items()
        }
        most = max(shared.values(), default=0)
        sizes = [name for name, number in shared.items() if number == most]
        if most and len(sizes) == 1:
            return Said(sizes={sizes[0]: numbers[0]})
        raise NotReadError(f"What of {self.one.name} is {numbers[0]}? {self._known_sizes()}")

    def so_anyhow(self, said: str) -> Said | None:
        """A clause of nothing but the design's own words says what is so anyhow."""
        sought = {*bare_words(said)} - _SMALL
        if sought and sought <= self.words and not any(word[0].isdigit() for word in sought):
            return Said(derived=(f"{said[:1].upper()}{said[1:]}: {self.one.name} is made so anyhow.",))
        return None

    @cached_property
    def words(self) -> frozenset[str]:
        """All words that the design itself says of what it is made of and how."""
        return frozenset(_words_in(self.one.document)) | {*bare_words(self.one.name)}

    def _known_sizes(self) -> str:
        return f"Its sizes are {listed((name.replace('_', ' ') for name in self.sizes), 'and')}."


def _says(entry: Any) -> str:
    return str(entry.get("says", "")) if isinstance(entry, Mapping) else ""


def _words_in(document: Mapping[str, Any]) -> Iterable[str]:
    yield from bare_words(str(document.get("says", "")))
    for section in ("sizes", "stock", "choices", "parts", "joints", "hardware", "finish", "uses"):
        for name, entry in held(document, section).items():
            yield from bare_words(f"{name.replace('_', ' ')} {_says(entry)}")
            if isinstance(entry, Mapping):
                yield from bare_words(
                    f"{entry.get('weld', '')} {' '.join(map(str, entry.get('answers', ())))}".replace("_", " ")
                )
