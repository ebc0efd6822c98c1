"""A revision beside the one before it: what differs in what is asked for, in each line of the price, and in what is
behind it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any, Final

from webapp.costing.designs.model import Design
from webapp.costing.estimate.differences import Move, differences
from webapp.costing.estimate.snapshot import Inputs, read_design_once
from webapp.costing.estimate.whole_form import whole_form
from webapp.costing.jobs.alternates import ALTERNATES
from webapp.costing.measures.money import half_up
from webapp.pages.sheet.form import with_ids
from webapp.pages.sheet.words import differing
from webapp.pages.shown.moves import MoveRow, row_of
from webapp.pages.shown.standing import more_or_less
from webapp.showing import Reader

#: A plan pinned by hand is told of as one entry, not piece by piece.
_PINS: Final = "pinned"
#: What an item says in the words of its design.
_OF_DESIGN: Final = ("sizes", "choices", "materials")


@dataclass(frozen=True, slots=True)
class RevisionShown:
    """What differs between two revisions. `asked_for` are entries of the job's form (words, before, after), `sums` the
    moves of the lines and the foot, which add to the last of them, `behind` those of prices, materials and hours."""

    was: str
    now: str
    said: str
    asked_for: tuple[tuple[str, str, str], ...]
    sums: tuple[MoveRow, ...]
    behind: tuple[tuple[str, tuple[MoveRow, ...]], ...]

    @property
    def any(self) -> bool:
        """Whether anything differs."""
        return bool(self.asked_for or len(self.sums) > 1 or self.behind)


def revision_shown(
    was: str, now: str, made_from: tuple[Inputs, Inputs], estimates: tuple[Mapping[str, Any], Mapping[str, Any]],
    reader: Reader,
) -> RevisionShown:  # fmt: skip
    """Two revisions side by side, from what they were made from and the estimates' documents, the earlier one first."""
    found = differences(*estimates)
    hours = reader.hours
    # A share of a minute here and there is no news of a step.
    told = tuple(_whole_minutes(one) for one in found.hours if abs(one.by) >= 1)

    def money(amount: Fraction) -> str:
        return reader.money(amount).replace("-", "−")

    behind = (
        ("Prices of one pack", found.prices, money),
        ("Materials as bought", found.materials, money),
        ("Hours", (*told, _whole_minutes(found.minutes)) if told else (), hours),
    )
    by = found.total.by
    return RevisionShown(
        was, now, f"It comes to {more_or_less(by, reader)} than {was}." if by else f"It comes to the same as {was}.",
        _asked(*made_from), tuple(row_of(one, money) for one in (*found.lines, *found.foot, found.total)),
        tuple((words, tuple(row_of(one, read) for one in moves)) for words, moves, read in behind if moves),
    )  # fmt: skip


def _whole_minutes(move: Move) -> Move:
    """A move of minutes as it is read, to the minute on both sides, so that the eye can subtract them."""
    before, after = (None if side is None else half_up(side) for side in (move.before, move.after))
    return replace(move, before=before, after=after)


def _asked(was: Inputs, now: Inputs) -> tuple[tuple[str, str, str], ...]:
    one, other = (with_ids(whole_form(side.job, side.designs, side.system)) for side in (was, now))
    pins = one.pop(_PINS, None), other.pop(_PINS, None)
    options = _options(one.pop(ALTERNATES, ())), _options(other.pop(ALTERNATES, ()))
    before, after = (_items_told(form.pop("items", ()), side) for form, side in ((one, was), (other, now)))
    rows = [*differing(one, other)]
    for item in {**before, **after}:
        if item in before and item in after:
            label = after[item].label
            for name, theirs, ours in differing(before[item].entries, after[item].entries):
                rows.append((f"{label}: {name}", theirs, ours))
        else:
            told = before.get(item) or after[item]
            sides = (told.said, "nothing") if item in before else ("nothing", told.said)
            rows.append((f"Item {told.label}", *sides))
    if options[0] != options[1]:
        rows.append(("Options", options[0] or "none", options[1] or "none"))
    if (pins[0] or None) != (pins[1] or None):
        held = ("as they were" if pins[0] else "none", "others" if pins[1] else "none")
        rows.append(("Cut plans pinned by hand", *held))
    return tuple((words[:1].upper() + words[1:], before, after) for words, before, after in rows)


def _options(ways: Sequence[Mapping[str, Any]]) -> str:
    """The other ways that a quote offers, by their names."""
    return ", ".join(str(way.get("name", "")) for way in ways if way.get("on_quote") == "yes")


@dataclass(frozen=True, slots=True)
class _ItemTold:
    """An item as one says it: what it is called, the whole of it in a few words, and its entries by their words."""

    label: str
    said: str
    entries: Mapping[str, str]


def _items_told(items: Sequence[Mapping[str, Any]], inputs: Inputs) -> dict[str, _ItemTold]:
    """The items by id, with sizes, choices and places in the words of their designs and materials by name."""
    return {str(item["id"]): _item_told(item, inputs) for item in items}


def _item_told(item: Mapping[str, Any], inputs: Inputs) -> _ItemTold:
    document = inputs.designs.get(str(item["id"]))
    design = read_design_once(document)[0] if document is not None else None
    name = design.name if design is not None else str(item.get("design", ""))
    quantity = str(item.get("quantity", "1"))
    entries: dict[str, Any] = {
        key: value
        for key, value in item.items()
        if key not in ("id", "label", "design", "quantity", "parts", *_OF_DESIGN)
    }
    rows = item.get("parts") or ()
    entries |= {f"row {number}": ", ".join(str(one) for one in row.values()) for number, row in enumerate(rows, 1)}
    entries |= {"how many": quantity, "design": name}
    for section, named in zip(_OF_DESIGN, _named(design), strict=True):
        for key, value in dict(item.get(section) or {}).items():
            material = inputs.catalogue.materials.get(str(value)) if section == "materials" else None
            entries[named.get(key, key)] = material.name if material is not None else str(value).replace("_", " ")
    return _ItemTold(str(item.get("label") or name), f"{quantity} x {name}", entries)


def _named(design: Design | None) -> tuple[Mapping[str, str], ...]:
    """What the design calls its sizes, its choices and its places, in the order of _OF_DESIGN."""
    if design is None:
        return {}, {}, {}
    return tuple(
        {key: one.says[:1].lower() + one.says[1:] for key, one in table.items()}
        for table in (design.sizes, design.choices, design.roles)
    )
