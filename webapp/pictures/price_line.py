"""The cost build-up as one measured dimension line, divided to scale.

Drawn twice: lying for a desk and a document, upright for a phone. The page's style sheet shows one of the two.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from html import escape

from webapp.pictures.marks import arrow, line, number, text, text_width, tick

SIZE = 15.0
LABEL_GAP = 16.0
EDGE = 10.0
STEP = 15.0

UPRIGHT_WIDTH = 340.0
UPRIGHT_ROW = 46.0

#: What is certain is a full line, what may or may not come is broken, what the shop keeps or passes on is finer.
STROKES = {"risk": (3.0, "7 4"), "profit": (2.0, ""), "tax": (1.2, ""), "discount": (1.2, "3 3")}


@dataclass(frozen=True, slots=True)
class Stretch:
    """One part of the price. `share` is its part of the total, exact; below nought for a discount.

    `kind` is one of materials, hours, machine, services, overhead, risk, profit, discount, tax; `href` leads to its
    working; `label` and `amount_text` are printed as they stand.
    """

    id: str
    label: str
    amount_text: str
    share: Fraction
    href: str
    kind: str


@dataclass(frozen=True, slots=True)
class _Span:
    """Where a stretch lies along the line; `level` goes up by one wherever the line turns back on itself."""

    stretch: Stretch
    begin: float
    end: float
    level: int

    @property
    def middle(self) -> float:
        return (self.begin + self.end) / 2


def price_line(stretches: Sequence[Stretch], total_label: str, width: int = 860, opens: str | None = "#working") -> str:
    """The build-up, lying and upright, for a page; `opens` is the place that the working of a stretch is put in.

    Shares need not add up to one: the line is divided in their proportion. A discount is measured back from where the
    line had come to, one step lower, and what follows it goes on from there.
    """
    return lying_price_line(stretches, total_label, width, opens) + upright_price_line(stretches, total_label, opens)


def lying_price_line(stretches: Sequence[Stretch], total_label: str, width: int = 860, opens: str | None = None) -> str:
    """The build-up along one lying line: wide stretches are named on it, narrow ones by leaders to a row beneath.

    The drawing grows wider than `width` where that row needs it, so that no two names ever meet.
    """
    drawn = float(max(width, round(text_width(total_label, SIZE + 2) + 80)))
    spans, led = _lay_out(stretches, drawn)
    need = sum(_label_width(span.stretch) + LABEL_GAP for span in led) + 2 * EDGE
    if need > drawn:
        drawn = need
        spans, led = _lay_out(stretches, drawn)
    line_y = 84.0
    foot = line_y + STEP * max((span.level for span in spans), default=0)
    end = spans[-1].end if spans else drawn - EDGE
    end_y = line_y + STEP * (spans[-1].level if spans else 0)

    body = _overall(EDGE, end, total_label)
    body += [
        line([(EDGE, 30), (EDGE, line_y + 8)], "drawn-hatch", 0.8),
        line([(end, 30), (end, end_y + 8)], "drawn-hatch", 0.8),
    ]
    centres = _spread(
        [span.middle for span in led], [_label_width(span.stretch) + LABEL_GAP for span in led], EDGE, drawn - EDGE
    )
    places = {span.stretch.id: centre for span, centre in zip(led, centres, strict=True)}
    for span in spans:
        y = line_y + STEP * span.level
        marks = [_measure((span.begin, y), (span.end, y), span.stretch), tick(span.begin, y), tick(span.end, y)]
        if span.stretch.id in places:
            centre, knee = places[span.stretch.id], foot + 30
            bend = [(span.middle, y + 2), (span.middle, foot + 10), (centre, knee), (centre, knee + 5)]
            marks += [line(bend, "drawn-hatch", 0.8), *_names(centre, knee + 20, span.stretch)]
        else:
            marks += _names(span.middle, line_y - 28, span.stretch)
        body.append(_link(span.stretch, marks, opens))
    return _svg("lying", drawn, foot + (74 if led else 14), total_label, body)


def upright_price_line(stretches: Sequence[Stretch], total_label: str, opens: str | None = None) -> str:
    """The build-up down one upright line, a row for each stretch, each as tall as a finger needs."""
    top, line_x, names_x = 10.0, 20.0, 74.0
    room = UPRIGHT_ROW * max(sum(1 for one in stretches if one.share != 0), 1)
    spans = _divide(stretches, top, top + room)
    rows = sorted(spans, key=lambda span: span.middle)
    centres = _spread([span.middle for span in rows], [UPRIGHT_ROW] * len(rows), top, top + room)
    body: list[str] = []
    for span, centre in zip(rows, centres, strict=True):
        x = line_x + 8 * span.level
        bend = [(x + 3, span.middle), (x + 10, span.middle), (names_x - 14, centre), (names_x - 6, centre)]
        marks = [
            f'<rect x="{number(names_x - 6)}" y="{number(centre - UPRIGHT_ROW / 2)}" fill="none" pointer-events="all"'
            f' width="{number(UPRIGHT_WIDTH - names_x + 6)}" height="{number(UPRIGHT_ROW)}"/>',
            _measure((x, span.begin), (x, span.end), span.stretch),
            tick(x, span.begin),
            tick(x, span.end),
            line(bend, "drawn-hatch", 0.8),
            text(names_x, centre + 5, span.stretch.label, SIZE, name="stretch-name"),
            text(UPRIGHT_WIDTH, centre + 5, span.stretch.amount_text, SIZE, "end", strong=True),
        ]
        body.append(_link(span.stretch, marks, opens))
    foot = top + room
    body.append(line([(names_x, foot + 6), (UPRIGHT_WIDTH, foot + 6)], "drawn-line", 1))
    body.append(text(UPRIGHT_WIDTH, foot + 28, total_label, SIZE + 1, "end", strong=True))
    return _svg("upright", UPRIGHT_WIDTH, foot + 38, total_label, body)


def _divide(stretches: Sequence[Stretch], low: float, high: float) -> list[_Span]:
    """Each stretch from where the one before it ended; the furthest point reached stands at `high`."""
    reached, furthest = Fraction(0), Fraction(0)
    for one in stretches:
        reached += one.share
        furthest = max(furthest, reached)
    if furthest == 0:
        return []
    spans: list[_Span] = []
    at, level, forward = Fraction(0), 0, True

    def place(value: Fraction) -> float:
        return low + (high - low) * float(value / furthest)

    for one in stretches:
        if one.share == 0:
            continue
        if (one.share > 0) != forward:
            level, forward = level + 1, not forward
        spans.append(_Span(one, place(at), place(at + one.share), level))
        at += one.share
    return spans


def _lay_out(stretches: Sequence[Stretch], drawn: float) -> tuple[list[_Span], list[_Span]]:
    """All spans, and those (from left to right) whose names do not fit on their own stretch of the upper line."""
    spans = _divide(stretches, EDGE, drawn - EDGE)
    led = [one for one in spans if one.level > 0 or _label_width(one.stretch) + 12 > abs(one.end - one.begin)]
    return spans, sorted(led, key=lambda span: span.middle)


def _spread(wanted: Sequence[float], widths: Sequence[float], low: float, high: float) -> list[float]:
    """Centres as near to the wanted ones (rising) as can be without any two widths meeting or leaving low..high."""
    blocks: list[tuple[list[int], float]] = []
    for index in range(len(wanted)):
        block, begin = [index], 0.0
        while True:
            offsets = [sum(widths[one] for one in block[:place]) for place in range(len(block))]
            starts = [wanted[one] - widths[one] / 2 - offset for one, offset in zip(block, offsets, strict=True)]
            whole = sum(widths[one] for one in block)
            begin = max(low, min(sum(starts) / len(starts), high - whole))
            if not blocks or blocks[-1][1] + sum(widths[one] for one in blocks[-1][0]) <= begin:
                break
            block = blocks.pop()[0] + block
        blocks.append((block, begin))
    centres: list[float] = []
    for block, begin in blocks:
        for one in block:
            centres.append(begin + widths[one] / 2)
            begin += widths[one]
    return centres


def _label_width(stretch: Stretch) -> float:
    return max(text_width(stretch.label, SIZE), text_width(stretch.amount_text, SIZE))


def _names(x: float, y: float, stretch: Stretch) -> list[str]:
    return [
        text(x, y, stretch.label, SIZE, "middle", name="stretch-name"),
        text(x, y + 18, stretch.amount_text, SIZE, "middle", strong=True),
    ]


def _measure(begin: tuple[float, float], end: tuple[float, float], stretch: Stretch) -> str:
    stroke, dashes = STROKES.get(stretch.kind, (3.0, ""))
    return line([begin, end], "drawn-ink stretch-line", stroke, dashes)


def _overall(begin: float, end: float, total_label: str) -> list[str]:
    """The outermost dimension: the whole price between two arrow ends, its words in the break of the line."""
    middle, half = (begin + end) / 2, text_width(total_label, SIZE + 2) / 2 + 8
    return [
        line([(begin, 22), (max(begin, middle - half), 22)], "drawn-line", 1),
        line([(min(end, middle + half), 22), (end, 22)], "drawn-line", 1),
        arrow(begin, 22, (-1, 0), "drawn-arrow"),
        arrow(end, 22, (1, 0), "drawn-arrow"),
        text(middle, 27, total_label, SIZE + 2, "middle", strong=True),
    ]


def _link(stretch: Stretch, marks: Sequence[str], opens: str | None) -> str:
    words = escape(f"{stretch.label}: {stretch.amount_text}")
    href = escape(stretch.href)
    asked = ""
    if opens is not None:
        asked = (
            f' hx-get="{href}" hx-target="{escape(opens)}" hx-sync="{escape(opens)}:replace"'
            ' hx-trigger="click, mouseenter delay:200ms, focus delay:200ms"'
        )
    return (
        f'<a class="stretch stretch-{escape(stretch.kind)}" data-stretch="{escape(stretch.id)}" href="{href}"{asked}>'
        f"<title>{words}</title>{''.join(marks)}</a>"
    )


def _svg(name: str, width: float, height: float, total_label: str, body: Sequence[str]) -> str:
    title = escape(f"What the price is made of. {total_label}")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{name}" viewBox="0 0 {number(width)} {number(height)}"'
        f' width="{number(width)}" height="{number(height)}" role="group" aria-label="{title}"'
        f' font-family="Source Sans Pro, sans-serif"><title>{title}</title>{"".join(body)}</svg>'
    )
