"""What may be chosen for the places of a job's designs, all of a kind where it is few, else the likest and a search;
and the list of one place: what it holds, what may be chosen, and what is to be said beside it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Final

from sqlalchemy.orm import Session

from webapp.costing.catalogue.kinds import Kind
from webapp.costing.catalogue.materials import Material
from webapp.costing.catalogue.meant import LISTED_KINDS
from webapp.costing.catalogue.tags import tags_that_are
from webapp.costing.designs.fitting import Fit, Judged, judge, may_be_meant
from webapp.costing.designs.model import Role
from webapp.costing.designs.needs import Needs
from webapp.costing.estimate.estimate import MEASURING_STEP, Estimate
from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.takeoff.model import TakeOff
from webapp.pages.part_lists.rows import is_list
from webapp.persistence.catalogue.stock import count_described, count_kinds, find_alike, find_described

Options = tuple[tuple[str, str], ...]
#: What may be chosen: by kind; by item and role for the places that say what may fill them.
Stock = Mapping[Kind | tuple[str, str], Options]

#: A kind of which there are no more stands whole in the lists to choose from.
MOST_TO_CHOOSE: Final = 60
#: Of a kind with more, so many of the likest for each place in the job's designs.
LIKEST: Final = 20
#: So many materials of a kind are looked at for a place that says what may fill it; the words find the others.
MOST_DESCRIBED: Final = 500


#: What is said of a material that stands in a list for want of one that is known to fit, or because it is chosen.
MARKS: Final[Mapping[Fit, str]] = {"fits": "", "not known": " (not known to fit)", "misfit": " (does not fit)"}


@dataclass(frozen=True, slots=True)
class ToChoose:
    """The materials to choose from by kind, and by item and role for the places that say what may fill them; whether
    some kind has more than stand there, and how many of its kind the list of a place leaves out, by its field."""

    stock: Stock
    words: str
    is_part: bool
    left_out: Mapping[str, int]

    def leaves_out(self, item_id: str) -> bool:
        """Whether a list of an item leaves anything out."""
        return any(count for name, count in self.left_out.items() if name.startswith(f"items.{item_id}."))


@dataclass(frozen=True, slots=True)
class PlaceJudged:
    """The materials of the kind of a place that were looked at, by how they fit, and how many there are in all."""

    by_fit: Mapping[Fit, tuple[Material, ...]]
    in_all: int


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
    fitting, left_out, many_fit = _fitting(session, inputs, estimate, words)
    return ToChoose(stock | fitting, words, is_part or many_fit, left_out)


class Judge:
    """Judges the materials of a kind against places; each kind is looked through once, however many places ask."""

    def __init__(self, session: Session, inputs: Inputs, words: str) -> None:
        self.session, self.inputs, self.words = session, inputs, words
        self.described = cache(lambda kind: find_described(session, kind, words, MOST_DESCRIBED))
        self.tagged = cache(lambda kind, tags: find_described(session, kind, words, MOST_DESCRIBED, tags))
        self.in_all = cache(lambda kind: count_described(session, kind, words))

    def followed(self, role: Role, taken: TakeOff) -> Material | None:
        """The material in the place that a place follows."""
        return self.inputs.catalogue.materials.get(taken.materials.get(role.follows, ""))

    def judge(self, role: Role, taken: TakeOff, one: Material) -> Judged:
        """How a material stands to a place."""
        return judge(role, one, self.followed(role, taken), self.inputs.system, MEASURING_STEP[self.inputs.system])

    def place(self, role: Role, taken: TakeOff) -> PlaceJudged:
        """The materials of a place's kind, those with its tag first of all where there are too many to look at."""
        known, in_all = self.described(role.kind), self.in_all(role.kind)
        if in_all > len(known) and role.needs.tags:
            meant = self.tagged(role.kind, tags_that_are(role.needs.tags[0]))
            known = tuple({one.code: one for one in (*meant, *known)}.values())
        by_fit: dict[Fit, list[Material]] = {"fits": [], "not known": [], "misfit": []}
        for one in known:
            by_fit[self.judge(role, taken, one).fit].append(one)
        return PlaceJudged({fit: tuple(found) for fit, found in by_fit.items()}, in_all)


def _fitting(
    session: Session, inputs: Inputs, estimate: Estimate, words: str
) -> tuple[dict[Kind | tuple[str, str], Options], dict[str, int], bool]:
    """For each place that needs something what fits it, with what is chosen, marked where that does not; and how many
    are left out, and whether some that fit are. Where nothing is known to fit, what may be meant is offered, marked."""
    judging = Judge(session, inputs, words)
    fitting: dict[Kind | tuple[str, str], Options] = {}
    left_out: dict[str, int] = {}
    is_part = False
    for item in estimate.items:
        taken = item.take_off
        for role in (one for one in taken.design.roles.values() if one.needs != Needs()):
            found = judging.place(role, taken)
            offered = found.by_fit["fits"] or tuple(
                one for one in found.by_fit["not known"] if may_be_meant(role, one)
            )  # fmt: skip
            if len(offered) > MOST_TO_CHOOSE:
                is_part, offered = True, _likest(offered, inputs.catalogue.materials.get(role.usual))
            mark = MARKS["fits" if found.by_fit["fits"] else "not known"]
            options = [(one.code, f"{one.name}{mark}") for one in offered]
            chosen = inputs.catalogue.materials.get(taken.materials[role.name])
            if chosen is not None and chosen not in offered and chosen.kind is role.kind:
                options.insert(0, (chosen.code, f"{chosen.name}{MARKS[judging.judge(role, taken, chosen).fit]}"))
            fitting[item.id, role.name] = tuple(options)
            left_out[f"items.{item.id}.materials.{role.name}"] = max(found.in_all - len(options), 0)
    return fitting, left_out, is_part


def _likest(fits: tuple[Material, ...], usual: Material | None) -> tuple[Material, ...]:
    """So many of those that fit as agree most with what is usual in the measures that it states."""
    stated = usual.values if usual is not None else {}
    agreeing = sorted(fits, key=lambda one: -sum(one.values.get(name) == stated[name] for name in stated))[:LIKEST]
    return tuple(one for one in fits if one in agreeing)


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
