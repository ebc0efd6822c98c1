"""Pieces whose ends are cut aslant as the pack says them to whoever stands at the saw, and as they are drawn."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from tests.documents.test_workshop_pack import blanks_of, listed_of, pack_of, starter
from webapp.costing.estimate.estimate import Estimate
from webapp.documents.printing.mitre_words import mitre_words, tilt_words
from webapp.documents.workshop.pack import WorkshopPack
from webapp.pictures.bench.thing import thing_of


@cache
def bench() -> tuple[Estimate, WorkshopPack]:
    return pack_of(starter("splayed_bench", 1))


def notes_of(pack: WorkshopPack) -> Mapping[str, str]:
    return {row.name: row.note for table in pack.cuts for group in table.groups for row in group.rows}


def test_the_cut_list_says_bevels_and_lengths_of_what_is_cut_aslant() -> None:
    """The bevels and lengths are those of the count by hand, tests/reference/hand_counts/splayed_bench.md."""
    notes = notes_of(bench()[1])
    assert {name.partition("/")[2]: note for name, note in notes.items() if "cut" in note} == {
        "leg": "cut both ends 8.0° on the face, 5.0° on the edge, parallel; 782.4 mm along the middle, "
               "798.2 mm from long point to long point",
        "tie": "cut both ends 5.0° on the face, 0.3° on the edge, each the other way; 527.2 mm along the middle, "
               "535.1 mm from long point to long point",
        "brace": "cut 39.6° on the face at the start, 50.4° on the face at the far end; 809.1 mm along the middle, "
                 "870.2 mm from long point to long point",
    }  # fmt: skip


def test_tilts_are_said_as_seen_from_the_front_and_from_the_side() -> None:
    """The design says 8 and 5 degrees of its legs; the brace rises by the complement of the 50.4° at its far end."""
    (item,) = bench()[0].items
    said = {part.name: tilt_words(part.sawn) for part in item.take_off.parts if part.sawn is not None}
    assert said == {
        "leg": "leans 8.0° as seen from the front and 5.0° as seen from the side", "tie": "",
        "brace": "rises 39.6° as seen from the front",
    }  # fmt: skip
    (drawn,) = [view.svg for one in bench()[1].items for view in one.details if view.name.endswith("Leg")]
    for words in (said["leg"], "766.6 mm from short point to short point", ">8.0°<", ">5.0°<", ">766.6<"):
        assert words in drawn


def test_every_blank_of_it_is_in_the_cut_list_and_everything_is_priced() -> None:
    estimate, pack = bench()
    assert listed_of(pack) == blanks_of(estimate)
    assert [problem for problem in estimate.problems if problem.severity == "failure"] == []
    assert [check.sentence for _, check in estimate.checks if check.outcome == "failure"] == []


def test_square_parts_say_nothing_of_their_cuts() -> None:
    (item,) = bench()[0].items
    assert {part.name for part in item.take_off.parts if not mitre_words(part, "metric")} == {"worktop", "bearer"}


def test_drawings_show_a_leaning_piece_by_its_own_corners() -> None:
    (item,) = bench()[0].items
    pieces = thing_of(item.take_off).pieces
    legs = [piece for piece in pieces if piece.part == "leg"]
    assert len(legs) == 4
    for leg in legs:
        # The box around it is wider than the leg by what it leans: its corners are not the box's.
        low, high = ([pick(corner[0] for corner in leg.corners) for pick in (min, max)])
        at_floor = [corner[0] for corner in leg.corners if corner[2] == 0]
        assert len(leg.corners) == 8
        assert max(at_floor) - min(at_floor) < 92 < high - low
        # Each face looks away from the middle of the piece.
        middle = [sum(corner[axis] for corner in leg.corners) / 8 for axis in range(3)]
        for face in leg.faces:
            first, second, third = (leg.corners[place] for place in face[:3])
            one = [b - a for a, b in zip(first, second, strict=True)]
            other = [b - a for a, b in zip(second, third, strict=True)]
            normal = (
                one[1] * other[2] - one[2] * other[1], one[2] * other[0] - one[0] * other[2],
                one[0] * other[1] - one[1] * other[0],
            )  # fmt: skip
            assert sum(n * (a - m) for n, a, m in zip(normal, first, middle, strict=True)) > 0
