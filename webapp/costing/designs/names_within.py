"""The names of a design that is used in another, as they are called there: 'width' is 'drawer_width' of the drawer."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.designs.formulas import FUNCTIONS, name_words
from webapp.costing.designs.model import FACES, Axis
from webapp.costing.designs.names import WHOLE_MASS, fill_names, property_dimensions
from webapp.costing.designs.places import reworded
from webapp.costing.designs.within import APART
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.measures_within import put_numbers

_NAMED: Final = re.compile(r"(?<![\w.])([a-z][a-z0-9_]*)(?:\.([a-z_]+))?(?!\w)")
_NO_NAMES: Final = frozenset((*FUNCTIONS, "if", "number"))
_INSET: Final = re.compile(r"(?P<word>inset )?(?P<inset>.+)")


def held(document: Mapping[str, Any], section: str) -> dict[str, Any]:
    """The entries of a section as far as it has any."""
    found = document.get(section)
    return dict(found) if isinstance(found, Mapping) else {}


@dataclass(frozen=True)
class NamesWithin:
    """How what is named in a design is called where it is used under the name `use`.

    `document` is that design, `roles` the role here that fills each of its own, `answers` the answer to each of its
    questions.
    """

    use: str
    document: Mapping[str, Any]
    roles: Mapping[str, str]
    answers: Mapping[str, str]

    def own(self, name: str) -> str:
        """An entry of that design as it is called here."""
        return f"{self.use}_{name}"

    def role(self, name: str) -> str:
        """A stock role."""
        return self.roles.get(name, name)

    def stands(self, name: str) -> str:
        """A part or use by which something in that design stands: within one place of the use."""
        return self.own(name) if APART in name else f"{self.use}{APART}{name}"

    def named(self, owner: str, attribute: str) -> str:
        """A name as formulas have it: 'width', 'board.thickness', 'side.top'."""
        if not attribute:
            if owner == WHOLE_MASS:
                return f"{self.use}.{WHOLE_MASS}"
            known = owner in held(self.document, "sizes") or owner in held(self.document, "values")
            return self.own(owner) if known else owner
        if owner in self.roles and (f"{owner}.{attribute}" in self._lent(owner) or not self._is_in_space(owner)):
            return f"{self.role(owner)}.{attribute}"
        return f"{self.stands(owner)}.{attribute}" if self._is_in_space(owner) else f"{owner}.{attribute}"

    def _lent(self, role: str) -> Mapping[str, object]:
        entry = held(self.document, "stock").get(role)
        kind = entry.get("kind") if isinstance(entry, Mapping) else None
        return property_dimensions(role, Kind(kind)) if isinstance(kind, str) and kind in set(Kind) else {}

    def _is_in_space(self, name: str) -> bool:
        whole = name.replace(APART, "_")
        return whole in held(self.document, "parts") or whole in held(self.document, "stands")

    def formula(self, text: str) -> str:
        """A formula, a rule, a measure or a pair of them."""
        return "|".join(self._formula(side) for side in text.split("|"))

    def _formula(self, text: str) -> str:
        try:
            # The unit of a measure is no name, however it is spelled.
            measures = {(place, place + len(one.text)) for place, one in put_numbers(text)[1].items()}
        except FormulaError:
            measures = set()

        def said(found: re.Match[str]) -> str:
            within = any(begin <= found.start() < end for begin, end in measures)
            return found[0] if within or found[1] in _NO_NAMES else self.named(found[1], found[2] or "")

        return _NAMED.sub(said, text)

    def place(self, text: str, axis: Axis) -> str:
        """Where something stands along an axis, in words or by a formula."""
        return reworded(text, axis, self.formula, self.stands)

    def inset(self, text: str) -> str:
        """How far in the four corners are."""
        found = _INSET.fullmatch(text)
        return text if text == "yes" or found is None else f"{found['word'] or ''}{self.formula(found['inset'])}"

    def corners(self, corners: Sequence[Any], part: str, mirrored: Collection[str]) -> list[Any]:
        """The corners of an outline; of a part that is mirrored each lies as far from its other end."""
        runs = held(held(held(self.document, "parts"), part), "runs")
        found = []
        for corner in corners:
            if not isinstance(corner, Mapping):
                found.append(corner)
                continue
            said = {key: self.formula(each) if isinstance(each, str) else each for key, each in corner.items()}
            for key, side, usual in (("along", "length", "x"), ("across", "width", "y")):
                if runs.get(side, usual) in mirrored and isinstance(own := said.get(key), str):
                    own = "0 mm" if own.strip() == "0" else own
                    said[key] = f"{self.own(part)}.{side} - ({own})"
            found.append(said)
        return found

    def sentence(self, text: str) -> str:
        """A sentence with {names}; an answer that is settled stands there in words."""

        def said(name: str) -> str:
            if name in self.answers:
                return name_words(self.answers[name])
            owner, _, attribute = name.partition(".")
            return f"{{{self.role(owner) if not attribute and owner in self.roles else self.named(owner, attribute)}}}"

        return fill_names(text, said)

    def names(self, listed: object, called: Callable[[str], str]) -> object:
        """One name or a list of them."""
        if isinstance(listed, str):
            return called(listed)
        return [called(one) if isinstance(one, str) else one for one in listed] if isinstance(listed, list) else listed


def other_face(face: object, mirrored: tuple[str, ...]) -> object:
    """The face of a part that is on its other side where it is mirrored."""
    place = next((held for one, held in FACES.items() if one == face), None)
    if place is None or place[0] not in mirrored:
        return face
    return next(one for one, held in FACES.items() if held == (place[0], 1 - place[1]))
