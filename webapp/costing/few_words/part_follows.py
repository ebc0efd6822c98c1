"""What of a part is not said and follows: how it lies, how long it is between two others, which way its grain runs."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.designs.model import Axis
from webapp.costing.designs.places import ENDS
from webapp.costing.few_words.known import Known
from webapp.costing.few_words.line.words import NotReadError
from webapp.costing.few_words.named import in_words
from webapp.costing.few_words.placing import extent, room_between, stands_between
from webapp.costing.few_words.stock import Stock

_AXES: Final[tuple[Axis, ...]] = ("x", "y", "z")
_AXIS_WORDS: Final[Mapping[str, str]] = {"x": "from left to right", "y": "from front to back", "z": "upright"}
_NAME: Final = re.compile(r"[a-z][a-z0-9_]*(?:\.[a-z_]+)?")
_OF_PART: Final = re.compile(r"(?P<part>[a-z][a-z0-9_]*)\.(?P<side>length|width|thickness)")


class Following:
    """A part's fields with what follows from them; `derived` says in words what did."""

    def __init__(self, known: Known, stock: Stock, name: str) -> None:
        self.known, self.stock, self.name = known, stock, name
        self.derived: list[str] = []
        self.fields: dict[str, Any] = {}
        self.runs: dict[str, Axis] = {}

    def filled(self, fields: Mapping[str, Any], later: list[str]) -> dict[str, Any]:
        """The fields of the form. `later` are the clauses that wait for the others. Raises NotReadError."""
        self.fields = {name: dict(one) if isinstance(one, Mapping) else one for name, one in fields.items()}
        self.runs = dict(self.fields.get("runs", {}))
        if not {*self.runs.values()} <= {*_AXES}:
            raise NotReadError(f"The {self._words()} lies along x, y or z.")
        run = next((one.removeprefix("run ").split("|") for one in later if one.startswith("run ")), None)
        if "all round" in later:
            self._all_round()
        if run is not None:
            self.runs.setdefault("length", run[0])  # type: ignore[arg-type]
        ways: tuple[tuple[str, Axis], ...] = (("high ", "z"), ("deep ", "y"))
        for word, axis in ways:
            for one in later:
                if one.startswith(word):
                    self._measured_along(axis, one.removeprefix(word), later)
        self._length_axis()
        self._width_axis(later)
        if run is not None:
            self._run(run)
        self._length()
        self._width()
        self._evenly(next((one.removeprefix("evenly ") for one in later if one.startswith("evenly ")), ""))
        if self.stock.kind == Kind.BOARD and "thickness" not in self.fields:
            raise NotReadError(f"How thick is the {self._words()}? Type it behind the wood, as 'sugar maple 40'.")
        self.fields["runs"] = {"length": self.runs["length"], "width": self.runs["width"]}
        self._grain()
        return {name: one for name, one in self.fields.items() if one != {}}

    def _words(self) -> str:
        return self.name.replace("_", " ")

    def _say(self, sentence: str) -> None:
        self.derived.append(sentence)

    def _at(self) -> dict[str, Any]:
        at = self.fields.setdefault("at", {})
        assert isinstance(at, dict)
        return at

    def _slants(self) -> bool:
        at = self.fields.get("at", {})
        runs = any(
            " from " in f" {text}" and not re.search(r"every|evenly|and (?:right|back|top)", text)
            for text in at.values()
        )
        return bool({"splayed", "leans", "cut"} & self.fields.keys()) or runs

    def _all_round(self) -> None:
        for side, axis in (("length", "x"), ("width", "y")):
            size = self.known.size_along(axis)
            if not size and side not in self.fields:
                raise NotReadError("Flush with what? Type the sizes of the whole first, as 'length 1800'.")
            self.fields.setdefault(side, size)
            self.runs.setdefault(side, axis)  # type: ignore[arg-type]

    def _measured_along(self, axis: Axis, said: str, later: list[str]) -> None:
        """So high or so deep: its length where it is a length of stock or both are said, else its width."""
        both = all(any(one.startswith(word) for one in later) for word in ("high ", "deep "))
        free = "length" not in self.fields and self.runs.get("length", axis) == axis
        side = "length" if free and (self.stock.kind == Kind.LENGTH or both or "width" in self.fields) else "width"
        if side in self.fields:
            raise NotReadError(f"The {side} of the {self._words()} is said twice.")
        self.fields[side] = said
        self.runs[side] = axis

    def axis_of(self, said: object) -> Axis | None:
        """The axis that a formula goes along: that of the whole's size in it, or of the part whose side it is."""
        if not isinstance(said, str):
            return None
        for axis in _AXES:
            if said == self.known.size_along(axis):
                return axis
        found = _OF_PART.match(said)
        if found is not None:
            runs = self.known.entries("parts").get(found["part"], {}).get("runs")
            for axis in _AXES:
                if isinstance(runs, Mapping) and runs.get(found["side"]) == axis:
                    return axis
        sizes = {self.known.size_along(axis): axis for axis in _AXES}
        return next((sizes[one] for one in _NAME.findall(said) if one in sizes), None)

    def _length_axis(self) -> None:
        if "length" in self.runs:
            return
        at = self.fields.get("at", {})
        between, _ = stands_between(at) or (None, "")
        taken = self.runs.get("width")
        wanted = (
            between
            if "length" not in self.fields and between != taken
            else self.axis_of(self.fields.get("length")) or between
        )
        axis: Axis = wanted if wanted and wanted != taken else next(one for one in _AXES if one != taken)
        self.runs["length"] = axis
        self._say(f"It is long {_AXIS_WORDS[axis]}.")

    def _width_axis(self, later: list[str]) -> None:
        length = self.runs["length"]
        if "width" not in self.runs:
            flat: Axis = "y" if length == "x" else "x"
            axis = self.axis_of(self.fields.get("width"))
            if "flat" in later and length != "z":
                axis = flat
            elif "on edge" in later and length != "z":
                axis = "z"
            if axis is None or axis == length:
                upright = self.stock.kind == Kind.LENGTH and length != "z"
                axis = "z" if upright else flat if length != "z" else self._standing_wide()
            self.runs["width"] = axis
        if self.runs["width"] == length:
            raise NotReadError(f"The {self._words()} can't be long and wide along the same way.")

    def _standing_wide(self) -> Axis:
        """Which way something upright is wide: a panel along the side of the whole that it stands at, else across."""
        if self.stock.kind != Kind.SHEET:
            return "x"
        at, deep = self.fields.get("at", {}), self.known.size_along("y")
        at_face = str(at.get("y", "")) in ("0 mm", f"up to {deep}") or str(at.get("y", "")).startswith(
            ("behind", "in front")
        )
        return "x" if at_face or ("y" in at and "x" not in at) else "y"

    def _run(self, run: list[str]) -> None:
        axis, low, high, *mirrored = run
        at = self._at()
        if self._slants() or mirrored:
            at[axis] = f"from {low}{' up' if axis == 'z' else ''} to {high}{' and mirrored' if mirrored else ''}"
            return
        nothing = low in ("0", "0 mm", "0 in")
        self.fields.setdefault("length", high if nothing else f"{high} - ({low})" if " " in low else f"{high} - {low}")
        if not nothing:
            at.setdefault(axis, low)

    def _length(self) -> None:
        if "length" in self.fields or self._slants():
            return
        axis = self.runs["length"]
        at = self.fields.get("at", {})
        text = str(at.get(axis, ""))
        if text.startswith("between "):
            self.fields["length"] = room_between(text.removeprefix("between "), axis, self.known)
        elif axis == "z" and text.startswith("under "):
            self.fields["length"] = f"{text.removeprefix('under ')}.bottom"
            del at["z"]
        else:
            raise NotReadError(
                f"How long is the {self._words()}? Type as '600 long', 'between the sides' or 'from the floor to 700'."
            )
        self._say(f"Its length is {in_words(self.fields['length'])}.")

    def _width(self) -> None:
        if "width" in self.fields or self.stock.kind == Kind.LENGTH:
            return
        axis, at = self.runs["width"], self.fields.get("at", {})
        text = str(at.get(axis, ""))
        if text.startswith("between "):
            self.fields["width"] = room_between(text.removeprefix("between "), axis, self.known)
        else:
            _, beside = stands_between(at) or ("", "")
            said = extent(beside, axis, self.known) if beside else ""
            if not said:
                raise NotReadError(f"How wide is the {self._words()}? Type as '300 wide' or '900 x 300'.")
            self.fields["width"] = said
            if axis not in at:
                self._at()[axis] = f"{beside}.{ENDS[axis][0]}"
        self._say(f"Its width is {in_words(self.fields['width'])}.")

    def _evenly(self, count: str) -> None:
        """So many with equal gaps, the way that they are thin: between the two parts that they stand between."""
        if not count:
            return
        axis = next(one for one in _AXES if one not in self.runs.values())
        _, beside = stands_between(self._at()) or ("", "")
        low, high = ENDS[axis]
        size = self.known.size_along(axis)
        if not beside and not size:
            raise NotReadError("Evenly between what? Type as 'x 3 evenly between 0 and 900'.")
        ends = f"{beside}.{low} and {beside}.{high}" if beside else f"0 mm and {size}"
        self._at()[axis] = f"{count} evenly between {ends}"
        said = " and ".join(in_words(end) for end in ends.split(" and "))
        self._say(f"They stand {count} evenly between {said}.")

    def _grain(self) -> None:
        material = self.stock.material
        if "grain" in self.fields or self.stock.kind != Kind.SHEET:
            return
        if material is None or material.values.get("grain") == 1:
            self.fields["grain"] = "length"
            self._say("Its grain runs along it.")
