"""A cut sheet as every drawing of it takes it, on a page, on paper or as a file."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.costing.cutting.ask.model import Trim
from webapp.pictures.saw_marks import DrawnCut, RunningOn
from webapp.pictures.sheet_plan import Offcut, PlacedPiece


@dataclass(frozen=True, slots=True)
class DrawnSheet:
    """Everything a drawing of a sheet is made from, in nm from the raw sheet's corner.

    `cuts` are its saw cuts by number; `count` sheets are cut alike.
    """

    title: str
    length: int
    width: int
    trim: Trim
    pieces: tuple[PlacedPiece, ...]
    offcuts: tuple[Offcut, ...]
    cuts: tuple[DrawnCut, ...]
    groups: tuple[RunningOn, ...]
    count: int
