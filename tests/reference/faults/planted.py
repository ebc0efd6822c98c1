"""The table of planted faults, read from FAULTS.md: what is changed in which sound design, and what has to be named."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

TABLE = Path(__file__).with_name("FAULTS.md")


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault: the letter of what is looked over, the starter, its change, and the part and figure to be named."""

    number: int
    letter: str
    starter: str
    change: str
    part: str
    figure: str


def planted_faults() -> list[Fault]:
    """Every row of the table, in its order."""
    rows = [line.strip("| \n").split(" | ") for line in TABLE.read_text(encoding="utf-8").splitlines()]
    return [Fault(int(row[0]), row[1][0], *row[2:]) for row in rows if len(row) == 6 and row[0].isdigit()]
