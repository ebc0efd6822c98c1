"""A label for each piece on a sheet of stickers by its measure: what it is, where it goes, what is done next to it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from webapp.costing.items.requirements import ItemTaken
from webapp.costing.takeoff.model import Box
from webapp.documents.bench.next_step import next_step
from webapp.documents.bench.place_words import places_in_words
from webapp.documents.bench.work import BenchWork, ToMake
from webapp.documents.printing.paper import shortened
from webapp.documents.workshop.cut_list import MOST_LABELS
from webapp.documents.workshop.part_code import part_code
from webapp.documents.workshop.stickers import StickerLabel, StickerSheet
from webapp.pictures.qr import qr_picture

#: A label with six lines and a code wants so much room, nm.
LEAST_WIDE: Final = 62_000_000
LEAST_TALL: Final = 35_000_000
_MM: Final = 1_000_000
_INCH: Final = 25_400_000


def _inches(eighths: int) -> int:
    return eighths * _INCH // 8


#: Sheets that are sold, by their measure (common practice), with words that say it.
SHEETS: Final[Mapping[str, tuple[str, StickerSheet]]] = {
    "a4-24": ("70 × 37 mm, 24 on A4", StickerSheet("A4", 3, 8, 70 * _MM, 37 * _MM, 0, 500_000, 70 * _MM, 37 * _MM)),
    "a4-21": ("63.5 × 38.1 mm, 21 on A4", StickerSheet(
        "A4", 3, 7, 63_500_000, 38_100_000, 7_200_000, 15_150_000, 66 * _MM, 38_100_000)),
    "a4-14": ("99.1 × 38.1 mm, 14 on A4", StickerSheet(
        "A4", 2, 7, 99_100_000, 38_100_000, 4_650_000, 15_150_000, 101_600_000, 38_100_000)),
    "a4-8": ("99.1 × 67.7 mm, 8 on A4", StickerSheet(
        "A4", 2, 4, 99_100_000, 67_700_000, 4_650_000, 13_100_000, 101_600_000, 67_700_000)),
    "letter-10": ("4 × 2 in, 10 on Letter", StickerSheet(
        "Letter", 2, 5, _inches(32), _inches(16), 3_968_750, _inches(4), 106_362_500, _inches(16))),
    "letter-6": ("4 × 3 1/3 in, 6 on Letter", StickerSheet(
        "Letter", 2, 3, _inches(32), 84_666_666, 3_968_750, _inches(4), 106_362_500, 84_666_666)),
}  # fmt: skip
USUAL: Final = {"A4": "a4-24", "Letter": "letter-10"}
#: How many letters a line of a label holds, by the mm that it is wide.
LETTERS_A_MM: Final = 0.66
CODE_WIDE: Final = 17


def has_room(sheet: StickerSheet) -> bool:
    """Whether a sticker of a sheet has room for all that a label says."""
    return sheet.width >= LEAST_WIDE and sheet.height >= LEAST_TALL


def bench_labels(work: BenchWork, sheet: StickerSheet) -> tuple[StickerLabel, ...]:
    """A label for each piece in the order of the cut list; one for each kind of part where there would be too many."""
    single = sum(one.pieces for one in work.made) > MOST_LABELS
    wholes = {one.item.id: _whole(one.item) for one in work.made}
    return tuple(label for one in work.made for label in _labels(one, work, sheet, wholes[one.item.id], single))


def _labels(
    one: ToMake, work: BenchWork, sheet: StickerSheet, whole: tuple[Box, ...], single: bool
) -> Iterator[StickerLabel]:
    item, part, letters = one.item, one.part, int(sheet.width / _MM * LETTERS_A_MM)
    each, things = int(part.count.value), int(item.quantity.value)
    places = places_in_words(part.boxes, whole) if part.boxes else {}
    step = next_step(item.take_off, part)
    size = f"{one.size_words(work.system)}, {one.material}"
    job = f"Job {work.job}, {work.title}" if work.job is not None else work.title
    for piece in range(1, (1 if single else one.pieces) + 1):
        thing, number = divmod(piece - 1, each)
        place = "" if single else places.get(number + 1, "")
        # Which of several things it is for, said with what that is.
        thing_words = f" {thing + 1} of {things}" if things > 1 and not single else ""
        whose = f"{item.label}{thing_words}"
        which = f"____ of {one.pieces}" if single else f"{piece} of {one.pieces}"
        code = part_code(work.job, one.number, 0 if single else piece)
        lines = (shortened(size, 2 * letters - CODE_WIDE),
                 shortened(f"{whose}: {place}" if place else whose, 2 * letters - CODE_WIDE),
                 shortened(f"Next: {step}", 2 * letters) if step else "",
                 shortened(job, letters) if job != item.label else "")  # fmt: skip
        yield StickerLabel(
            f"{code}   {which}", shortened(f"{one.number} {part.says}", letters // 2),
            tuple(line for line in lines if line), qr_picture(code, f"The code {code}"),
        )  # fmt: skip


def _whole(item: ItemTaken) -> tuple[Box, ...]:
    return tuple(box for part in item.take_off.parts for box in part.boxes)
