"""What a short form leaves unsaid, written out: words for names, surfaces of a finish, supplies, the usual steps.

The result is a form as the reader knows it, with the path of each entry that was written out pointing to the one that
said it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from webapp.costing.design_form.form_made import JOINED_AT
from webapp.costing.design_form.usual_steps import ALSO_COUNTS, Fields, Held, in_order, is_glue, usual_steps
from webapp.costing.designs.formulas import name_words

#: What of a part a finish goes on, in words, and the same as fields of a surface.
ON_WORDS: Final[Mapping[str, Fields]] = {
    "faces": {"faces": "2"}, "one face": {"faces": "1"}, "edges": {"edges": "all"}, "long edges": {"edges": "long"},
    "ends": {"edges": "ends"}, "banded edges": {"edges": "banded"}, "raw edges": {"edges": "raw"},
    "bare edges": {"edges": "all", "raw_edge": "yes"}, "bare long edges": {"edges": "long", "raw_edge": "yes"},
    "bare ends": {"edges": "ends", "raw_edge": "yes"}, "around": {"edges": "around"},
}  # fmt: skip
_SPEAKING: Final = (
    "sizes", "stock", "choices", "parts", "holes", "openings", "joinery", "moves", "holds", "joints", "hardware",
    "finish",
)  # fmt: skip


class FilledIn:
    """A short form written out: its `document`, what is wrong with it, and where each written entry came from."""

    def __init__(self, document: Mapping[str, object]) -> None:
        self.document: dict[str, object] = dict(document)
        self.wrong: list[tuple[str, str]] = []
        self.origins: dict[str, str] = {}
        for section in _SPEAKING:
            self._put(section, {name: _saying(name, entry) for name, entry in self._entries(section).items()})
        self._blanks()
        self._glue()
        finishes = self._fields("finish")
        self._finishes()
        self._supplies()
        self._steps(finishes)

    def origin(self, path: str) -> str:
        """The path of the form that a path of the written-out one came from."""
        head = ".".join(path.split(".")[:2])
        return self.origins.get(head, path)

    def _entries(self, section: str) -> dict[str, object]:
        held = self.document.get(section)
        return dict(held) if isinstance(held, Mapping) else {}

    def _put(self, section: str, entries: Mapping[str, object]) -> None:
        if isinstance(self.document.get(section, {}), Mapping) and (entries or section in self.document):
            self.document[section] = dict(entries)

    def _fields(self, section: str) -> dict[str, Fields]:
        return {name: entry for name, entry in self._entries(section).items() if isinstance(entry, Mapping)}

    def _finishes(self) -> None:
        """The surfaces that the words of each finish say, under names of their own."""
        surfaces, finishes = self._entries("surfaces"), self._entries("finish")
        for name, entry in self._fields("finish").items():
            listed = entry.get("on")
            texts = [listed] if isinstance(listed, str) else listed
            if not isinstance(texts, list | tuple) or not all(isinstance(text, str) for text in texts):
                continue
            on = []
            for text in texts:
                said = self._surfaces_said(name, text, surfaces)
                surfaces |= said
                on += list(said)
                self.origins |= {f"surfaces.{one}": f"finish.{name}.on" for one in said if one != text}
            finishes[name] = {**entry, "on": on}
        if surfaces:
            self.document["surfaces"] = surfaces
        self._put("finish", finishes)

    def _surfaces_said(self, finish: str, text: str, surfaces: Mapping[str, object]) -> dict[str, object]:
        """The surfaces that one of a finish's words says: 'leg faces and ends', 'shelf one face', 'tube around'."""
        words = text.split()
        if text in surfaces:
            return {text: surfaces[text]}
        part, rest = (words[0] if words else ""), " ".join(words[1:])
        of = self._of(part)
        if not of:
            known = ", ".join(self._entries("parts"))
            self.wrong.append(
                (f"finish.{finish}.on", f"Finish {finish}, on: '{part[:80]}' is no part; there is {known}.")
            )
            return {}
        found: dict[str, object] = {}
        when = self._when(part)
        for phrase in re.split(r" and ", rest) if rest else [""]:
            fields = ON_WORDS.get(phrase) if phrase else {"exposed": "yes"}
            if fields is None:
                self.wrong.append((
                    f"finish.{finish}.on",
                    f"Finish {finish}, on: '{phrase}' of {part} is none of {', '.join(ON_WORDS)}.",
                ))  # fmt: skip
                continue
            found[f"{finish}_{part}_{(phrase or 'exposed').replace(' ', '_')}"] = {**when, **of, **fields}
        return found

    def _of(self, name: str) -> Fields:
        if name in self._entries("parts"):
            return {"part": name}
        return {"stock": name} if name in self._entries("stock") else {}

    def _when(self, part: str) -> Fields:
        """The answer under which a part is there, and so are its surfaces."""
        when = self._fields("parts").get(part, {}).get("when")
        return {"when": when} if isinstance(when, str) else {}

    def _supplies(self) -> None:
        """What a stock role says that it is used up by."""
        supplies, stock = self._entries("supplies"), self._entries("stock")
        for name, entry in self._fields("stock").items():
            used_by = entry.get("used_by")
            if used_by is None:
                continue
            supply: dict[str, object] = {"says": entry.get("says", ""), "stock": name, "driver": used_by}
            supply |= {new: entry[old] for new, old in (("of", "used_over"), ("when", "used_when")) if old in entry}
            supplies.setdefault(name, supply)
            self.origins[f"supplies.{name}"] = f"stock.{name}.used_by"
            stock[name] = {key: value for key, value in entry.items() if not key.startswith("used_")}
        self._put("stock", stock)
        if supplies:
            self.document["supplies"] = supplies

    def _blanks(self) -> None:
        """What tenons and housings add to the blanks of parts that don't say it themselves."""
        parts, added = self._entries("parts"), dict[tuple[str, str], list[str]]()
        for entry in self._fields("joinery").values():
            part, deep, at = (entry.get(name) for name in ("part", "deep", "at"))
            where = at if isinstance(at, str) else "both ends"
            if entry.get("sort") == "rebate" or not isinstance(deep, str) or where not in JOINED_AT:
                continue
            side = "joint_length" if where.endswith(("end", "ends")) else "joint_width"
            added.setdefault((str(part), side), []).append(f"{JOINED_AT[where]} * ({deep})")
        for (name, side), terms in added.items():
            held = parts.get(name)
            if isinstance(held, Mapping) and side not in held:
                parts[name] = {**held, side: " + ".join(terms)}
        self._put("parts", parts)

    def _glue(self) -> None:
        """Joints that are glued without saying with what: with the one glue of the design."""
        glues = [name for name, entry in self._fields("stock").items() if is_glue(entry)]
        joints = self._entries("joints")
        for name, entry in self._fields("joints").items():
            if entry.get("glue") != "yes":
                continue
            if len(glues) == 1:
                joints[name] = {**entry, "glue": glues[0]}
            else:
                found = f"{len(glues)} glues ({', '.join(glues)})" if glues else "no glue"
                self.wrong.append((f"joints.{name}.glue", f"Joint {name}, glue: the design has {found}: say which."))
        self._put("joints", joints)

    def _steps(self, finishes: Mapping[str, Fields]) -> None:
        """The usual steps, and those that the design says otherwise or beside them; one that is off is left out."""
        held = Held(
            stock=self._fields("stock"), parts=self._fields("parts"), joints=self._fields("joints"),
            hardware=self._fields("hardware"), finish=finishes, holes=self._fields("holes"),
            openings=self._fields("openings"), joinery=self._fields("joinery"), values=self._entries("values"),
        )  # fmt: skip
        usual = usual_steps(held)
        self._put("holes", {name: _without(entry, "step") for name, entry in self._entries("holes").items()})
        surfaces = self._entries("surfaces")
        for role in held.welded():
            surfaces.setdefault(f"steel_{role}", {"stock": role, "edges": "around"})
        if surfaces:
            self.document["surfaces"] = surfaces
        typed = self._entries("operations")
        steps: dict[str, object] = {}
        for name, fields in usual.items():
            entry = typed.pop(name, {})
            if not isinstance(entry, Mapping):
                steps[name] = entry
            elif entry.get("off") != "yes":
                # Whoever says what drives it says what counts of it too.
                base = {"says": fields["says"]} if "driver" in entry else fields
                if name == ALSO_COUNTS and entry.get("driver") == fields["driver"]:
                    # Edges that a design counts itself are others than those of its openings.
                    base = {**base, "of": fields["of"]}
                steps[name] = {**base, **{key: value for key, value in entry.items() if key != "off"}}
                self.origins[f"operations.{name}"] = f"operations.{name}"
        for name, entry in typed.items():
            if not (isinstance(entry, Mapping) and entry.get("off") == "yes"):
                steps[name] = _saying(name, entry)
        self.document["operations"] = in_order(steps)


def _without(entry: object, field: str) -> object:
    """An entry without a field that only says something of others."""
    return {key: value for key, value in entry.items() if key != field} if isinstance(entry, Mapping) else entry


def _saying(name: str, entry: object) -> object:
    """An entry with its words: those of its name where it says none."""
    if not isinstance(entry, Mapping) or "says" in entry:
        return entry
    words = name_words(name)
    return {"says": words[:1].upper() + words[1:], **entry}
