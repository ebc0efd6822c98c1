"""What a short form leaves unsaid, written out: words for names, surfaces of a finish, supplies, the usual steps.

The result is a form as the reader knows it, with the path of each entry that was written out pointing to the one that
said it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from webapp.costing.design_form.tables.form_made import JOINED_AT
from webapp.costing.design_form.unfold import Unfolded
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
    "sizes", "stock", "choices", "parts", "holes", "openings", "outlines", "joinery", "folds", "moves", "holds",
    "joints", "hardware", "finish",
)  # fmt: skip


class FilledIn:
    """A short form written out: its `document`, what is wrong with it, and where each written entry came from."""

    def __init__(self, document: Mapping[str, object]) -> None:
        self.unfolded = Unfolded(document)
        self.document: dict[str, object] = self.unfolded.document
        self.wrong: list[tuple[str, str]] = self.unfolded.wrong
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
        for origins in (self.origins, self.unfolded.origins):
            path = origins.get(".".join(path.split(".")[:2]), path)
        return path

    def is_said_elsewhere(self, path: str) -> bool:
        """Whether an entry is one that another entry says, as a finish says its surfaces."""
        return self.origins.get(path, path) != path

    def is_within(self, path: str) -> bool:
        """Whether an entry came from a design that is used in this one."""
        return path in self.unfolded.origins

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
        spread = self._own_of(part)
        for phrase in re.split(r" and ", rest) if rest else [""]:
            fields = ON_WORDS.get(phrase) if phrase else {"exposed": "yes"}
            if fields is None:
                self.wrong.append((
                    f"finish.{finish}.on",
                    f"Finish {finish}, on: '{phrase}' of {part} is none of {', '.join(ON_WORDS)}.",
                ))  # fmt: skip
                continue
            for one in spread:
                called = f"{finish}_{one}_{(phrase or 'exposed').replace(' ', '_')}"
                found[called] = {**self._when(one), **self._of(one), **fields}
        return found

    def _own_of(self, name: str) -> list[str]:
        """What a part or a stock role means in a finish: itself, but where parts within a use are cut from a role too,
        the others by name. What stands within a use is finished as its own design says."""
        parts = self._fields("parts").items()
        cut = [(part, "within" in entry) for part, entry in parts if entry.get("stock") == name]
        if name in self._entries("parts") or not any(within for _, within in cut):
            return [name]
        return [part for part, within in cut if not within]

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
        glues = [name for name, entry in self._fields("stock").items()
                 if is_glue(entry) and not self.is_within(f"stock.{name}")]  # fmt: skip
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
            openings=self._fields("openings"), joinery=self._fields("joinery"), folds=self._fields("folds"),
            outlines=self._fields("outlines"), values=self._entries("values"),
        )  # fmt: skip
        usual = usual_steps(held)
        self._steps_within(usual)
        self._put("holes", {name: _without(entry, "step") for name, entry in self._entries("holes").items()})
        surfaces = self._entries("surfaces")
        for role in held.welded():
            surfaces.setdefault(f"steel_{role}", {"stock": role, "edges": "around"})
        if surfaces:
            self.document["surfaces"] = surfaces
        typed = self._entries("operations")
        self._leave_to_others(usual, typed)
        steps: dict[str, object] = {}
        for name, fields in usual.items():
            entry = typed.pop(name, {})
            if not isinstance(entry, Mapping):
                steps[name] = entry
            elif entry.get("off") != "yes":
                # Whoever says what drives it says what counts of it too.
                base = {"says": fields["says"]} if "driver" in entry else fields
                if name == ALSO_COUNTS and entry.get("driver") == fields["driver"] and "of" in fields:
                    # Edges that a design counts itself are others than those of its openings.
                    base = {**base, "of": fields["of"]}
                step = {**base, **{key: value for key, value in entry.items() if key != "off"}}
                steps[name] = self._with_uses(step, fields)
                self.origins[f"operations.{name}"] = f"operations.{name}"
        for name, entry in typed.items():
            if not (isinstance(entry, Mapping) and entry.get("off") == "yes"):
                steps[name] = _saying(name, entry)
        self.document["operations"] = in_order(steps)

    @staticmethod
    def _leave_to_others(usual: dict[str, dict[str, object]], typed: Mapping[str, object]) -> None:
        """Take out of the usual steps what another step includes; one that is left nothing falls away."""
        for doing, entry in typed.items():
            held = entry.get("includes", ()) if isinstance(entry, Mapping) else ()
            included = {held} if isinstance(held, str) else {*held} if isinstance(held, list | tuple) else set()
            for name in [name for name in usual if name != doing]:
                own = typed.get(name)
                # What is typed of a step counts as it is typed.
                of = None if isinstance(own, Mapping) and ("of" in own or "driver" in own) else usual[name].get("of")
                left = [one for one in of if one not in included] if isinstance(of, list) else []
                if isinstance(of, list) and len(left) < len(of):
                    usual[name]["of"] = left
                    if not left:
                        del usual[name]


    def _with_uses(self, step: dict[str, object], usual: Fields) -> Fields:
        """A step as the design says it, with what it works on in the designs that are used in this one."""
        if step.get("driver") != usual.get("driver"):
            return step
        of, there = step.get("of"), usual.get("of")
        if of is not None and isinstance(there, list):
            listed = [of] if isinstance(of, str) else list(of) if isinstance(of, list | tuple) else [of]
            within = [one for one in there if one not in listed and self._is_of_use(one)]
            step = {**step, "of": [*listed, *within]} if within else step
        if step.get("count") != usual.get("count") and "count" in step and "count" in usual:
            step = {**step, "count": f"{step['count']} + {usual['count']}"}
        return step

    def _is_of_use(self, name: object) -> bool:
        looked_in = ("parts", "joints", "hardware", "finish", "stock", "holes", "openings", "outlines", "joinery",
                     "folds")  # fmt: skip
        return any(self.is_within(f"{section}.{name}") for section in looked_in)

    def _steps_within(self, usual: dict[str, dict[str, object]]) -> None:
        """The usual steps as the designs that are used in this one say them of what is in them; what they count
        themselves adds up."""
        for use, steps in self.unfolded.steps.items():
            own = f"{use}_"
            for name, entry in steps.items():
                there = usual.get(name)
                if not isinstance(entry, Mapping):
                    continue
                if there is not None and ("of" in entry or "driver" in entry or entry.get("off") == "yes"):
                    listed = there.get("of")
                    if isinstance(listed, list):
                        there = {**there, "of": [one for one in listed if not one.startswith(own)]}
                    if entry.get("off") == "yes" and not there.get("of", [own]):
                        del usual[name]
                        continue
                if entry.get("off") != "yes":
                    there = self._added_up(use, name, there, entry)
                if there is not None:
                    usual[name] = there

    def _added_up(
        self, use: str, name: str, there: dict[str, object] | None, entry: Fields
    ) -> dict[str, object]:  # fmt: skip
        """A step that is there with what a design within says of it besides."""
        if there is None or not there.get("of", [use]):
            return {**_said_of(name, entry)} if there is None else {**there, **entry}
        if "driver" in entry and entry["driver"] != there.get("driver"):
            if "driver" in self._fields("operations").get(name, {}):
                # Whoever says by what it goes in all has said it for the use as well.
                return there
            self.wrong.append((
                f"uses.{use}",
                f"Use {use}: the step {name} goes by {entry['driver']} in it, and by {there.get('driver')} elsewhere; "
                f"say under operations by what '{name}' goes in all.",
            ))  # fmt: skip
            return there
        added = dict(there)
        of, more = there.get("of"), entry.get("of")
        if isinstance(of, list) and more is not None:
            listed = [more] if isinstance(more, str) else list(more) if isinstance(more, list | tuple) else []
            added["of"] = [*of, *(one for one in listed if one not in of)]
        if isinstance(entry.get("count"), str):
            added["count"] = f"{there['count']} + {entry['count']}" if "count" in there else entry["count"]
        return added


def _without(entry: object, field: str) -> object:
    """An entry without a field that only says something of others."""
    return {key: value for key, value in entry.items() if key != field} if isinstance(entry, Mapping) else entry


def _saying(name: str, entry: object) -> object:
    """An entry with its words: those of its name where it says none."""
    return _said_of(name, entry) if isinstance(entry, Mapping) else entry


def _said_of(name: str, entry: Fields) -> Fields:
    if "says" in entry:
        return entry
    words = name_words(name)
    return {"says": words[:1].upper() + words[1:], **entry}
