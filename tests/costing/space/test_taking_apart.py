"""What screws out of reach keep together, against boxes that are told by hand."""

from __future__ import annotations

from tests.costing.space.laid import boxy
from webapp.costing.space.blocking import Blocking
from webapp.costing.space.taking_apart import Access, left_over

#: Two skins with a rib between them, as boxes in mm: below, between, above.
LOWER = boxy((0, 0, 0), (100, 100, 10))
RIB = boxy((0, 40, 10), (100, 20, 40))
UPPER = boxy((0, 0, 50), (100, 100, 10))
CORE = (LOWER, RIB, UPPER)
LOWER_PLACE, RIB_PLACE, UPPER_PLACE = range(3)


def test_heads_that_one_skin_covers_are_reached_before_it_is_put_on() -> None:
    from_below = Access(RIB_PLACE, UPPER_PLACE, frozenset((LOWER_PLACE,)))
    assert left_over(Blocking(CORE), (), [from_below]) == set()


def test_heads_of_either_skin_that_the_other_covers_are_reached_in_no_order() -> None:
    from_below = Access(RIB_PLACE, UPPER_PLACE, frozenset((LOWER_PLACE,)))
    from_above = Access(RIB_PLACE, LOWER_PLACE, frozenset((UPPER_PLACE,)))
    assert left_over(Blocking(CORE), (), [from_below, from_above]) == {LOWER_PLACE, RIB_PLACE, UPPER_PLACE}


def test_what_is_welded_to_the_first_piece_is_before_its_screws_for_ever() -> None:
    from_below = Access(RIB_PLACE, UPPER_PLACE, frozenset((LOWER_PLACE,)))
    assert left_over(Blocking(CORE), [(LOWER_PLACE, RIB_PLACE)], [from_below]) == {LOWER_PLACE, RIB_PLACE, UPPER_PLACE}
    # Screws between two pieces that are welded to each other beforehand were driven before that.
    assert left_over(Blocking(CORE), [(RIB_PLACE, UPPER_PLACE)], [from_below]) == set()


def test_pieces_that_lock_each_other_without_any_screws_are_not_laid_to_the_screws() -> None:
    # A block in a closed case of six walls: nothing of it has a way out till a wall is off, and each wall leaves.
    walls = (
        boxy((0, 0, 0), (30, 30, 5)), boxy((0, 0, 25), (30, 30, 5)), boxy((0, 0, 5), (30, 5, 20)),
        boxy((0, 25, 5), (30, 5, 20)), boxy((0, 5, 5), (5, 20, 20)), boxy((25, 5, 5), (5, 20, 20)),
    )  # fmt: skip
    block = boxy((10, 10, 10), (10, 10, 10))
    assert left_over(Blocking((*walls, block)), (), []) == set()
    # Screws through the bottom into the block, whose heads the block itself can't free: a piece below them is there.
    under = boxy((10, 10, -20), (10, 10, 10))
    access = Access(0, 6, frozenset((7,)))
    assert left_over(Blocking((*walls, block, under)), (), [access]) == set()
