"""Materials found by words, and the stock role that each fills: one that is there already, or a new one."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from functools import lru_cache
from typing import Any, Final

from webapp.costing.catalogue.kinds import KINDS, Kind
from webapp.costing.catalogue.materials import Material, described
from webapp.costing.catalogue.tags import TAGS
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.line.words import NotReadError, bare_words, either, free_name, name_from, without_article
from webapp.costing.few_words.reading import Entry, asked
from webapp.costing.measures.quantities import NM_PER_INCH, System
from webapp.costing.measures.written import write_quantity

#: Words that part others, and units: a material is not found by them.
_NOISE: Final = frozenset(("of", "with", "in", "mm", "cm", "and", "by", "x", "a", "the", "pair", "piece"))
#: Kinds whose materials are asked for by their own tag; others by what they are in general, a birch plywood as a panel.
_BY_ITSELF: Final = (Kind.PIECE, Kind.LENGTH)
#: What a place needs of these measures of its material: from so much of them, up to so much.
_ABOUT: Final = ("thickness", "width", "diameter", "length")
_LEAST, _MOST = Fraction(3, 4), Fraction(5, 4)
_MOST_OFFERED: Final = 8
_ENDING_NUMBERS: Final = re.compile(r"(?:_[a-z]?\d+(?:x\d+)?)+$")
#: Where the words of a material's name end and its measures begin.
_SIZED: Final = re.compile(r",| with | (?=M?\d)")
_LAST_NUMBER: Final = re.compile(
    r"^(?P<words>.*[a-z].*?) (?P<number>\d+(?:\.\d+)?(?: \d+/\d+| ?\d*/\d+)?(?: ?(?:mm|cm|in|\"))?)(?: thick)?$",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Stock:
    """A stock role found by words, with its material where that is known; `added` is the role where it is new, `thick`
    what stands behind the name of a sawn board."""

    role: str
    kind: str
    material: Material | None = None
    added: tuple[Entry, ...] = ()
    thick: str = ""


@lru_cache(maxsize=4096)
def _told(
    name: str, code: str, tags: tuple[str, ...]
) -> tuple[frozenset[str], Counter[str], frozenset[str], frozenset[str]]:
    """All words by which a material is found, its numbers, and the words of its code and of its name alone."""
    of_code, of_name = bare_words(code.replace("_", " ")), bare_words(name)
    words = {word for text in (*either(name), *(tag.replace("_", " ") for tag in tags)) for word in bare_words(text)}
    numbers: Counter[str] = Counter()
    for told in (of_code, of_name):
        numbers |= Counter(word for word in told if word[0].isdigit())
    return frozenset(words | {*of_code}), numbers, frozenset(of_code), frozenset(of_name)


#: What people call materials beside their names.
_ALSO: Final[Mapping[str, str]] = {
    "mdf": "fibreboard", "fiberboard": "fibreboard", "osb": "strand board", "chipboard": "particleboard",
    "blockboard": "board core", "multiplex": "birch plywood",
}  # fmt: skip
_ALSO_SAID: Final = re.compile(rf"\b({'|'.join(_ALSO)})\b", re.IGNORECASE)


def materials_by_words(words: str, known: Known, kinds: Collection[str]) -> tuple[Material, ...]:
    """The materials of some kinds that all of these words are said of; one alone where they are just its name."""
    words = _ALSO_SAID.sub(lambda found: _ALSO[found[1].lower()], words)
    by_words = [found for one in either(words) if (found := _by_words(one, known, kinds))]
    return min(by_words, key=len, default=())


def _by_words(words: str, known: Known, kinds: Collection[str]) -> tuple[Material, ...]:
    sought = [word for word in bare_words(words) if word not in _NOISE]
    if not sought:
        return ()
    numbers = Counter(word for word in sought if word[0].isdigit())
    named = [word for word in sought if not word[0].isdigit()]
    found = list[Material]()
    for one in known.materials:
        if one.kind not in kinds or one.retired:
            continue
        all_words, its_numbers, of_code, of_name = _told(one.name, one.code, one.tags)
        if numbers <= its_numbers and all(_is_said(word, all_words) for word in named):
            if {*sought} in (of_code - _NOISE, of_name - _NOISE):
                return (one,)
            found.append(one)
    return tuple(found)


def _is_said(word: str, of: Iterable[str]) -> bool:
    return any(each == word or (len(word) > 2 and each.startswith(word)) for each in of)


def find_stock(
    words: str, known: Known, line: str, kinds: Collection[str], wanted: str = "", added: Iterable[Entry] = ()
) -> Stock:
    """The role for a material in words: one of that name, the one that has that material, else a new one.

    `wanted` is what a new one is called first of all; `added` are roles that this line adds already. Raises
    NotReadError where nothing is called so, AskedError where several are.
    """
    words = without_article(words)
    roles = known.entries("stock")
    called = name_from(words)
    singles = {name: one for name, one in roles.items() if one.get("kind") in kinds}
    if called in singles:
        return _of_role(called, singles[called], known)
    found, thick = materials_by_words(words, known, kinds), ""
    ending = _LAST_NUMBER.fullmatch(re.sub(r"^(\d\S*(?: ?(?:mm|cm|in))?) (?:thick )?(.+)$", r"\2 \1", words))
    if not found and ending is not None:
        base = name_from(ending["words"])
        boards = (Kind.BOARD,) if Kind.BOARD in kinds else ()
        if base in singles and singles[base].get("kind") == Kind.BOARD:
            return Stock(base, Kind.BOARD, known.by_code.get(str(singles[base].get("usual"))), (), ending["number"])
        found = materials_by_words(ending["words"], known, boards)
        thick = ending["number"] if found else ""
    if not found and (named := [name for name in singles if _names(words, name, singles[name])]):
        if len(named) == 1:
            return _of_role(named[0], singles[named[0]], known)
        raise asked(f"Which “{words}”?", line, words, {_spaced(name): _spaced(name) for name in named[:_MOST_OFFERED]})
    there = {str(one.get("usual")): name for name, one in known.own("stock").items() if isinstance(one, Mapping)}
    there |= {
        str(one.fields["usual"]): one.name
        for one in added
        if one.section == "stock" and isinstance(one.fields, Mapping)
    }
    if len(found) > 1:
        used = [one for one in found if one.code in there]
        found = tuple(used) if len(used) == 1 else found
    if not found:
        raise NotReadError(_unknown(words, known, kinds))
    if len(found) > 1:
        offered = {
            one.name: f"{short_words(one, known)}{f' {thick}' if thick else ''}" for one in found[:_MOST_OFFERED]
        }
        raise asked(f"Which “{words}”: {' or '.join(offered.values())}?", line, words, offered)
    material = found[0]
    if material.code in there:
        return Stock(there[material.code], material.kind, material, (), thick)
    more = {one.name for one in added}
    of_material = _ENDING_NUMBERS.sub("", material.code).replace("-", "_")
    stem = (
        wanted if wanted and (material.kind is not Kind.PIECE or of_material == wanted.removesuffix("_stock")) else ""
    )
    stem = stem or of_material
    stem = stem if stem[:1].isalpha() else f"stock_{stem}"
    taken = known.taken | more
    name = stem if stem not in taken else free_name(name_from(material.code.replace("_", " ")) or stem, taken)
    return Stock(name, material.kind, material, (Entry("stock", name, role_fields(material, known.system)),), thick)


def _of_role(name: str, fields: Mapping[str, Any], known: Known) -> Stock:
    return Stock(name, str(fields.get("kind", "")), known.by_code.get(str(fields.get("usual"))))


def _names(words: str, name: str, fields: Mapping[str, Any]) -> bool:
    sought = [word for word in bare_words(words) if word not in _NOISE]
    told = {*bare_words(name.replace("_", " ")), *bare_words(str(fields.get("says", "")))}
    return bool(sought) and all(_is_said(word, told) for word in sought)


def _spaced(name: str) -> str:
    return name.replace("_", " ")


def short_words(material: Material, known: Known) -> str:
    """A material in the fewest words that mean it alone: birch plywood 18."""
    code = material.code.replace("_", " ")
    found = materials_by_words(code, known, tuple(Kind))
    return code if found == (material,) else material.name


def _unknown(words: str, known: Known, kinds: Collection[str]) -> str:
    all_words = {
        word for one in known.materials if one.kind in kinds for word in _told(one.name, one.code, one.tags)[0]
    }
    for word in bare_words(words):
        if word not in all_words and (near := get_close_matches(word, all_words, 1, 0.7)):
            return f"No material is called “{words}”; did you mean “{near[0]}” by “{word}”?"
    several = ", ".join(KINDS[Kind(kind)].plural for kind in kinds if kind in set(Kind))
    among = several or "the materials"
    return f"No material is called “{words}” among {among}: type its name, or add it to the materials."


def role_fields(material: Material, system: System) -> dict[str, Any]:
    """A new stock role for a material: what it needs follows from the material's tags and measures."""
    says = _SIZED.split(material.name)[0].strip() or material.name
    fields: dict[str, Any] = {"says": says, "kind": str(material.kind), "usual": material.code}
    if material.kind in (Kind.PIECE, Kind.SHEET, Kind.BOARD) or "steel_tube" in material.tags:
        fields["customer"] = fields["says"]
    needs = needs_of(material, system)
    return {**fields, **({"needs": needs} if needs else {})}


def needs_of(material: Material, system: System) -> dict[str, Any]:
    """What a place needs that this material fills: what it is, and measures about its own."""
    tags = [tag for tag in material.tags if tag in TAGS]
    if material.kind not in _BY_ITSELF or material.tags == ("softwood",):
        tags = list(dict.fromkeys(_root(tag) for tag in tags))
    needs: dict[str, Any] = {"tags": tags[:1]} if tags else {}
    values = described(material)
    stated = {one.name for one in KINDS[material.kind].properties if one.quantity == "length"}
    for name in _ABOUT:
        if name in stated and name in values and material.kind is not Kind.PIECE:
            if not (lowest := _length(values[name] * _LEAST, system, up=False)).startswith("0 "):
                needs.setdefault("least", {})[name] = lowest
            needs.setdefault("most", {})[name] = _length(values[name] * _MOST, system, up=True)
    if "rated_load" in values:
        needs.setdefault("least", {})["rated_load"] = f"{int(values['rated_load'] * _LEAST)} kg"
    return needs


def _root(tag: str) -> str:
    also = TAGS[tag].also if tag in TAGS else ()
    return _root(also[0]) if also else tag


def _length(value: Fraction, system: System, *, up: bool) -> str:
    """A length in whole millimetres or sixteenths of an inch, not less (`up`) or not more than it is."""
    step = Fraction(10**6) if system == "metric" else Fraction(NM_PER_INCH, 16)
    steps = -(-value // step) if up else value // step
    return write_quantity(steps * step, "length", system)
