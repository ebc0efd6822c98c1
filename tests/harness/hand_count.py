"""How a count by hand is written down: cases, and tables with a row for each part, joint or piece and a column for each
case. Parts are count x finished length x width in mm, joints are fastenings in a row x rows, weights are in kg."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from webapp.paths import CHECKOUT


@dataclass(frozen=True)
class HandCount:
    """One design: its cases (sizes in mm or whole numbers, answers), and the tables counted by hand."""

    cases: Mapping[str, tuple[Mapping[str, int], Mapping[str, str]]]
    parts: str
    areas: str
    joints: str
    hardware: str
    holes: Mapping[str, int] = field(default_factory=dict)
    #: Parts on finished sizes and hardware; empty where they were not weighed by hand.
    masses: Mapping[str, str] = field(default_factory=dict)
    #: Joints that were counted one by one and that the design holds as one: its name, and theirs in the count.
    joined: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


_KEPT: Final = CHECKOUT / "tests" / "reference" / "hand_counts"


def counted(name: str, joined: Mapping[str, tuple[str, ...]] | None = None) -> HandCount:
    """The count of a design as it stands in hand_counts/<name>.md, each table under a heading that begins with its
    word; a row's last cells are its cases. What is left empty under 'Cases' is as usual."""
    found: dict[str, list[list[str]]] = {}
    heading = ""
    for line in (_KEPT / f"{name}.md").read_text(encoding="utf-8").splitlines():
        if line.startswith("## "):
            heading = line.split()[1].strip(":,")
        elif line.startswith("|") and not line.startswith("|---"):
            found.setdefault(heading, []).append([cell.strip() for cell in line.strip("|").split("|")])
    cases = found["Cases"][0][1:]

    def rows(table: str) -> list[list[str]]:
        return [[row[0].partition(":")[0], *row[-len(cases) :]] for row in found.get(table, [])[1:]]

    def as_text(table: str) -> str:
        """A sum counts by what it is the sum of, the last row is that of all."""
        named = [["ALL" if row[0].startswith("**") else row[0], *(cell.split(" =")[0] for cell in row[1:])]
                 for row in rows(table)]  # fmt: skip
        return "\n".join(" | ".join(row) for row in named)

    asked = {case: {row[0]: row[place] for row in rows("Cases") if row[place]} for place, case in enumerate(cases, 1)}
    return HandCount(
        cases={
            case: ({name: int(text) for name, text in each.items() if text.isdigit()},
                   {name: text for name, text in each.items() if not text.isdigit()})
            for case, each in asked.items()
        },
        parts=as_text("Parts"), areas=as_text("Sheet"), joints=as_text("Fastenings") or f"ALL{' | 0' * len(cases)}",
        hardware=as_text("Hardware"),
        holes=dict(zip(cases, map(int, rows("Holes")[-1][1:]), strict=True)) if "Holes" in found else {},
        masses={case: f"{Decimal(text):.3f}" for case, text in zip(cases, rows("Weight")[-1][1:], strict=True)},
        joined=joined or {},
    )  # fmt: skip
