"""What may be chosen for the places of a job's designs, all of a kind where it is few, else the likest and a search;
and the list of one place: what it holds, what may be chosen, and what is to be said beside it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.meant import LISTED_KINDS
from webapp.costing.designs.fitting import judge, may_be_meant
from webapp.costing.designs.model import Needs, Role
from webapp.costing.estimate.estimate import MEASURING_STEP, Estimate
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.takeoff.model import TakeOff
from webapp.pages.part_lists.rows import is_list
from webapp.persistence.catalogue.stock import count_kinds, find_alike, find_described

Options = tuple[tuple[str, str], ...]
#: What may be chosen: by kind; by item and role for the places that say what may fill them.
Stock = Mapping[Kind | tuple[str, str], Options]

#: A kind of which there are no more stands whole in the lists to choose from.
MOST_TO_CHOOSE: Final = 60
#: Of a kind with more, so many of the likest for each place in the job's designs.
LIKEST: Final = 20
#: So many materials of a kind are looked at for a place that says what may fill it; the words find the others.
MOST_DESCRIBED: Final = 500


@dataclass(frozen=True, slots=True)
class ToChoose:
    """The materials to choose from by kind, and by item and role for the places that say what may fill them; and
    whether some kind has more than stand there."""

    stock: Stock
    words: str
    is_part: bool


def stock_to_choose(session: Session, inputs: Inputs, estimate: Estimate, words: str) -> ToChoose:
    """The materials for each kind that the job's designs use; with words, those that hold them."""
    counts, known = count_kinds(session), inputs.catalogue.materials
    usual: dict[Kind, dict[str, Mapping[str, Fraction]]] = {}
    for item in estimate.items:
        for role in item.take_off.design.roles.values():
            values = known[role.usual].values if role.usual in known else {}
            usual.setdefault(role.kind, {})[role.usual] = values
    items = inputs.job.get("items")
    if any(is_list(item) for item in (items if isinstance(items, list) else ()) if isinstance(item, Mapping)):
        for kind in LISTED_KINDS:
            usual.setdefault(kind, {})
    stock: dict[Kind | tuple[str, str], Options] = {}
    is_part = False
    for kind, places in usual.items():
        if counts.get(kind, 0) <= MOST_TO_CHOOSE:
            stock[kind] = find_alike(session, kind, (), "", MOST_TO_CHOOSE)
        else:
            is_part = True
            stock[kind] = find_alike(session, kind, list(places.values()), words, LIKEST)
    return ToChoose(stock | _fitting(session, inputs, estimate, words), words, is_part)


def _fitting(session: Session, inputs: Inputs, estimate: Estimate, words: str) -> dict[Kind | tuple[str, str], Options]:
    """For each place that needs something: what fits it, then what may for all that is known of it."""
    asking = [
        (item.id, item.take_off, role)
        for item in estimate.items for role in item.take_off.design.roles.values() if role.needs != Needs()
    ]  # fmt: skip
    known = {role.kind: find_described(session, role.kind, words, MOST_DESCRIBED) for _, _, role in asking}
    fitting: dict[Kind | tuple[str, str], Options] = {}
    for item_id, taken, role in asking:
        followed = inputs.catalogue.materials.get(taken.materials.get(role.follows, ""))
        judged = [
            (judge(role, one, followed, inputs.system, MEASURING_STEP[inputs.system]).fit, one)
            for one in known[role.kind]
        ]
        fits = [(one.code, one.name) for fit, one in judged if fit == "fits"]
        maybe = [
            (one.code, f"{one.name} (not known to fit)") for fit, one in judged
            if fit == "not known" and may_be_meant(role, one)
        ]  # fmt: skip
        fitting[item_id, role.name] = (*fits, *maybe)
    return fitting


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
