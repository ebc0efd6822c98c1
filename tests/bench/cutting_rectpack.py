"""The same questions put to rectpack, a general library for packing rectangles, with each of its settings."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

import rectpack
import rectpack.guillotine
import rectpack.maxrects
import rectpack.skyline

from webapp.costing.cutting.ask.model import SheetRequest

ORDERS: Final = ("SORT_AREA", "SORT_PERI", "SORT_DIFF", "SORT_SSIDE", "SORT_LSIDE", "SORT_RATIO")
GUILLOTINE_ORDERS: Final = ("SORT_AREA", "SORT_LSIDE", "SORT_PERI")
"""With each of the eighteen guillotine rules they make the 54 settings of the comparison."""


@dataclass(frozen=True)
class Setting:
    """One rule of choosing a place and one order of the pieces."""

    room: str
    rule: str
    order: str

    @property
    def guillotine(self) -> bool:
        """Whether its sheets can be parted edge to edge."""
        return self.room == "guillotine"

    @property
    def compared(self) -> bool:
        """Whether it is one of the 54 settings."""
        return self.guillotine and self.order in GUILLOTINE_ORDERS


@dataclass(frozen=True)
class PackTask:
    """Pieces on sheets of one size, all of them free to turn or none."""

    sheet: tuple[int, int]
    pieces: tuple[tuple[int, int], ...]
    may_turn: bool


def all_settings() -> list[Setting]:
    """Every rule that the library has, by its three modules, with every order."""
    rules = (
        ("guillotine", r"Guillotine(Baf|Blsf|Bssf)\w+"),
        ("maxrects", r"MaxRects\w+"),
        ("skyline", r"Skyline(Bl|Mwf)\w*"),
    )
    return [
        Setting(room, rule, order)
        for room, pattern in rules
        for rule in sorted(vars(getattr(rectpack, room)))
        if re.fullmatch(pattern, rule)
        for order in ORDERS
    ]


def pack_task(request: SheetRequest) -> PackTask:
    """A request for one size of sheet as the library takes it: the kerf added to each piece and once to the sheet."""
    (stock,) = request.stocks
    kerf, trim = request.kerf, stock.trim
    turning = {piece.may_turn for piece in request.pieces}
    if len(turning) != 1:
        raise ValueError("The library turns all pieces or none.")
    return PackTask(
        (stock.length - trim.start - trim.end + kerf, stock.width - trim.low - trim.high + kerf),
        tuple((p.length + kerf, p.width + kerf) for p in request.pieces for _ in range(p.count)),
        turning == {True},
    )


def sheets_by_setting(task: PackTask) -> list[int]:
    """How many sheets the library needs with each of its settings, in their order."""
    return [_sheets_needed(setting, task) for setting in all_settings()]


def _sheets_needed(setting: Setting, task: PackTask) -> int:
    """With every sheet open to every piece that still comes."""
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline,
        bin_algo=rectpack.PackingBin.BBF,
        pack_algo=getattr(getattr(rectpack, setting.room), setting.rule),
        sort_algo=getattr(rectpack, setting.order),
        rotation=task.may_turn,
    )
    for along, across in task.pieces:
        packer.add_rect(along, across)
    packer.add_bin(*task.sheet, count=float("inf"))
    packer.pack()
    if sum(len(sheet) for sheet in packer) != len(task.pieces):
        raise AssertionError("The library left out a piece.")
    return len(packer)
