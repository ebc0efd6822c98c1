"""The cost build-up as one measured dimension line, divided to scale; what has no price leaves it open at its end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from html import escape

from webapp.pictures.marks import arrow, line, number, text, text_width, tick

SIZE = 13.5
LABEL_GAP = 12.0
EDGE = 6.0
STEP = 15.0
#: From one row of names beneath the line to the next, and the most rows before the drawing grows wider.
ROW = 37.0
MOST_ROWS = 3

#: What is said of a part that nobody has priced.
NO_PRICE = "no price"

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


def price_line(stretches: Sequence[Stretch], total_label: str, width: int = 400, missing: str = "") -> str:
    """The build-up along one lying line: wide stretches are named on it, narrow ones by leaders to rows beneath.

    Shares need not add up to one: the line is divided in their proportion. A discount is measured back from where the
    line had come to, one step lower, and what follows it goes on from there. `missing` names what has no price: the
    line does not close then. The drawing grows wider than `width` where the rows need
    it, so that no two names ever meet.
    """
    open_room = max(text_width(missing, SIZE), text_width(NO_PRICE, SIZE)) + LABEL_GAP if missing else 0.0
    drawn = float(max(width, round(text_width(total_label, SIZE) + 60 + open_room)))
    spans, led = _lay_out(stretches, drawn - open_room)
    rows = _in_rows(led, drawn)
    if rows is None:
        drawn = sum(_label_width(span.stretch) + LABEL_GAP for span in led) + 2 * EDGE + open_room
        spans, led = _lay_out(stretches, drawn - open_room)
        rows = [led]
    line_y = 74.0
    foot = line_y + STEP * max((span.level for span in spans), default=0)
    end = spans[-1].end if spans else drawn - open_room - EDGE
    end_y = line_y + STEP * (spans[-1].level if spans else 0)

    body = _overall(EDGE, end, total_label)
    body += [
        line([(EDGE, 14), (EDGE, line_y + 7)], "drawn-hatch", 0.8),
        line([(end, 14), (end, end_y + 7)], "drawn-hatch", 0.8),
    ]
    places: dict[str, tuple[float, float]] = {}
    for row, held in enumerate(rows):
        widths = [_label_width(span.stretch) + LABEL_GAP for span in held]
        centres = _spread([span.middle for span in held], widths, EDGE, drawn - EDGE)
        places |= {span.stretch.id: (centre, row * ROW) for span, centre in zip(held, centres, strict=True)}
    # All leaders are drawn first, so that the names stand over them.
    for span in (span for span in spans if span.stretch.id in places):
        (centre, lower), y = places[span.stretch.id], line_y + STEP * span.level
        bend = [(span.middle, y + 2), (span.middle, foot + 10), (centre, foot + 22), (centre, foot + lower + 24)]
        body.append(line(bend, "drawn-hatch", 0.8))
    for span in spans:
        y = line_y + STEP * span.level
        marks = [_measure((span.begin, y), (span.end, y), span.stretch), tick(span.begin, y), tick(span.end, y)]
        if span.stretch.id in places:
            centre, lower = places[span.stretch.id]
            marks += _names(centre, foot + lower + 37, span.stretch)
        else:
            marks += _names(span.middle, line_y - 26, span.stretch)
        body.append(_link(span.stretch, marks))
    if missing:
        body += _left_open(end, end_y, drawn - EDGE, missing)
    return _svg(drawn, foot + (44 + ROW * (len(rows) - 1) + 16 if led else 14), total_label, body)


def _in_rows(led: Sequence[_Span], drawn: float) -> list[list[_Span]] | None:
    """The names that stand beneath the line, in as few rows as hold them, by turns; None where too many would be."""
    for count in range(1, MOST_ROWS + 1):
        rows = [list(led[row::count]) for row in range(count)]
        if all(sum(_label_width(one.stretch) + LABEL_GAP for one in row) <= drawn - 2 * EDGE for row in rows):
            return [row for row in rows if row]
    return None


def _left_open(end: float, y: float, reach: float, missing: str) -> list[str]:
    """What has no price: the line goes on broken and does not close."""
    middle = (end + reach) / 2 + 2
    return [
        line([(end, y), (reach, y)], "drawn-open", 1.6, "6 4"),
        text(middle, y - 26, missing, SIZE, "middle", name="open-name", strong=True),
        text(middle, y - 9, NO_PRICE, SIZE, "middle", name="open-name"),
    ]


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
        text(x, y + 16, stretch.amount_text, SIZE, "middle", strong=True),
    ]


def _measure(begin: tuple[float, float], end: tuple[float, float], stretch: Stretch) -> str:
    stroke, dashes = STROKES.get(stretch.kind, (3.0, ""))
    return line([begin, end], "drawn-ink stretch-line", stroke, dashes)


def _overall(begin: float, end: float, total_label: str) -> list[str]:
    """The outermost dimension: the whole price between two arrow ends, its words in the break of the line."""
    middle, half = (begin + end) / 2, text_width(total_label, SIZE) / 2 + 6
    return [
        line([(begin, 16), (max(begin, middle - half), 16)], "drawn-line", 1),
        line([(min(end, middle + half), 16), (end, 16)], "drawn-line", 1),
        arrow(begin, 16, (-1, 0), "drawn-arrow"),
        arrow(end, 16, (1, 0), "drawn-arrow"),
        text(middle, 21, total_label, SIZE, "middle", strong=True),
    ]


def _link(stretch: Stretch, marks: Sequence[str]) -> str:
    words = escape(f"{stretch.label}: {stretch.amount_text}")
    href = escape(stretch.href)
    return (
        f'<a class="stretch stretch-{escape(stretch.kind)}" data-stretch="{escape(stretch.id)}" href="{href}">'
        f"<title>{words}</title>{''.join(marks)}</a>"
    )


def _svg(width: float, height: float, total_label: str, body: Sequence[str]) -> str:
    title = escape(f"What the price is made of. {total_label}")
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(width)} {number(height)}"'
        f' width="{number(width)}" height="{number(height)}" role="group" aria-label="{title}"'
        f' font-family="Source Sans Pro, sans-serif"><title>{title}</title>{"".join(body)}</svg>'
    )
