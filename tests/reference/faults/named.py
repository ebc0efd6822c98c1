"""What has to stand in one sentence for each fault of FAULTS.md: the part and the figure, as the shop prints them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal


@dataclass(frozen=True, slots=True)
class About:
    """A figure that FAULTS.md states with 'about': the words around it, with # in its place, and from what to what."""

    words: str
    least: str
    most: str

    def stands_in(self, sentence: str) -> bool:
        """Whether the words stand in a sentence with such a figure."""
        found = re.search(re.escape(self.words).replace(r"\#", r"(\d+(?:\.\d+)?)"), sentence)
        return found is not None and Fraction(self.least) <= Fraction(found[1]) <= Fraction(self.most)


@dataclass(frozen=True, slots=True)
class Named:
    """The words and figures that stand in one sentence, and how grave what it says is."""

    words: tuple[str, ...]
    about: tuple[About, ...] = ()
    severity: Literal["failure", "warning"] = "failure"

    def found_in(self, said: Iterable[tuple[str, str]]) -> bool:
        """Whether a sentence among these, each with its outcome, names the fault."""
        return any(
            outcome == self.severity
            and all(words in sentence for words in self.words)
            and all(figure.stands_in(sentence) for figure in self.about)
            for outcome, sentence in said
        )


def _named(*words: str, about: tuple[About, ...] = ()) -> Named:
    return Named(words, about)


def _cautioned(*words: str, about: tuple[About, ...] = ()) -> Named:
    return Named(words, about, "warning")


#: Of what a fault is a caution and no failure: all of n by FAULTS.md; lifting, as people may be added; a short bite,
#: as the screws hold by less; drawers filled as for a trial.
CAUTIONS: Final = frozenset({12, 22, 23, 24, 31, 40, 41, 42})

NAMED: Final[Mapping[int, Named]] = {
    1: _named("“Side” 1 and “Bottom” 1 overlap", "17.8 mm wide", "(2 such pairs in all)"),
    # 8 rails of 3 heights, in a post at either end: 4 x 3 x 2.
    2: _named("“Post” 1 and “Rail” 1 overlap", "88.9 mm wide", "(24 such pairs in all)"),
    3: _named("“Leg” 1 and “End rail under the top” 1 overlap", "50.0 mm deep", "(4 such pairs in all)"),
    4: _named("Bottom into the sides:", "“Bottom” 1 meets “Side” 1 and falls 17.8 mm short of “Side” 2"),
    5: _named("Ties onto the long rail", "“Long rail” 1 meets “Trestle tie” 1 and falls 50.0 mm short"),
    6: _named("Shelf into the stop:", "the nearest stands 20.0 mm clear of it"),
    7: _named("“Upper skin”, 2660 mm", "for one of 2500 mm", "it is 160.0 mm too long"),
    8: _named("“Front post”, 3160 mm long", "for the longest, 3048 mm, it is 112.0 mm too long"),
    # Its blank is 12 mm longer, so that the glued layers are cut to size together: 875 + 12.
    9: _named("“Top, two layers”, 2412 mm", "for one of 1525 mm x 1525 mm", "it is 887.0 mm too long"),
    10: _named("Rails up into the plywood top: -2.4 mm is left before the tip", "It comes through."),
    11: _named("Slides to the drawer sides: 0.3 mm is left before the tip"),
    12: _cautioned("Sides onto top and bottom: the screws bite 7.2 mm; at least 26.7 mm is wanted"),
    13: _named("5.0 mm are left from a hole of 20 mm to the front edge of “Upper skin”; 20.0 mm are wanted"),
    14: _named("10.0 mm are left between two holes of 20 mm in “Upper skin”; 20.0 mm are wanted"),
    15: _named("16 of 16 holes run into what meets “Upper skin” behind: “Long web” no. 2 at holes 1 to 16"),
    16: _named("Drawer slides", "10.0 mm of room at each side; 12.7 mm wanted"),
    17: _named("Drawer slides", "10.0 mm of room at the right; 12.7 mm wanted"),
    18: _named("“Drawer box back” 3 strikes “Front rail under the top” 1 by 10.0 mm when it is drawn out by 235"),
    19: _named("128.8 mm high over “Long edge rail” 1", "for things of 250.0 mm, 121.3 mm short"),
    20: _named("94.1 mm high over “Ware board” 1", "for things of 120.0 mm, 25.9 mm short"),
    21: _named("85.5 mm high over “Drawer bottom” 1", "for things of 120.0 mm, 34.5 mm short"),
    22: _cautioned("Top, glued up, 121.9 kg: a lift, or three people"),
    23: _cautioned("Ware board, the topmost, is lifted at 2187 mm; above 1750 mm"),
    24: _cautioned(
        "“Load” counts one person's minutes", "more than two", about=(About("# kg in one piece", "65", "67"),)
    ),
    25: _named(
        "Swivel castor with brake:", "rated for 60.0 kg", about=(About("one bears # kg", "68", "70"),),
    ),
    26: _named("Screws into the studs: each of 2", "20.0 kg", about=(About("carries # kg", "23", "25"),)),
    # 40 in it, and its own: some kilograms of plywood.
    27: _named("Drawer slides, pair:", "rated for 35.0 kg", about=(About("planned in it, # kg", "42", "52"),)),
    28: _named(
        "Shelf: over 764.4 mm", "1.27 mm is the most",
        about=(About("it sags # mm", "1.4", "1.6"), About("# mm over the years", "4.8", "5.2")),
    ),
    29: _named("Shelf: over 1600 mm", "2.67 mm is the most", about=(About("it sags # mm", "3.0", "3.2"),)),
    # Its end panels bear it too, so that it spans 1580 and not 1604, under all of its own weight.
    30: _named(
        "Upper skin: as a hollow core", "0.50 mm is the most", about=(About("it is # mm out of flat", "1.6", "2.3"),)
    ),
    31: _cautioned(
        "All 3 drawers two thirds out", "“Levelling foot”",
        about=(About("# N m steady it", "35", "65"), About("# N m tip it", "250", "400")),
    ),
    # The castors stand 140 apart, so that the middle is 70 from either line less what they swing.
    32: _named("40.0 kg at the edge of “Shelf” 1", "it tips over the edge of what it stands on (“Swivel castor"),
    33: _named("150.0 kg at the edge of “Top, two layers” 1", "it tips over the edge of what it stands on (“Levelling"),
    34: _named("Solid top:", "moves 8.5 mm", "“Back rail into the solid top” leave it 0.0 mm in all"),
    35: _named("it moves 9.9 mm", "“Rails up into the hardwood top” leave it 0.0 mm in all"),
    36: _named("it moves 12.7 mm", "“Brackets into the top” leave it 4.0 mm in all"),
    37: _named("Ware cart, 980 × 800", "does not go in: whole, it misses the door by 65 mm"),
    38: _named("“Upper skin with what is welded or glued to it”, 2400 × 1200", "by 68.3 mm"),
    39: _named("Bench cabinet with drawers, 1200 × 750 × 950 mm", "whole, it misses the lift by 75 mm"),
    40: _cautioned(
        "these don't go onto each other along a straight line", "“Hanging rail at the foot”", "“Wall rail at"
    ),
    41: _cautioned("Upper skin onto the long ribs:", "“Lower skin” 1 stands 0.0 mm before the heads in “Long rib” 1"),
    42: _cautioned("Bearers up into the plywood top:", "“Second tube” 1 stands 60.0 mm before the heads"),
    43: _named("Screws of “Front rail into the sides”, 4, “Back rail into the sides”, 4", "are driven by no step"),
    44: _named("Coats of “Frame, primed”, 1 coat of ", "“Frame, painted”, 2 coats of ", "are put on by no step"),
    45: _named("“Fixed castor”, 2, are fitted by no step"),
    46: _named("Holes of “Holes for pegs”, 26, are drilled by no step"),
    47: _named("Plates of “Turntable plate”, 1.9 m, are let in by no step"),
    48: _named("Corner opening: 10.0 mm are left to the nearest hole of “Peg”; 20.0 mm"),
    49: _named(
        "The opening “Grip” crosses itself: its side from 120.0 mm along and 0.0 mm across to 0.0 mm along and 35.0 mm "
        "across meets that from 120.0 mm along and 35.0 mm across to 0.0 mm along and 0.0 mm across"
    ),
}  # fmt: skip

#: Faults that nothing names yet, with the reason; whoever builds what is missing strikes them out.
NOT_YET: Final[Mapping[int, str]] = {}
