"""One design put into another under the name of its use: every entry of it as it stands there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from webapp.costing.design_form.called import each_called, field_called
from webapp.costing.design_form.roles_within import RolesWithin, texts
from webapp.costing.design_form.tables.form_fields import Field
from webapp.costing.design_form.tables.form_made import MADE, OPENINGS
from webapp.costing.design_form.tables.form_tables import AXES, SHORTER
from webapp.costing.design_form.usual_steps import is_glue
from webapp.costing.designs.formulas import name_words, split_pair
from webapp.costing.designs.model import FACES
from webapp.costing.designs.names_within import NamesWithin, held, other_face
from webapp.costing.errors import FormulaError
from webapp.costing.measures.quantities import SYSTEMS

Fields = dict[str, Any]

#: What is told for one place of a use, and counts in every one of them; parts and hardware count by their standing.
_COUNTED: Final[Mapping[str, tuple[str, ...]]] = {
    "joints": ("rows", "count"), "operations": ("count",), "surfaces": ("area",),
}  # fmt: skip
#: The sections whose entries are printed under the words of the use.
_MADE: Final = tuple(section.name for section in MADE)
_SPOKEN: Final = ("stock", "parts", "joints", "hardware", "finish", "supplies", *_MADE)
#: Fields that name a side or an edge of a part as it stands.
_SIDES: Final = ("face", "edge", "edge_too", "way", "hinge")


class PutIn(RolesWithin):
    """What a use makes of its design: new entries by section, and what of the design's steps is said otherwise.

    `document` is that design with nothing used in it any more, `steps` what those within it say of steps, `host` the
    design that it is put into. `wrong` holds a field of the use and a sentence for each thing that does not fit.
    """

    def __init__(
        self, use: str, entry: Mapping[str, Any], document: Mapping[str, Any], steps: Mapping[str, Mapping[str, Any]],
        host: dict[str, Any],
    ) -> None:  # fmt: skip
        super().__init__(use, entry, document, host)
        self.expected: dict[str, tuple[str, str, bool]] = {}
        words = name_words(use)
        self.says = str(entry.get("says") or f"{words[:1].upper()}{words[1:]}")
        self.when = {"when": entry["when"]} if "when" in entry else {}
        mirrored = texts(entry.get("mirrored"))
        self.mirrored = tuple(axis for axis in AXES if axis in mirrored)
        if any(axis not in AXES for axis in mirrored):
            self.wrong.append(("mirrored", "the axes along which it is mirrored are needed: some of x, y and z."))
        answers = self._answers()
        self.chosen = frozenset(answers.values())
        choices = held(document, "choices").values()
        self.open = frozenset(one for choice in choices for one in _listed(choice, "answers"))
        self.names = NamesWithin(use, document, self.roles(), answers)
        self.steps = {use: self._steps(held(document, "operations"))}
        self.steps |= {
            self.names.own(name): self._steps(each) for name, each in steps.items()
        }

    def sections(self) -> dict[str, dict[str, Any]]:
        """The entries by section, each under the name that it has in the whole."""
        found = {section: self._section(section) for section in
                 ("parts", "joints", "hardware", "finish", "spans", *_MADE)}  # fmt: skip
        found["surfaces"] = {name: each for own, entry in self._section("surfaces").items()
                             for name, each in self._by_part(own, entry).items()}  # fmt: skip
        musts: dict[str, Any] = {}
        values = self._sizes(musts)
        values |= {self.names.own(name): self._value(each) for name, each in held(self.document, "values").items()}
        musts |= self._section("musts")
        found |= {"values": values, "musts": musts, "stock": self._stock(), "stands": self._stands()}
        supplies = self._section("supplies").items()
        found["supplies"] = {name: each for name, each in supplies if self.is_used_up(each, "driver", "of")}
        return {section: entries for section, entries in found.items() if entries}

    # ---- what is settled here ---------------------------------------------------------------------------------------

    def _answers(self) -> dict[str, str]:
        given = self.entry.get("choices")
        found: dict[str, str] = {}
        for name, choice in held(self.document, "choices").items():
            answers = _listed(choice, "answers")
            usual = str(choice.get("usual", "")) if isinstance(choice, Mapping) else ""
            answer = str(given.get(name, usual)) if isinstance(given, Mapping) else usual
            if answer not in answers:
                said = ", ".join(answers)
                self.wrong.append((f"choices.{name}", f"'{answer[:80]}' is none of the answers {said}."))
            found[name] = answer
        return found

    def _sizes(self, musts: dict[str, Any]) -> dict[str, Any]:
        """The sizes as values: those that the use says are held against their limits."""
        given = self.entry.get("sizes")
        said = given if isinstance(given, Mapping) else {}
        values: dict[str, Any] = {}
        for name, size in held(self.document, "sizes").items():
            fields = size if isinstance(size, Mapping) else {}
            own = self.names.own(name)
            values[own] = said.get(name, fields.get("usual", ""))
            if name not in said:
                continue
            self.expected[own] = (self.use, name, _is_length(fields.get("usual")))
            called = str(fields.get("says") or name_words(name))
            for limit, sign in (("least", ">="), ("most", "<=")):
                if limit not in fields:
                    continue
                bound = f"{self.use}_{limit}_{name}"
                values[bound] = fields[limit]
                musts[f"{own}_at_{limit}"] = {
                    "that": f"{own} {sign} {bound}",
                    "says": f"{self.says}, {_lower(called)}: it comes out at {{{own}}}, and {{{bound}}} is the "
                    f"{limit}.",
                    **self.when,
                }
        return values

    def _value(self, content: Any) -> Any:
        if isinstance(content, str):
            return self.names.formula(content)
        if not isinstance(content, Mapping):
            return content
        by_system = set(content) <= set(SYSTEMS) and not self.open & set(SYSTEMS)
        if not by_system and (answer := next((one for one in content if one in self.chosen), None)) is not None:
            return self._value(content[answer])
        return {key: self._value(each) for key, each in content.items()}

    # ---- entries ----------------------------------------------------------------------------------------------------

    def _section(self, section: str) -> dict[str, Any]:
        """The entries of a section that are there under the answers settled, under their names here."""
        found: dict[str, Any] = {}
        for name, entry in held(self.document, section).items():
            if not isinstance(entry, Mapping):
                found[self.names.own(name)] = entry
            elif (there := self._there(entry)) is not None:
                found[self.names.own(name)] = self._spoken(section, name, self._fields(section, there))
        return found

    def _by_part(self, own: str, entry: Any) -> dict[str, Any]:
        """A surface; that of all that is cut from a role is one of each such part of this design, and of no others."""
        name = own.removeprefix(f"{self.use}_")
        return {f"{own}_{part}" if part else own: {**{key: each for key, each in entry.items() if key != "stock"},
                                                   "part": self.names.own(part)} if part else entry
                for part in self._spread(name)}  # fmt: skip

    def _spread(self, surface: str) -> list[str]:
        """The parts of which there is a surface instead of the one of all; one that is of none is one surface."""
        stock = held(held(self.document, "surfaces"), surface).get("stock")
        return self._cut_from(stock) if isinstance(stock, str) else [""]

    def _cut_from(self, role: object) -> list[str]:
        """The parts of this design that are cut from a role and there under the answers."""
        parts = held(self.document, "parts").items()
        cut = [(name, part) for name, part in parts if isinstance(part, Mapping) and part.get("stock") == role]
        return [name for name, part in cut if self._there(part) is not None]

    def _there(self, entry: Mapping[str, Any]) -> Fields | None:
        """An entry with the answers taken out of it that are settled here; None where it is not there."""
        fields = dict(entry)
        for field in ("when", "used_when", "together_when"):
            answer = fields.get(field)
            if not isinstance(answer, str):
                continue
            if answer in self.chosen:
                del fields[field]
            elif answer in self.open and field == "when":
                return None
            elif answer in self.open:
                dropped = ("together", field) if field == "together_when" else ("used_by", "used_over", field)
                fields = {key: each for key, each in fields.items() if key not in dropped}
        return {**fields, **self.when}

    def _spoken(self, section: str, name: str, fields: Fields) -> Fields:
        if section == "musts":
            return {**fields, "says": f"{self.says}: {fields.get('says', '')}"}
        if section not in _SPOKEN:
            return fields
        words = name_words(name)
        return {**fields, "says": f"{self.says}: {_lower(str(fields.get('says') or words))}"}

    def _fields(self, section: str, entry: Mapping[str, Any]) -> Fields:
        """An entry with every name in it as it is called here, and what counts in one place counted in all."""
        table = {field.name: field for field in SHORTER[section].fields}
        fields = {
            name: self._field(section, entry, name, table.get(name), content) for name, content in entry.items()
        }
        if section == "parts" or section == "stands":
            return {**fields, "within": self.use} if "within" not in fields else fields
        if section in ("joints", "hardware"):
            fields.setdefault("within", self.use)
            if section == "joints" and fields.get("glue") == "yes":
                fields["glue"] = self._the_glue()
        for name in _COUNTED.get(section, ()):
            if isinstance(text := fields.get(name), str):
                plain = text if text.isdigit() else f"({text})"
                fields[name] = f"{self.use}.count" if text == "1" else f"{plain} * {self.use}.count"
        return fields

    def _the_glue(self) -> str:
        stock = held(self.document, "stock").items()
        glues = [name for name, role in stock if isinstance(role, Mapping) and is_glue(role)]
        return self.names.role(glues[0]) if len(glues) == 1 else "yes"

    def _field(
        self, section: str, entry: Mapping[str, Any], name: str, field: Field | None, content: Any
    ) -> Any:  # fmt: skip
        names = self.names
        if name == "within":
            return names.own(content)
        if name == "size" and isinstance(content, Mapping):
            return {axis: names.formula(each) if isinstance(each, str) else each for axis, each in content.items()}
        if name == "band" and isinstance(content, Mapping):
            return self._band(content)
        if name == "mitres" and isinstance(content, Mapping):
            return self._mitres(entry, content)
        if name == "on" and section == "finish":
            return self._on(content)
        if section in _MADE and (name in _SIDES or name == "edges"):
            return each_called(content, lambda side: str(other_face(side, self.mirrored)))
        if name == "of" and entry.get("driver") == "surface_square_metres":
            spread = [(one, part) for one in texts(content) for part in self._spread(one)]
            return [names.own(f"{one}_{part}" if part else one) for one, part in spread]
        if name == "points" and isinstance(content, list | tuple):
            return names.corners(content, self._turned(section, entry))
        return content if field is None else field_called(field, content, names, entry)

    def _turned(self, section: str, entry: Mapping[str, Any]) -> Mapping[str, str]:
        """From where a mirrored outline is measured back: that of a part from its other end, that of an opening, which
        its edges place, from nothing."""
        part = str(entry.get("part"))
        runs = held(held(held(self.document, "parts"), part), "runs")
        length, width = str(runs.get("length", "x")), str(runs.get("width", "y"))
        ways = {"along": (length, f"{self.names.own(part)}.length"), "across": (width, f"{self.names.own(part)}.width")}
        if section == OPENINGS.name:
            named = next((axis for face, (axis, _) in FACES.items() if face == entry.get("face")), "")
            through = named or next(axis for axis in AXES if axis not in (length, width))
            ways = {key: (axis, "0 mm") for key, axis in
                    zip(ways, (axis for axis in AXES if axis != through), strict=True)}  # fmt: skip
        return {key: end for key, (axis, end) in ways.items() if axis in self.mirrored}

    def _band(self, content: Mapping[str, Any]) -> Fields:
        edges = content.get("edges")
        swapped = [other_face(one, self.mirrored) for one in edges] if isinstance(edges, list | tuple) else edges
        return {**content, "with": self.names.role(str(content.get("with", ""))), "edges": swapped}

    def _mitres(self, entry: Mapping[str, Any], content: Mapping[str, Any]) -> Fields:
        runs = entry.get("runs")
        turned = isinstance(runs, Mapping) and runs.get("length") in self.mirrored
        ends = {"start": "end", "end": "start"} if turned else {}
        return {ends.get(key, key): other_face(each, self.mirrored) if key == "long" else each
                for key, each in content.items()}  # fmt: skip

    def _on(self, content: Any) -> Any:
        """What a finish goes on, by parts: of a stock role it means those of this design alone."""
        listed = [content] if isinstance(content, str) else content
        if not isinstance(listed, list | tuple):
            return content
        parts, found = held(self.document, "parts"), list[Any]()
        for text in listed:
            first, space, rest = str(text).partition(" ")
            if first in held(self.document, "surfaces"):
                found += [self.names.own(f"{first}_{part}" if part else first) for part in self._spread(first)]
                continue
            of_role = first not in parts and first in self.names.roles
            for name in self._cut_from(first) if of_role else (first,):
                part = parts.get(name)
                if not isinstance(part, Mapping) or self._there(part) is not None:
                    found.append(f"{self.names.own(name)}{space}{rest}")
        return found

    # ---- stock ------------------------------------------------------------------------------------------------------

    def _stock(self) -> dict[str, Any]:
        """The roles that nothing here fills, and those that do, with what they need for it besides."""
        found: dict[str, Any] = {}
        there = held(self.host, "stock")
        named = self.roles_named()
        for name, role in held(self.document, "stock").items():
            called = self.names.role(name)
            fields = self._there(role) if isinstance(role, Mapping) else None
            if fields is None:
                found[called] = role
                continue
            fields.pop("when", None)
            if "used_when" not in fields and "used_by" in fields and self.when:
                fields["used_when"] = self.when["when"]
            fields = self._fields("stock", fields)
            if "used_by" in fields and not self.is_used_up(fields, "used_by", "used_over"):
                fields = {key: each for key, each in fields.items() if not key.startswith("used_")}
                if name not in named and called not in there:
                    continue
            if called in there:
                self.needs_besides(called, fields)
                if "used_by" in fields and "used_by" not in held(there, called):
                    self.change_role(called, **{key: one for key, one in fields.items() if key.startswith("used_")})
            else:
                found[called] = self._spoken("stock", name, fields)
        return found

    # ---- places and steps -------------------------------------------------------------------------------------------

    def _stands(self) -> dict[str, Any]:
        """Where the boxes of the use stand, and those of the uses in it."""
        kept = ("design", "count", "at", "four_corners", "mirrored", "when")
        closes = held(self.document, "closes")
        size = {axis: self.names.formula(str(closes[axis])) for axis in AXES}
        found: dict[str, Any] = {
            self.use: {"says": self.says, **{key: self.entry[key] for key in kept if key in self.entry}, "size": size}
        }
        for name, entry in held(self.document, "stands").items():
            there = self._there(entry)
            if there is not None:
                fields = {**there, "says": f"{self.says}: {_lower(str(there.get('says', name)))}"}
                mapped = {key: self._field("uses", fields, key, _STANDS.get(key), each) for key, each in fields.items()}
                found[self.names.own(name)] = {"within": self.use, **mapped}
        return found

    def _steps(self, steps: Mapping[str, Any]) -> dict[str, Any]:
        """What the design says otherwise of the steps of the work."""
        found: dict[str, Any] = {}
        for name, entry in steps.items():
            fields = self._there(entry) if isinstance(entry, Mapping) else entry
            if fields is not None:
                found[name] = self._fields("operations", fields) if isinstance(fields, Mapping) else fields
        return found


_STANDS: Final = {field.name: field for field in SHORTER["uses"].fields}


def _listed(entry: Any, field: str) -> tuple[str, ...]:
    found = entry.get(field) if isinstance(entry, Mapping) else None
    return tuple(one for one in found if isinstance(one, str)) if isinstance(found, list | tuple) else ()


def _lower(words: str) -> str:
    """Words that go on after a colon: a small letter, but for what is all capitals."""
    return words if words[1:2].isupper() else f"{words[:1].lower()}{words[1:]}"


def _is_length(usual: Any) -> bool:
    """Whether a size is a length: what is a plain whole number has no unit."""
    text = usual.get("metric") if isinstance(usual, Mapping) else usual
    try:
        sides = split_pair(str(text))
    except FormulaError:
        sides = None
    side = str(text if sides is None else sides["metric"]).strip()
    return not (side.isascii() and side.isdigit())
