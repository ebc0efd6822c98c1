"""The code on papers, read back from its drawing by the standard's own steps."""

from __future__ import annotations

import re
from base64 import b64decode
from io import BytesIO

import pytest
from PIL import Image

from webapp.pictures.qr import EDGE, POINTS, qr_code, qr_picture

Modules = dict[tuple[int, int], bool]


def read_back(drawing: str) -> str:
    """The bytes of a code of version 1 to 3 whose codewords stand in one block; nothing of it is mended."""
    found = re.search(r'viewBox="0 0 (\d+) ', drawing)
    assert found is not None
    size = int(found[1]) - 2 * EDGE
    dark = {(int(y) - EDGE, int(x) - EDGE) for x, y in re.findall(r"M(\d+) (\d+)h1", drawing)}
    places = [*((8, x) for x in (0, 1, 2, 3, 4, 5, 7, 8)), *((y, 8) for y in (7, 5, 4, 3, 2, 1, 0))]
    told = int("".join("1" if place in dark else "0" for place in places), 2) ^ 0b101010000010010
    mask = (told >> 10) & 7
    masks = (
        lambda y, x: (y + x) % 2, lambda y, x: y % 2, lambda y, x: x % 3, lambda y, x: (y + x) % 3,
        lambda y, x: (y // 2 + x // 3) % 2, lambda y, x: y * x % 2 + y * x % 3,
        lambda y, x: (y * x % 2 + y * x % 3) % 2, lambda y, x: ((y + x) % 2 + y * x % 3) % 2,
    )  # fmt: skip
    bits, column, upwards = "", size - 1, True
    while column > 0:
        column -= column == 6
        for step in range(size):
            y = size - 1 - step if upwards else step
            for x in (column, column - 1):
                if not _is_fixed(y, x, size):
                    bits += str(int(((y, x) in dark) != (masks[mask](y, x) == 0)))
        column, upwards = column - 2, not upwards
    assert bits[:4] == "0100", "the mode for bytes"
    count = int(bits[4:12], 2)
    return bytes(int(bits[12 + 8 * place : 20 + 8 * place], 2) for place in range(count)).decode()


def _is_fixed(y: int, x: int, size: int) -> bool:
    """Whether a module belongs to the finders, the timing, the format or the alignment."""
    if (y < 9 and (x < 9 or x >= size - 8)) or (y >= size - 8 and x < 9) or 6 in (y, x):
        return True
    return size > 21 and size - 9 <= y <= size - 5 and size - 9 <= x <= size - 5


@pytest.mark.outside(source="ISO/IEC 18004, QR Code bar code symbology specification (2015), clauses 7 and 12")
@pytest.mark.parametrize("address", ["http://a/1", "http://shop.lan/lists/4"])
def test_a_code_says_its_address(address: str) -> None:
    assert read_back(qr_code(address, "List 4")) == address


def test_a_code_of_points_says_its_text() -> None:
    held = re.search(r'alt="Code &lt;7&gt;" src="data:image/png;base64,([^"]+)"', qr_picture("offcut 7", "Code <7>"))
    assert held is not None
    points = Image.open(BytesIO(b64decode(held[1]))).convert("L")
    size = points.width // POINTS
    half = POINTS // 2
    dark = [(y, x) for y in range(size) for x in range(size)
            if points.getpixel((x * POINTS + half, y * POINTS + half)) == 0]  # fmt: skip
    drawn = "".join(f"M{x} {y}h1" for y, x in dark)
    assert read_back(f'viewBox="0 0 {size} {size}"{drawn}') == "offcut 7"


def test_its_words_are_escaped() -> None:
    assert "<title>List &lt;4&gt;</title>" in qr_code("http://a/1", "List <4>")
