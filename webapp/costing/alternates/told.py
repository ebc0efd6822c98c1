"""What is otherwise in another way, in words: what it goes without, how many, sizes and answers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction

from webapp.costing.designs.formulas import name_words
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.items.requirements import ItemTaken
from webapp.costing.jobs.job import Job
from webapp.costing.measures.written import figure_text


def in_place_of(now: str, was: str) -> str:
    """What is now beside what was: 700 mm in place of 750 mm."""
    return f"{now} in place of {was}"


def items_beside(own: Estimate, other: Estimate) -> Iterator[tuple[str, ItemTaken, ItemTaken]]:
    """Each item that is in both, as it is in each, behind what a sentence about it begins with: its name, where there
    are several."""
    there = {item.id: item for item in other.items}
    for item in own.items:
        if item.id in there:
            yield f"{item.label}: " if len(own.items) > 1 else "", item, there[item.id]


def with_and_without(own: tuple[Estimate, Job], other: tuple[Estimate, Job]) -> Iterator[str]:
    """Which items, which added lines and whether work on site the other way goes without, or has besides; and of which
    lines there are more or fewer."""
    (was, job), (now, theirs) = own, other
    labels = {one.id: one.label for one in (*now.items, *was.items)}
    # By the forms: what can't be worked out in one of them is none that it goes without.
    before, after = (
        {one.id: labels.get(one.id, one.label or one.design) for one in form.items if one.quantity}
        | {one.id: one.says for one in form.lines}
        for form in (job, theirs)
    )
    yield from (f"without “{called}”" for key, called in before.items() if key not in after)
    yield from (f"with “{called}” as well" for key, called in after.items() if key not in before)
    counts = {one.id: one.quantity for one in job.lines}
    for line in theirs.lines:
        if counts.get(line.id, line.quantity) != line.quantity:
            yield f"{line.says}: {in_place_of(figure_text(line.quantity, 2), figure_text(counts[line.id], 2))}"
    if job.install != theirs.install:
        yield "set up and installed on site" if theirs.install else "not set up or installed on site"


def otherwise_told(
    was: ItemTaken, now: ItemTaken, length_was: Callable[[int], str], length_now: Callable[[int], str]
) -> Iterator[str]:
    """How many, which sizes and which answers are otherwise; the lengths of each side are worded by its own rule."""
    if was.quantity.value != now.quantity.value:
        yield in_place_of(figure_text(now.quantity.value, 0), f"{figure_text(was.quantity.value, 0)} of them")
    design = now.take_off.design

    def size(value: Fraction, unit: str, length: Callable[[int], str]) -> str:
        return length(int(value)) if unit == "nm" else figure_text(value, 0)

    for name, figure in now.take_off.sizes.items():
        before = was.take_off.sizes.get(name)
        if before is not None and before.value != figure.value:
            words = size(figure.value, figure.unit, length_now), size(before.value, before.unit, length_was)
            yield f"{design.sizes[name].says} {in_place_of(*words)}"
    for name, answer in now.take_off.choices.items():
        earlier = was.take_off.choices.get(name, answer)
        if earlier != answer and name in design.choices:
            yield f"{design.choices[name].says}: {in_place_of(name_words(answer), name_words(earlier))}"
