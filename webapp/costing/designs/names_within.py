"""The names of a design that is used in another, as they are called there: 'width' is 'drawer_width' of the drawer."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.designs.formulas import name_words
from webapp.costing.designs.model import FACES, Axis
from webapp.costing.designs.names import NAME_SPACE, WHOLE_MASS, fill_names, property_dimensions
from webapp.costing.designs.places import reworded
from webapp.costing.designs.within import APART
from webapp.costing.errors import FormulaError
from webapp.costing.ledger.measures_within import put_numbers

#: A name in a formula, with what it is asked for; the name of a function stands before a bracket.
_NAMED: Final = re.compile(r"(?<![\w.])([a-z][a-z0-9_]*)(?:\.([a-z_]+))?(?!\w| *\()")


#: The sections of a written-out document in which what stands in space is told.
IN_SPACE: Final = ("parts", "stands", "hardware")


def held(document: Mapping[str, Any], section: str) -> dict[str, Any]:
    """The entries of a section as far as it has any."""
    found = document.get(section)
    return dict(found) if isinstance(found, Mapping) else {}


def formula_called(text: str, called: Callable[[str, str], str]) -> str:
    """A formula, a rule, a measure or a pair of them, with what `called` makes of each name: of 'width' and '', of
    'board' and 'thickness'."""
    return "|".join(_side_called(side, called) for side in text.split("|"))


def _side_called(text: str, called: Callable[[str, str], str]) -> str:
    try:
        # The unit of a measure is no name, however it is spelled.
        measures = {(place, place + len(one.text)) for place, one in put_numbers(text)[1].items()}
    except FormulaError:
        measures = set()

    def said(found: re.Match[str]) -> str:
        within = any(begin <= found.start() < end for begin, end in measures)
        return found[0] if within else called(found[1], found[2] or "")

    return _NAMED.sub(said, text)


def section_meant(document: Mapping[str, Any], owner: str, attribute: str) -> str:
    """The section of whose entry a name in a formula of a written-out document is meant: 'width', 'board.thickness',
    'side.top'; '' where it has none.

    What a stock role lends stands before what a part of the same name has.
    """
    if not attribute:
        return next((section for section in NAME_SPACE if owner in held(document, section)), "")
    role = held(document, "stock").get(owner)
    in_space = section_in_space(document, owner)
    if role is None or not in_space:
        return in_space or ("stock" if role is not None else "")
    kind = role.get("kind") if isinstance(role, Mapping) else None
    lent = property_dimensions(owner, Kind(kind)) if isinstance(kind, str) and kind in set(Kind) else {}
    return "stock" if f"{owner}.{attribute}" in lent else in_space


def section_in_space(document: Mapping[str, Any], name: str) -> str:
    """The section of what stands in space under a name, within a use ('drawer__side') or in the whole; '' for none."""
    whole = name.replace(APART, "_")
    for section in IN_SPACE:
        entry = held(document, section).get(whole)
        if entry is not None and (section != "hardware" or (isinstance(entry, Mapping) and "tall" in entry)):
            return section
    return ""


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
        if not attribute and owner == WHOLE_MASS:
            return f"{self.use}.{WHOLE_MASS}"
        match section_meant(self.document, owner, attribute):
            case "sizes" | "values":
                return self.own(owner)
            case "stock" if attribute:
                return f"{self.role(owner)}.{attribute}"
            case section if section in IN_SPACE:
                return f"{self.stands(owner)}.{attribute}"
        return f"{owner}.{attribute}" if attribute else owner

    def formula(self, text: str) -> str:
        """A formula, a rule, a measure or a pair of them."""
        return formula_called(text, self.named)

    def place(self, text: str, axis: Axis) -> str:
        """Where something stands along an axis, in words or by a formula."""
        return reworded(text, axis, self.formula, self.stands)

    def corners(self, corners: Sequence[Any], turned: Mapping[str, str]) -> list[Any]:
        """The corners of an outline; `turned` says from where it is measured back, along or across, what is mirrored
        so."""
        found = []
        for corner in corners:
            if not isinstance(corner, Mapping):
                found.append(corner)
                continue
            said = {key: self.formula(each) if isinstance(each, str) else each for key, each in corner.items()}
            for key, end in turned.items():
                if isinstance(own := said.get(key), str):
                    own = "0 mm" if own.strip() == "0" else own
                    said[key] = f"{end} - ({own})"
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

    def entry(self, name: str, sections: tuple[str, ...]) -> str:
        """An entry of one of these sections of that design."""
        return self.first(name, sections)

    def first(self, name: str, sections: tuple[str, ...]) -> str:
        """The same; one that none of them has is called as its own."""
        found = next((section for section in sections if name in held(self.document, section)), "")
        return self.role(name) if found == "stock" else self.own(name)


def other_face(face: object, mirrored: tuple[str, ...]) -> object:
    """The face of a part that is on its other side where it is mirrored."""
    place = next((held for one, held in FACES.items() if one == face), None)
    if place is None or place[0] not in mirrored:
        return face
    return next(one for one, held in FACES.items() if held == (place[0], 1 - place[1]))
