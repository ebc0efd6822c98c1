"""What of an item is otherwise in another way, in words: how many, sizes and answers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction

from webapp.costing.designs.formulas import name_words
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.items.requirements import ItemTaken
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
