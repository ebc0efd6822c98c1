"""Which material a text means: by its code or its name, and the nearest one where it means none."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from difflib import get_close_matches
from typing import Final

from webapp.costing.catalogue.kinds import CUT_STOCK, Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.measures.trade_words import said_in_either

#: What a list of parts names: what its parts are cut from, and its finish and glue.
LISTED_KINDS: Final = (*CUT_STOCK, Kind.LIQUID)
#: Told as alike enough to be offered in place of a word that nobody knows.
ALIKE: Final = 0.5
#: Looking for what is alike takes time: so many words at most are looked for.
MOST_OFFERED: Final = 20


def key_of(text: str) -> str:
    """A code or a name as it is compared: capitals, spaces and underscores make no other.

    >>> key_of("Birch  Plywood_18")
    'birch plywood 18'
    """
    return " ".join(text.replace("_", " ").casefold().split())


def nearest(text: str, names: Mapping[str, str]) -> str:
    """The code, among those with their names, that a text most likely means; '' where none is like it."""
    keys = {key_of(code): code for code in names} | {key_of(name): code for code, name in names.items()}
    close = get_close_matches(key_of(text)[:80], keys, 1, ALIKE)
    return keys[close[0]] if close else ""


class KnownStock:
    """Materials by what people call them."""

    def __init__(self, materials: Iterable[Material]) -> None:
        self._all = tuple(materials)
        self._by_key: dict[str, list[Material]] = {}
        for material in self._all:
            for key in {material.code, key_of(material.code), key_of(material.name)}:
                self._by_key.setdefault(key, []).append(material)
        self._said: dict[tuple[str, Collection[Kind]], str] = {}

    def find(self, text: str, kinds: Collection[Kind] = CUT_STOCK) -> Material | None:
        """The material of these kinds with that code or that name; None where there is none, or several of that name.

        One that is not bought any more is only meant where no other is called so.
        """
        for key in dict.fromkeys((text, *said_in_either(key_of(text)))):
            among = [one for one in self._by_key.get(key, ()) if one.kind in kinds]
            among = [one for one in among if not one.retired] or among
            if among:
                return among[0] if len(among) == 1 else None
        return None

    def unknown(self, text: str, kinds: Collection[Kind] = CUT_STOCK) -> str:
        """The sentence about a text that means no material of these kinds, with the nearest name."""
        asked = text, kinds
        if asked not in self._said:
            self._said[asked] = self._say_unknown(text, kinds)
        return self._said[asked]

    def _say_unknown(self, text: str, kinds: Collection[Kind]) -> str:
        called = self._by_key.get(key_of(text), [])
        several = [one.code for one in called if one.kind in kinds and not one.retired]
        if several:
            return f"several materials are called “{text[:80]}”: take the code, {' or '.join(several)}."
        if called:
            return f"“{called[0].name}” is a {called[0].kind}, and a {' or '.join(kinds)} is needed."
        said = f"no material is called “{text[:80]}”."
        if len(self._said) >= MOST_OFFERED:
            return said
        names = {one.code: one.name for one in self._all if one.kind in kinds and not one.retired}
        near = nearest(text, names)
        return f"{said} The nearest is “{names[near]}”." if near else said
