"""The way to a customer's place as pages ask for it: the same fields with the customer and on a job's sheet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from sqlalchemy.orm import Session

from webapp.costing.jobs.way import STAIR, STAIRS, WAY_KEYS
from webapp.costing.measures.written import as_shown
from webapp.pages.web.fields import Field
from webapp.persistence.foundation.errors import NotKept
from webapp.persistence.jobs.customers import load_customer

NO_STAIR: Final = "no stair, or not said"
HINTS: Final[Mapping[str, str]] = {
    "door_width": "From the stop to the leaf as it stands open; mm, in or ft.",
    "door_height": "From the floor to the frame, or to a closer beneath it.",
    "corridor": "Where the way turns a corner.",
    "headroom": "Straight up from the edge of a step, where it is least.",
    "rise": "Empty: as steep as a dwelling’s may be, 7 3/4 in (197 mm).",
    "going": "Empty: as short as a dwelling’s may be, 10 in (254 mm).",
    "landing": "Of a quarter landing, beyond the flight that leads to it.",
    "lift_load": "In kg or lb; whoever rides along comes on top.",
}


def way_fields(held: Mapping[str, object], problems: Mapping[str, str]) -> tuple[Field, ...]:
    """The fields of a way as it is kept, each with what is wrong with it by the name of its field."""
    return tuple(
        Field(name := f"way.{key}", words, shown_of(key, held.get(key)), HINTS.get(key, ""), problems.get(name, ""),
              (("", NO_STAIR), *STAIRS.items()) if key == STAIR else ())
        for key, words in WAY_KEYS.items()
    )  # fmt: skip


def shown_of(key: str, kept: object) -> str:
    """What stands in a field for what is kept: a number as the shop writes it."""
    text = kept if isinstance(kept, str) else ""
    return text if key == STAIR else as_shown(text)


def way_in_words(held: Mapping[str, str]) -> str:
    """A way in one line, '' where nothing is kept of it."""
    return "; ".join(f"{words}: {said_of(key, held[key])}" for key, words in WAY_KEYS.items() if held.get(key))


def said_of(key: str, kept: str) -> str:
    """One measure of a way, or how its stair runs, in words."""
    return STAIRS.get(kept, kept) if key == STAIR else as_shown(kept)


def way_of_customer(session: Session, customer_id: int | None) -> dict[str, str]:
    """The way that is kept with a customer; nothing of nobody, nor of one who was merged with another."""
    if customer_id is None:
        return {}
    try:
        return dict(load_customer(session, customer_id).way)
    except NotKept:
        return {}
