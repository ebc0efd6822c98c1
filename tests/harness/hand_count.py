"""How a count by hand is written down: cases, and tables with a row for each part, joint or piece and a column for each
case. Parts are count x finished length x width in mm, joints are fastenings in a row x rows, weights are in kg."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


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
