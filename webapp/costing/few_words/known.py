"""What a line may speak of: the design as it is by now, the shop's designs for others, and its materials."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Final

from webapp.costing.catalogue.materials import Material
from webapp.costing.designs.names import NAME_SPACE
from webapp.costing.designs.names_within import held
from webapp.costing.measures.quantities import QUANTITIES, System

#: Designs stand so deep in each other at most where names within them are looked up.
_DEEPEST: Final = 4


@dataclass(frozen=True, slots=True)
class InLibrary:
    """A design that may be put into others: its code, its name and its document."""

    code: str
    name: str
    document: Mapping[str, Any]


@dataclass(frozen=True)
class Known:
    """What is known where a line is typed: materials as the catalogue has them; bare numbers are in `system`'s unit."""

    document: Mapping[str, Any]
    library: tuple[InLibrary, ...] = ()
    materials: tuple[Material, ...] = ()
    system: System = "metric"
    _entries: dict[str, Mapping[str, Mapping[str, Any]]] = field(default_factory=dict, repr=False, compare=False)

    def own(self, section: str) -> Mapping[str, Any]:
        """The entries of a section that the design has itself."""
        return held(self.document, section)

    def entries(self, section: str) -> Mapping[str, Mapping[str, Any]]:
        """The entries of a section with those of the designs that are used in it, under the names they have here."""
        if section not in self._entries:
            self._entries[section] = self._within(self.document, section, _DEEPEST)
        return self._entries[section]

    def design(self, code: object) -> Mapping[str, Any] | None:
        """The document of a design that is used, as it stands in this one or else in the library."""
        inside = held(self.document, "inside").get(code) if isinstance(code, str) else None
        if isinstance(inside, Mapping):
            return inside
        return next((one.document for one in self.library if one.code == code), None)

    def _within(self, document: Mapping[str, Any], section: str, deep: int) -> dict[str, Mapping[str, Any]]:
        found = {
            str(name): one if isinstance(one, Mapping) else {"": one} for name, one in held(document, section).items()
        }
        if deep == 0:
            return found
        for use, entry in held(document, "uses").items():
            inner = self.design(entry.get("design")) if isinstance(entry, Mapping) else None
            if inner is None or not isinstance(entry, Mapping):
                continue
            filled = held(entry, "materials")
            for name, fields in self._within(inner, section, deep - 1).items():
                if section != "stock" or name not in filled:
                    found[f"{use}_{name}"] = _cut_here(fields, str(use), filled)
            if section == "values":
                found |= {f"{use}_{name}": fields for name, fields in self._within(inner, "sizes", 0).items()}
        return found

    @property
    def unit(self) -> str:
        """The unit of a bare length."""
        return QUANTITIES["length"].shown_in(self.system).symbol

    @cached_property
    def by_code(self) -> Mapping[str, Material]:
        """The materials by their codes."""
        return {one.code: one for one in self.materials}

    @cached_property
    def standing(self) -> Mapping[str, Mapping[str, Any]]:
        """Parts, and hardware that stands in space: what others may stand on or beside."""
        hardware = {name: one for name, one in self.entries("hardware").items() if "tall" in one or "at" in one}
        return {**hardware, **self.entries("parts")}

    @cached_property
    def formula_names(self) -> frozenset[str]:
        """The names that formulas may use."""
        return frozenset(name for section in NAME_SPACE for name in self.entries(section)) | self.standing.keys()

    @cached_property
    def taken(self) -> frozenset[str]:
        """Names that a new entry that formulas may name can't have."""
        sections = (*NAME_SPACE, "parts", "hardware", "uses")
        return frozenset(name for section in sections for name in self.entries(section))

    def size_along(self, axis: str) -> str:
        """How far the whole goes along an axis: as it says, or by the sizes that usually say it; '' where none does."""
        said = held(self.document, "closes").get(axis)
        if isinstance(said, str):
            return said
        return whole_by(self.own("sizes")).get(axis, "")


def _cut_here(fields: Mapping[str, Any], use: str, filled: Mapping[str, Any]) -> Mapping[str, Any]:
    """An entry within a use, with its stock role under the name that it has in the whole."""
    role = fields.get("stock")
    return {**fields, "stock": filled.get(role, f"{use}_{role}")} if isinstance(role, str) else fields


def whole_by(sizes: Mapping[str, Any]) -> dict[str, str]:
    """Which sizes the whole goes by along each axis, by what they are usually called."""
    across = "length" if "length" in sizes else "width" if "width" in sizes else ""
    deep = "depth" if "depth" in sizes else "width" if "width" in sizes and across == "length" else ""
    found = {"x": across, "y": deep, "z": "height" if "height" in sizes else ""}
    return {axis: name for axis, name in found.items() if name}
