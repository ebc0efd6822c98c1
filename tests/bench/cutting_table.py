"""The benchmark's one table, line by line as the figures come, and the picture of growth."""

from __future__ import annotations

from dataclasses import dataclass
from math import log10
from typing import Final


@dataclass(frozen=True)
class Line:
    """One figure beside its target; `met` None: there is no target, or it holds for the whole set and not for some."""

    what: str
    figure: str
    target: str = ""
    met: bool | None = None


_WHAT, _FIGURE, _TARGET = 72, 52, 32


def print_head() -> None:
    """The names of the columns."""
    print(f"{'':<8} {'what':<{_WHAT}} {'figure':<{_FIGURE}} {'target':<{_TARGET}} {'seconds':>8}")


def print_lines(lines: list[Line], seconds: float) -> None:
    """Lines that came out of one run; the seconds of the run stand beside the first."""
    for number, line in enumerate(lines):
        verdict = "" if line.met is None else "met" if line.met else "NOT MET"
        took = f"{seconds:>8.1f}" if number == 0 else ""
        shown = f"{verdict:<8} {line.what:<{_WHAT}} {line.figure:<{_FIGURE}} {line.target:<{_TARGET}} {took}"
        print(shown.rstrip(), flush=True)


_LEFT, _TOP, _WIDE, _HIGH = 70.0, 30.0, 520.0, 300.0
_STYLE: Final = (
    "text{font:12px sans-serif;fill:#222}.rule{stroke:#ccc;stroke-width:.6}.edge{stroke:#222;fill:none}"
    ".ours{stroke:#222;stroke-width:1.6;fill:none}.dot{fill:#222}"
)


def growth_picture(points: list[tuple[int, float]]) -> str:
    """Seconds to the first plan against pieces, both axes by powers of ten, as SVG."""
    low_x, high_x = 1, 4
    exponents = [log10(seconds) for _, seconds in points]
    low_y, high_y = int(min(exponents) // 1), int(max(exponents) // 1) + 1

    def along(exponent: float) -> float:
        return _LEFT + _WIDE * (exponent - low_x) / (high_x - low_x)

    def up(exponent: float) -> float:
        return _TOP + _HIGH * (high_y - exponent) / (high_y - low_y)

    marks = [f'<rect class="edge" x="{_LEFT}" y="{_TOP}" width="{_WIDE}" height="{_HIGH}"/>']
    for power in range(low_x, high_x + 1):
        x = along(power)
        marks.append(f'<line class="rule" x1="{x:.1f}" y1="{_TOP}" x2="{x:.1f}" y2="{_TOP + _HIGH}"/>')
        marks.append(f'<text x="{x:.1f}" y="{_TOP + _HIGH + 18}" text-anchor="middle">{10**power:,}</text>')
    for power in range(low_y, high_y + 1):
        y = up(power)
        words = f"{10.0 ** (power + 3):g} ms"
        marks.append(f'<line class="rule" x1="{_LEFT}" y1="{y:.1f}" x2="{_LEFT + _WIDE}" y2="{y:.1f}"/>')
        marks.append(f'<text x="{_LEFT - 8}" y="{y + 4:.1f}" text-anchor="end">{words}</text>')
    places = [(along(log10(pieces)), up(log10(seconds))) for pieces, seconds in points]
    marks.append(f'<polyline class="ours" points="{" ".join(f"{x:.1f},{y:.1f}" for x, y in places)}"/>')
    marks += [f'<circle class="dot" cx="{x:.1f}" cy="{y:.1f}" r="3"/>' for x, y in places]
    marks.append(
        f'<text x="{_LEFT + _WIDE / 2}" y="{_TOP + _HIGH + 40}" text-anchor="middle">pieces (powers of ten)</text>'
    )
    marks.append(f'<text x="{_LEFT}" y="{_TOP - 10}">Time to the first cut plan (powers of ten)</text>')
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 620 390" role="img" '
        f'aria-label="Time to the first cut plan against the number of pieces"><style>{_STYLE}</style>'
        f'<rect width="620" height="390" fill="#fff"/>{"".join(marks)}</svg>\n'
    )
