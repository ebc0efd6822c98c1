"""The check of each finished thing against the way to where it goes: whole, else apart; what is unsaid is not known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Final

from webapp.costing.items.requirements import ItemTaken
from webapp.costing.jobs.job import Job
from webapp.costing.jobs.way import WAY_KEYS, Way, quantity_of
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.written import System, and_words, format_length, format_quantity
from webapp.costing.settings.figures import setting_figure
from webapp.costing.settings.rates import Rates
from webapp.costing.takeoff.model import Check
from webapp.costing.trade.ways.boxes import STANDING, Box
from webapp.costing.way_in.legs import STEEP, STEEP_SOURCE, STEPS, Leg, legs_of, outcome_of
from webapp.costing.way_in.things import Carried, apart, whole

#: The name of the check that asks for the way; those of things follow it with a stroke and the thing's id.
NAME: Final = "way"
ASK: Final = (
    "How it gets in where it goes: type the clear width and height of the narrowest door, and of corridor, stair or "
    "lift what there is, under “The way there”."
)


def is_of_way(check: Check) -> bool:
    """Whether a check is one of these."""
    return check.name.partition("/")[0] == NAME


def goes_in(items: Sequence[ItemTaken], job: Job, rates: Rates, working: Working, system: System) -> Iterator[Check]:
    """How each finished thing goes in, whole or apart, with what is left; what it misses by; or what to type or try.

    Where nothing is typed of the way, that is said once, of a job that is delivered or installed.
    """
    if not items:
        return
    if not job.way:
        if job.delivery is not None or job.install:
            yield Check(NAME, "unknown", ASK)
        return
    told = _way_figures(job.way, working)
    spare = setting_figure(working, rates, "way_spare", "nm")
    for item in items:
        yield _Judge(item, job.way, spare, working, system).check(told)


def _way_figures(way: Way, working: Working) -> tuple[str, ...]:
    figures = []
    for key, value in way.measures.items():
        unit = {"length": "nm", "mass": "kg"}[quantity_of(key)]
        figures.append(working.given(f"way/{key}", WAY_KEYS[key], value, unit, "typed of the way there").id)
    for key, steep in zip(STEPS, STEEP, strict=True):
        if way.stair in ("straight", "quarter_landing") and key not in way.measures:
            figures.append(working.given(f"way/{key}", WAY_KEYS[key], steep, "nm", STEEP_SOURCE).id)
    return tuple(figures)


class _Judge:
    """Judges one item."""

    def __init__(self, item: ItemTaken, way: Way, spare: Figure, working: Working, system: System) -> None:
        self.item, self.way, self.spare, self.working, self.system = item, way, spare, working, system

    def check(self, told: tuple[str, ...]) -> Check:
        """How the item goes in; `told` are the figures of the way."""
        taken, label = self.item.take_off, self.item.label
        name = f"{NAME}/{self.item.id}"
        made_up = whole(taken)
        if made_up is None and not taken.design.loose:
            said = f"{label}: its parts stand nowhere in space, so that its size isn't known: place them in its design."
            return Check(name, "unknown", said)
        legs: Sequence[Leg] = ()
        if made_up is not None:
            legs = self.legs(made_up)
            figures = (taken.mass.id, *self.sizes(made_up.box), *told, self.spare.id)
            headed = f"{label}, {self.measured(made_up)}"
            match outcome_of(legs):
                case "goes":
                    return Check(name, "pass", f"{headed}, goes in whole: {self.how(legs)}.", figures)
                case "unknown":
                    return Check(name, "unknown", f"{headed}: {_asks(legs)}", figures)
        largest, theirs = self.worst(apart(taken))
        if largest is None:
            return Check(name, "pass", f"{label}: nothing of it has to be carried in.")
        called = f"“{largest.says}”, {self.measured(largest)}"
        if made_up is None:
            figures, begins = (self.spare.id, *told), f"{label} goes in loose"
            missed = f"{label} does not go in"
        elif _same(largest.box, made_up.box):
            said = f"{headed}, does not go in: {self.misses(legs)}, and welds or glue hold it together."
            return Check(name, "failure", said, figures)
        else:
            begins = f"{headed}, goes in apart: whole, {self.misses(legs)}; the largest that stays together"
            missed = f"{headed}, does not go in: whole, {self.misses(legs)}; apart"
        match outcome_of(theirs):
            case "goes":
                return Check(name, "pass", f"{begins}, {called}: {self.how(theirs, 'as it lies in it')}.", figures)
            case "unknown":
                return Check(name, "unknown", f"{begins.replace('goes', 'may go')}, {called}: {_asks(theirs)}", figures)
        return Check(name, "failure", f"{missed}, {called}: {self.misses(theirs)}{self.others(largest)}.", figures)

    def legs(self, carried: Carried) -> tuple[Leg, ...]:
        """How one thing that is carried fares."""
        return legs_of(self.way, carried.box, carried.mass, self.spare.value)

    def worst(self, carried: Sequence[Carried]) -> tuple[Carried | None, tuple[Leg, ...]]:
        """Of what is carried the one that fares worst: it sticks by most, is not known, or has the least left."""
        order = ("stuck", "unknown", "goes")

        def fares(one: tuple[Carried, tuple[Leg, ...]]) -> tuple[int, Fraction, Fraction]:
            most = max(leg.short_by for leg in one[1])
            return order.index(outcome_of(one[1])), -most, min(leg.left for leg in one[1])

        return min(((one, self.legs(one)) for one in carried), key=fares, default=(None, ()))

    def others(self, worst: Carried) -> str:
        """What else of it sticks, each by what: taking care of the worst alone does not get it in."""
        legs = {one: self.legs(one) for one in apart(self.item.take_off) if one != worst}
        stuck = [f"; “{one.says}”, {self.measured(one)}: {self.misses(theirs)}"
                 for one, theirs in legs.items() if outcome_of(theirs) == "stuck"]  # fmt: skip
        return "".join(stuck)

    def sizes(self, box: Box) -> Iterator[str]:
        """The figures of the box about the whole, each with what is kept free beside it."""
        label, stem = self.item.label, f"item/{self.item.id}/way"
        for name, value in (("length", box.length), ("width", box.width), ("height", box.height)):
            side = self.working.given(
                f"{stem}/{name}", f"{label}: overall {name}", value, "nm", "its parts and hardware as they stand"
            )
            yield self.working.derive(
                f"{stem}/{name}_asked", f"{label}: {name} that the way has to give", "nm",
                f"overall {name} + what is kept free", "side + spare", side=side, spare=self.spare,
            ).id  # fmt: skip

    def length(self, value: Fraction) -> str:
        """A length as the shop reads it."""
        return format_quantity(value, "length", self.system)

    def measured(self, carried: Carried) -> str:
        """The box about a thing, and its mass where it is known."""
        box = carried.box
        sizes = [format_length(int(side), self.system, with_unit=False) for side in (box.length, box.width)]
        said = f"{' × '.join(sizes)} × {self.length(box.height)}"
        if carried.mass is None:
            return said
        return f"{said}, {format_quantity(carried.mass, 'mass', self.system, 1 if carried.mass < 10 else 0)}"

    def how(self, legs: Sequence[Leg], standing: str = STANDING) -> str:
        """How it goes on each leg, and what is free beside it there."""
        said = []
        for leg in legs:
            left = f"{'' if leg.left else 'at least '}{self.length(self.spare.value + leg.left)}"
            said.append(f"{leg.where} {leg.how.replace(STANDING, standing)} with {left} to spare")
        return "; ".join(said)

    def misses(self, legs: Sequence[Leg]) -> str:
        """What it misses by, where it sticks."""
        said = [
            f"it is {format_quantity(leg.too_heavy, 'mass', self.system, 0)} too heavy for the lift"
            for leg in legs
            if leg.too_heavy
        ]
        narrow = [
            f"{leg.where.partition(' ')[2]} by {self.length(leg.short_by)}{' carried level' if leg.is_turn else ''}"
            for leg in legs
            if leg.outcome == "stuck" and not leg.too_heavy
        ]
        if narrow:
            said.append(f"it misses {' and '.join(narrow)}, {self.length(self.spare.value)} kept free")
        return " and ".join(said)


def _asks(legs: Sequence[Leg]) -> str:
    """What to type, in one sentence, and what to try."""
    missing = [f"“{WAY_KEYS[key]}”" for key in dict.fromkeys(key for leg in legs for key in leg.missing)]
    said = [f"type {and_words(missing)} under “The way there”."] if missing else []
    said += [leg.ask for leg in legs if leg.ask]
    return " ".join(said)


def _same(one: Box, other: Box) -> bool:
    return sorted((one.length, one.width, one.height)) == sorted((other.length, other.width, other.height))
