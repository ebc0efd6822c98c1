"""What the shop does together for the items of a job: set-ups, drawing, what repeats teach.

Two items of one design are one batch, as one item of two is: however a job is written down, it is made alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from webapp.costing.hours.step_minutes import Clock, StepTime
from webapp.costing.items.requirements import ItemTaken, coats_put_on
from webapp.costing.ledger.working import Figure
from webapp.costing.settings.figures import setting_figure
from webapp.costing.settings.rates import OperationRate

#: The setting that says whether the items of a job are made together; without it each has its own set-ups.
TOGETHER: Final = "made_together"
#: The step that draws: a new kind of thing takes what the shop says for that, not what a design of the library does.
DRAWING: Final = "draw"


@dataclass(frozen=True, slots=True)
class StepAsked:
    """A step of an item before its minutes are known. `own_set_up` where the job changed its set-up: it stays apart."""

    item: ItemTaken
    rate: OperationRate
    label: str
    units: Figure
    unit: str
    changed: str
    own_set_up: bool = False


def time_together(steps: Sequence[StepAsked], clock: Clock, novelty: str) -> list[StepTime]:
    """The minutes of all steps, in the order they are asked for.

    In a new kind of job nobody knows yet how long a hand step takes, so that its mean is that of an unknown step. A
    set-up is shared by the items that need it, by their units; a hand step is learnt over all repeats of one design.
    """
    together = clock.rates.yes(TOGETHER)
    if novelty == "new":
        steps = [replace(step, rate=replace(step.rate, known=step.rate.known and not step.rate.hand)) for step in steps]
    shared: dict[str, list[StepAsked]] = {}
    for step in steps:
        if together and not step.own_set_up and step.rate.set_up_by != "item":
            shared.setdefault(step.rate.name, []).append(step)
    set_ups = {name: _SetUps(alike, clock, novelty) for name, alike in shared.items()}
    timed = []
    for step in steps:
        held = set_ups.get(step.rate.name)
        of_this = held.of(step) if held is not None and any(step is other for other in held.steps) else None
        repeats = _repeats(step, steps, clock) if together else step.item.quantity
        timed.append(
            clock.step(step.item.id, step.rate, step.label, step.units, step.unit, repeats, step.changed, of_this)
        )
    return timed


class _SetUps:
    """The set-ups of one step over the whole job, and what of them each item bears."""

    def __init__(self, steps: Sequence[StepAsked], clock: Clock, novelty: str) -> None:
        self.steps, self.clock, self.is_new = steps, clock, novelty == "new"
        self.work, rate = clock.work, steps[0].rate
        self.key = f"hours/@job/{rate.name}"
        self.units = self.work.total(f"{self.key}/units", f"{rate.label}: units of all items", steps[0].unit, [
            one.units for one in steps
        ])  # fmt: skip
        self.times = self._times(rate)

    def of(self, step: StepAsked) -> Figure | None:
        """The set-up minutes that a step of one item bears; None where they are just its own."""
        drawn_anew = self.is_new and step.rate.name == DRAWING
        if len(self.steps) == 1 and self.times.value == 1 and not drawn_anew:
            return None
        each = (
            setting_figure(self.work, self.clock.rates, "drawing_new", "min")
            if drawn_anew
            else self.work.given(
                f"{self.key}/set_up", f"{step.rate.label}: a set-up", step.rate.set_up, "min", step.rate.source
            )
        )
        return self.work.derive(
            f"hours/{step.item.id}/{step.rate.name}/set_up_share", f"{step.label}: set-ups, this item's share", "min",
            "minutes of a set-up x set-ups of the job x units of this item / units of all",
            "each * times * own / all_units", each=each, times=self.times, own=step.units, all_units=self.units,
        )  # fmt: skip

    def _times(self, rate: OperationRate) -> Figure:
        """How often it is set up: by design and size, by coat, or once; and again after so many units."""
        if rate.set_up_by == "design":
            return self._by_design(rate)
        times = self._sessions(rate) if rate.set_up_by == "coat" else self._once(rate)
        if not rate.set_up_every:
            return times
        every = self.work.given(
            f"{self.key}/every", f"{rate.label}: set up again after", rate.set_up_every, self.steps[0].unit, rate.source
        )
        return self.work.derive(
            f"{self.key}/times", f"{rate.label}: set-ups", "",
            "the larger of what the work asks for and units / units that one set-up serves, rounded up",
            "greatest(times, whole_up(units / every))", times=times, units=self.units, every=every,
        )  # fmt: skip

    def _once(self, rate: OperationRate) -> Figure:
        return self.work.given(f"{self.key}/once", f"{rate.label}: set-ups", 1, "", "once for the job's items together")

    def _sessions(self, rate: OperationRate) -> Figure:
        """Each coat of each finish is a session of its own: what is put on is left to dry before the next."""
        coats: dict[str, int] = {}
        for one in self.steps:
            named = one.item.take_off.design.operations[rate.name].of
            for material, count in coats_put_on(one.item, named).items():
                coats[material] = max(count, coats.get(material, 0))
        return self.work.given(
            f"{self.key}/coats", f"{rate.label}: sessions, one for each coat", max(1, sum(coats.values())), "",
            "the coats of each finish, those of all items put on together",
        )  # fmt: skip

    def _by_design(self, rate: OperationRate) -> Figure:
        """Another size of a design is a change of what was drawn."""
        drawn = {
            (one.item.take_off.design.code, *(figure.value for figure in one.item.take_off.sizes.values()),
             *one.item.take_off.choices.values())
            for one in self.steps
        }  # fmt: skip
        designs = len({one.item.take_off.design.code for one in self.steps})
        further = len(drawn) - designs
        if not further:
            return self.work.given(f"{self.key}/designs", f"{rate.label}: designs", designs, "", "the job's items")
        return self.work.derive(
            f"{self.key}/designs", f"{rate.label}: designs, and further sizes of them", "",
            "designs + further sizes x what one takes of the first", "designs + further * share",
            designs=self.work.given(f"{self.key}/first", f"{rate.label}: designs", designs, "", "the job's items"),
            further=self.work.given(
                f"{self.key}/further", f"{rate.label}: further sizes or choices", further, "", "the job's items"
            ),
            share=setting_figure(self.work, self.clock.rates, "another_size", "share"),
        )  # fmt: skip


def _repeats(step: StepAsked, steps: Sequence[StepAsked], clock: Clock) -> Figure:
    """How many of one design go through a step: sizes and choices may differ, the hand learns all the same."""
    code = step.item.take_off.design.code
    alike = {
        other.item.id: other.item.quantity
        for other in steps
        if other.rate.name == step.rate.name and other.item.take_off.design.code == code
    }
    if len(alike) == 1:
        return step.item.quantity
    return clock.work.total(
        f"hours/@job/{step.rate.name}/repeats/{code}", f"{step.rate.label}: repeats of one design", "",
        [*alike.values()],
    )  # fmt: skip
