"""The list of a place that a material fills: what is held, what may be chosen, and what is to be said beside it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.designs.model import Role
from webapp.costing.takeoff.model import TakeOff

Options = tuple[tuple[str, str], ...]
#: What may be chosen: by kind; by item and role for the places that say what may fill them.
Stock = Mapping[Kind | tuple[str, str], Options]


def fill_place(
    role: Role, chosen: str, taken: TakeOff | None, options: Options, name_of: Callable[[str], str],
    used: Collection[str],
) -> tuple[str, str, Options]:  # fmt: skip
    """What the field of a place holds, its hint, and its options; without options there are none where only hints and
    problems are sent. A place that follows another may be left to what fits, which stands first."""
    code = taken.materials[role.name] if taken is not None else chosen or role.usual
    held = chosen if role.follows else chosen or role.usual
    if options and held and held not in dict(options):
        options = ((held, name_of(held)), *options)
    if role.follows:
        options = (("", "What fits" if chosen else f"What fits: {name_of(code)}"), *options)
    said = [
        taken.fit_notes.get(role.name, "") if taken is not None else "",
        f"In place of {name_of(role.usual)}." if code != role.usual else "",
        "" if code in used else "Not used with these answers.",
    ]
    return held, " ".join(filter(None, said)), options
