"""The form of a material: one field and one source for each value its kind has, read back with everything wrong."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from fractions import Fraction
from typing import Any, Final

from webapp.costing.catalogue.kinds import KINDS, Kind, Property
from webapp.costing.catalogue.materials import CODE, Material
from webapp.costing.catalogue.meant import key_of
from webapp.costing.catalogue.tags import TAGS, read_tags, tag_words, unknown_words
from webapp.costing.errors import MeasureError
from webapp.costing.measures.trade_words import in_trade_words, said_in_either
from webapp.costing.measures.written import System, as_kept, parse_quantity
from webapp.pages.shown.materials import unit_of, value_typed
from webapp.pages.web.fields import Field
from webapp.pages.web.posting import tidy_text
from webapp.persistence.foundation.lists import one_line

LONGEST_NAME: Final = 120
LONGEST_CODE: Final = 40
LONGEST_SOURCE: Final = 200
LONGEST_NOTE: Final = 1000

#: Values that may well be nothing; of any other it means that nobody knows it, and then the field stays empty.
MAY_BE_NOTHING: Final = frozenset({"end_trim", "defect_reserve", "splice_lap", "spare", "movement"})
WHOLE: Final = Fraction(1)
_BARE: Final = re.compile(r"[0-9]+([.,][0-9]+)?")


_KIND_OF: Final[Mapping[str, Kind]] = {
    key_of(word): kind
    for kind, row in KINDS.items()
    for own in (kind.value, row.singular, row.plural)
    for word in said_in_either(own)
}


def kind_named(text: str) -> Kind | None:
    """The kind that a table names, as one or as several, in either trade's words."""
    return _KIND_OF.get(key_of(text))


def code_from(name: str) -> str:
    """A code made of a name: Birch-faced plywood 18 mm -> birch_faced_plywood_18_mm."""
    return re.sub(r"[^a-z0-9]+", "_", name.casefold()).strip("_")[:LONGEST_CODE].rstrip("_")


def free_code(name: str, taken: Collection[str], unnamed: str) -> str:
    """A code made of a name, `unnamed` where none can be made of it, with a number behind it where it is taken."""
    stem = code_from(name) or unnamed
    number, code = 1, stem
    while code in taken:
        number += 1
        code = f"{stem[: LONGEST_CODE - 4].rstrip('_')}_{number}"
    return code


def tags_typed(material: Material) -> str:
    """The tags of a material as they are typed."""
    return ", ".join(map(tag_words, material.tags))


def tags_told(tags: Collection[str]) -> tuple[str, ...]:
    """What each tag means, and of those that the program doesn't know the nearest."""
    known = (f"{tag_words(tag).capitalize()}: {in_trade_words(TAGS[tag].means)}." for tag in tags if tag in TAGS)
    return (*known, *unknown_words(tags))


def tags_known() -> tuple[tuple[str, str], ...]:
    """Every tag that the program knows, with what it means."""
    return tuple((tag_words(tag), in_trade_words(one.means)) for tag, one in TAGS.items())


def fields_of(material: Material, system: System) -> dict[str, str]:
    """A material as its form holds it."""
    fields = {"code": material.code, "name": material.name, "note": material.note, "tags": tags_typed(material)}
    for one in KINDS[material.kind].properties:
        fields[f"value.{one.name}"] = value_typed(material, one, system)
        fields[f"source.{one.name}"] = material.sources.get(one.name, "")
    return fields


def typed_material(sent: Mapping[str, str], kind: Kind) -> dict[str, str]:
    """The fields of a material's form that were sent, tidied; those that were not sent are empty."""
    names = ["code", "name", "tags"]
    for one in KINDS[kind].properties:
        names += [f"value.{one.name}", f"source.{one.name}"]
    return {name: one_line(sent.get(name, "")) for name in names} | {"note": tidy_text(sent.get("note", ""))}


def value_fields(
    kind: Kind, fields: Mapping[str, str], problems: Mapping[str, str], system: System
) -> tuple[tuple[Field, Field], ...]:
    """The fields of the values of a kind, each with the field of its source."""

    def field(name: str, label: str, **further: Any) -> Field:
        return Field(name, label, fields.get(name, ""), problem=problems.get(name, ""), **further)

    return tuple(
        (
            field(
                f"value.{one.name}", one.label, hint=one.hint, unit=unit_of(one, system), required=one.required,
                options=(("", "not said"), ("yes", "yes"), ("no", "no")) if one.quantity == "yes_no" else (),
            ),
            field(f"source.{one.name}", "Source"),
        )
        for one in KINDS[kind].properties
    )  # fmt: skip


def read_material(
    kind: Kind, fields: Mapping[str, str], system: System, *, plain: bool = False
) -> tuple[Material, dict[str, str]]:
    """The material that was typed, and everything that is wrong with it, by field. Its code may be made of its name.
    `plain` says that the numbers are plain already, and not as the shop types them.
    """
    problems: dict[str, str] = {}
    name, code = fields["name"], fields["code"].casefold()
    if not name:
        problems["name"] = "The material needs a name; it stands in lists and on the shopping list."
    elif len(name) > LONGEST_NAME:
        problems["name"] = f"The name has {len(name)} characters; at most {LONGEST_NAME} are kept."
    if code and not CODE.fullmatch(code):
        problems["code"] = (
            f"“{fields['code'][:60]}” can't be a code: small letters, digits, - and _, at most {LONGEST_CODE}."
        )
    elif not code and name and not (code := code_from(name)):
        problems["code"] = f"No code can be made of “{name[:60]}”; type one of small letters and digits."
    if len(fields["note"]) > LONGEST_NOTE:
        problems["note"] = f"The note has {len(fields['note'])} characters; at most {LONGEST_NOTE} are kept."
    tags, wrong = read_tags(fields["tags"])
    if wrong:
        problems["tags"] = wrong
    values: dict[str, Fraction] = {}
    sources: dict[str, str] = {}
    for one in KINDS[kind].properties:
        text, source = fields[f"value.{one.name}"], fields[f"source.{one.name}"]
        value, problem = read_value(one, text if plain else as_kept(text), system)
        if problem:
            problems[f"value.{one.name}"] = problem
        elif value is not None:
            values[one.name] = value
            if source:
                sources[one.name] = source
        elif source:
            problems[f"value.{one.name}"] = (
                f"{one.label}: a source is given, but no value. Type it, or empty the source."
            )
        if len(source) > LONGEST_SOURCE:
            problems[f"source.{one.name}"] = (
                f"The source has {len(source)} characters; at most {LONGEST_SOURCE} are kept."
            )
    thinnest, thickness = values.get("thinnest"), values.get("thickness")
    if kind is Kind.SHEET and thinnest is not None and thickness is not None and thinnest > thickness:
        problems["value.thinnest"] = "The thinnest it may come is thicker than it is as measured; one of them is wrong."
    thickest = values.get("thickest")
    if kind is Kind.SHEET and thickest is not None and thickness is not None and thickest < thickness:
        problems["value.thickest"] = "The thickest it may come is thinner than it is as measured; one of them is wrong."
    return Material(code, name, kind, values, sources, fields["note"], tags=tags), problems


def read_value(quality: Property, text: str, system: System) -> tuple[Fraction | None, str]:
    """One value, plain, or the sentence why it can't be taken; neither where nothing is typed and nothing needed."""
    if not text:
        return None, f"{quality.label} is needed." if quality.required else ""
    if quality.quantity == "yes_no":
        if text not in ("yes", "no"):
            return None, f"{quality.label}: “{text}” is neither yes nor no."
        return Fraction(text == "yes"), ""
    try:
        value = parse_quantity(text, quality.quantity, system)
    except MeasureError as error:
        return None, f"{quality.label}: {error.reason}"
    if value == 0 and quality.name not in MAY_BE_NOTHING:
        return None, f"{quality.label}: “{text}” is zero. " + (
            "It must be above zero." if quality.required else "Leave it empty where nobody knows it."
        )
    if quality.quantity == "percent" and value > WHOLE:
        return None, f"{quality.label}: “{text}” is more than the whole; it goes up to 100 %."
    return value, ""


def differences(
    theirs: Mapping[str, str], ours: Mapping[str, str], labels: Mapping[str, str]
) -> tuple[tuple[str, str, str], ...]:
    """What two forms say differently: the field in words, theirs and ours."""
    return tuple(
        (words, theirs.get(name) or "nothing", ours.get(name) or "nothing")
        for name, words in labels.items()
        if theirs.get(name, "") != ours.get(name, "")
    )


def says_otherwise(moved: Iterable[tuple[str, str, str]], *, since: bool = False) -> str:
    """What a row of a table is told that would change what is there, by `differences`: nobody allowed it, or somebody
    changed that thing `since` the table went out."""
    would = "; ".join(f"{words}: {theirs} would be {ours}" for words, theirs, ours in moved)
    if since:
        return (
            f"it was changed since this table went out, and this row says otherwise. {would}. Empty its version to "
            "take the row all the same."
        )
    return f"it is there already, and this row says otherwise. {would}. Allow changes to take it."


def with_unit(cell: str, unit: str) -> str:
    """A cell with the unit of its heading, where it is a number without one."""
    return f"{cell} {unit}".strip() if _BARE.fullmatch(cell) else cell


def labels_of(kind: Kind) -> dict[str, str]:
    """What each field of a material's form is called."""
    labels = {"name": "Name", "tags": "Tags", "note": "Note"}
    for one in KINDS[kind].properties:
        labels[f"value.{one.name}"] = one.label
        labels[f"source.{one.name}"] = f"{one.label}, source"
    return labels
