"""The contingency by the range of a job: what four jobs in five stay within, less what is charged."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from webapp.costing.cost_range.question import RangeQuestion
from webapp.costing.cost_range.range import simulate
from webapp.costing.errors import Problem
from webapp.costing.job_price.lines import CostedLine
from webapp.costing.job_price.pricer import Pricer
from webapp.costing.ledger.working import Figure, Working
from webapp.costing.measures.written import figure_text

#: The answer of the setting `contingency_from` that asks for it.
BY_RANGE: Final = 1


def contingency_by_range(
    question: RangeQuestion, lines: Sequence[CostedLine], pricer: Pricer, working: Working, problems: list[Problem]
) -> Figure | None:
    """The share of the direct cost that is kept for what comes otherwise; None where nothing costs anything.

    Above the shop's limit it is charged all the same, and asked about: that a job is so unsure is worth a thought.
    """
    direct = working.total("price/direct", "Direct cost of the job", "money", [line.direct for line in lines])
    if not direct.value:
        return None
    drawn = simulate(question)
    p80 = drawn.cost.p80
    kept = working.drawn(
        p80.id, p80.label, p80.value, p80.unit, p80.words, p80.source,
        **{name: working.given(figure.id, figure.label, figure.value, figure.unit, figure.source)
           for name, figure_id in p80.inputs if (figure := drawn.figures[figure_id])},
    )  # fmt: skip
    known = any(line.bears_contingency is not line.direct for line in lines)
    bears = direct
    if known:
        own = [line.bears_contingency for line in lines]
        bears = working.total("price/bears", "Direct cost that bears contingency", "money", own)
    if not bears.value:
        return None
    words = "what bears it" if known else "direct cost"
    share = working.derive(
        "risk/contingency", "Contingency by the range, share of the direct cost", "share",
        f"(what four jobs in five stay within - direct cost) / {words}, at least the shop's least",
        "greatest((p80 - direct) / bears, least)",
        p80=kept, direct=direct, bears=bears, least=pricer.setting("contingency_least"),
    )  # fmt: skip
    asked = pricer.setting("contingency_asked")
    if share.value > asked.value:
        problems.append(
            Problem(
                "settings.contingency_from",
                f"By its range the job asks for a contingency of {figure_text(share.value * 100, 0)} % of the direct "
                f"cost, over {figure_text(asked.value * 100, 2)} %: see what moves it most before it is quoted.",
                "warning",
            )
        )
    return share
