"""The short code on a part's label, with a check character, so that a letter misread at the bench is noticed."""

from __future__ import annotations

from typing import Final

ALPHABET: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_MODULUS: Final = len(ALPHABET)


def check_character(text: str) -> str:
    """The check character of a text of digits and capitals by ISO/IEC 7064, MOD 37,36. Raises ValueError for others."""
    held = _MODULUS
    for letter in text:
        held = (held + ALPHABET.index(letter)) % _MODULUS or _MODULUS
        held = held * 2 % (_MODULUS + 1)
    return ALPHABET[(1 - held) % _MODULUS]


def part_code(job: int | None, number: int, piece: int) -> str:
    """The code of one piece: the job, the part's number in the cut list, the piece, the check character."""
    begin = "F" if job is None else str(job)
    said = (begin, f"{number:02d}", f"{piece:03d}")
    return f"{'-'.join(said)}-{check_character(''.join(said))}"
