"""A bench drawn: its four views by number of pieces, and the starters, beside the fixed yardstick loop.

Run as `python -m tests.bench.drawing_bench` on an otherwise idle machine.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from time import perf_counter
from typing import Final

from tests.bench.yardstick import milliseconds, yardstick_seconds
from webapp.benches import draw_at_head, shown_sizes
from webapp.costing.design_form.reader import read_design
from webapp.costing.items.expand import expand
from webapp.costing.ledger.working import Working
from webapp.costing.measures.written import STEP_NM
from webapp.costing.settings.table import default_rates
from webapp.costing.takeoff.model import Box, TakeOff
from webapp.pictures.bench.hiding import find_hiding
from webapp.pictures.bench.lines import lines_in_sight
from webapp.pictures.bench.looking import ABOVE, FRONT, ISOMETRIC, RIGHT_END, look_at
from webapp.pictures.bench.page import drawn_fills, frame_of
from webapp.pictures.bench.painting import paint
from webapp.pictures.bench.picture import line_body
from webapp.pictures.bench.pieces import heap_of, piece_of
from webapp.pictures.bench.thing import Thing, thing_of
from webapp.pictures.drawings.views import draw_bench
from webapp.seed import load_catalogue, load_designs

MM: Final = 1_000_000


def crowded_bench(bays: int, levels: int) -> Thing:
    """A rack of posts, runners and boards: six pieces to a bay and level, crowded as a real one is."""
    boxes: list[Box] = []

    def put(part: str, corner: tuple[int, int, int], extent: tuple[int, int, int]) -> None:
        x, y, z = corner
        wide, deep, tall = extent
        boxes.append(Box(part, len(boxes) + 1, (x * MM, y * MM, z * MM), (wide * MM, deep * MM, tall * MM)))

    for bay in range(bays + 1):
        for y in (0, 540):
            put("post", (bay * 500, y, 0), (40, 60, levels * 220 + 100))
    for bay in range(bays):
        for level in range(levels):
            z = 120 + level * 220
            for x in (40, 480):
                put("runner", (bay * 500 + x, 0, z), (20, 600, 40))
            put("board", (bay * 500 + 45, 5, z + 40), (450, 590, 18))
            put("rail", (bay * 500 + 60, 0, z), (420, 20, 40))
            put("rail", (bay * 500 + 60, 580, z), (420, 20, 40))
    return Thing(tuple(piece_of(box) for box in boxes), {"post": 1, "runner": 2, "board": 3, "rail": 4},
                 {"post": "1 Post", "runner": "2 Runner", "board": "3 Board", "rail": "4 Rail"})  # fmt: skip


def holed_top(yardstick: float) -> None:
    """The hollow-core top drawn whole, with its field of more than a hundred holes and without."""
    catalogue, rates = load_catalogue(date.today()), default_rates()
    (document,) = [one for one in load_designs() if one["design"] == "hollow_core_top"]
    design, _ = read_design(document)
    assert design is not None

    def take() -> TakeOff:
        assert design is not None
        return expand(design, {}, {}, {}, catalogue, rates, Working(), "x", STEP_NM["metric"], "metric")

    taken = take()
    thing, bare = thing_of(taken), thing_of(replace(taken, marked=()))
    for words, what in (
        ("a bench drawn whole, without holes", lambda: draw_bench(bare, "A top", "metric")),
        (f"with {len(taken.marked) // 2} holes", lambda: draw_bench(thing, "A top", "metric")),
        ("with holes, parts to be pointed at", lambda: draw_bench(thing, "A top", "metric", called="top")),
        ("the take-off", take),
    ):
        spent = milliseconds(what)
        said = f"hollow-core top, {len(thing.pieces)} pieces, {words}"
        print(f"{said}: {spent:.1f} ms, {spent / yardstick:.2f} yardsticks")


def main() -> None:
    """Print the tables."""
    yardstick = yardstick_seconds() * 1000
    print(f"yardstick loop: {yardstick:.0f} ms")
    print("pieces  in sight  pairs  looking  hiding  painting  lines  four looks  four views with numbers  kB")
    for bays, levels in ((2, 2), (3, 7), (5, 15), (6, 20)):
        thing = crowded_bench(bays, levels)
        heap = heap_of(thing.pieces)
        seen = look_at(heap, ISOMETRIC["front right"])
        hiding = find_hiding(seen)

        def four(thing: Thing = thing) -> None:
            for look in (ISOMETRIC["front right"], FRONT, RIGHT_END, ABOVE):
                seen = look_at(heap_of(thing.pieces), look)
                hiding = find_hiding(seen)
                frame = frame_of(seen, 0.2)
                drawn_fills(paint(seen, hiding), frame)
                line_body(lines_in_sight(seen, hiding), frame)

        drawn = draw_bench(thing, "A rack", "metric")
        kilobytes = len(drawn.picture) / 1000
        print(
            f"{len(thing.pieces):6}  {int((~hiding.gone).sum()):8}  {len(hiding.near):5}"
            f"  {milliseconds(lambda h=heap: look_at(h, ISOMETRIC['front right'])):7.1f}"  # type: ignore[misc]
            f"  {milliseconds(lambda s=seen: find_hiding(s)):6.1f}"  # type: ignore[misc]
            f"  {milliseconds(lambda s=seen, h=hiding: paint(s, h)):8.1f}"  # type: ignore[misc]
            f"  {milliseconds(lambda s=seen, h=hiding: lines_in_sight(s, h)):5.1f}"  # type: ignore[misc]
            f"  {milliseconds(four):10.1f}  {milliseconds(lambda t=thing: draw_bench(t, 'A rack', 'metric')):23.1f}"  # type: ignore[misc]
            f"  {kilobytes:.1f}"
        )
    catalogue, rates = load_catalogue(date.today()), default_rates()
    holed_top(yardstick)
    print("starter                 pieces  four views  at the head of a sheet  its sizes found  kB")
    for document in load_designs():
        design, _ = read_design(document)
        assert design is not None
        taken = expand(design, {}, {}, {}, catalogue, rates, Working(), "x", STEP_NM["metric"], "metric")
        thing = thing_of(taken)
        once = perf_counter()
        shown_sizes(taken, catalogue, rates, "metric")
        once = (perf_counter() - once) * 1000
        head = draw_at_head(taken, design.name, catalogue, rates, "metric")
        print(
            f"{design.code:22}  {len(thing.pieces):6}"
            f"  {milliseconds(lambda t=thing: draw_bench(t, 'A bench', 'metric')):10.1f}"  # type: ignore[misc]
            f"  {milliseconds(lambda t=taken: draw_at_head(t, 'A bench', catalogue, rates, 'metric')):22.1f}"  # type: ignore[misc]
            f"  {once:15.1f}  {len(head.svg) / 1000:.1f}"
        )


if __name__ == "__main__":
    main()
