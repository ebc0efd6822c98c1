"""What the program's last edition starts from otherwise than the one that a shop follows, and why."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from webapp.costing.settings.operations import EARLIER_STEPS
from webapp.costing.settings.rates import EDITION, Rates
from webapp.costing.settings.table import SETTINGS, default_rates


@dataclass(frozen=True, slots=True)
class Renewed:
    """A setting or a step: its name, what it is called, and why it starts from another value."""

    name: str
    label: str
    is_step: bool
    because: str


def renewed_since(rates: Rates) -> tuple[Renewed, ...]:
    """What taking the last edition would change in a shop's rates; what is the shop's own stays, so it is left out."""
    given = default_rates()
    found = [
        Renewed(setting.name, setting.label, False, setting.because)
        for setting in SETTINGS
        if setting.name not in rates.own and rates[setting.name] != given[setting.name]
    ]
    reasons = {step.name: because for last, step, because in EARLIER_STEPS if rates.edition <= last}
    found += [
        Renewed(name, step.label, True, reasons.get(name, ""))
        for name, step in given.operations.items()
        if name not in rates.own and rates.operations.get(name) != step
    ]
    return tuple(found)


def with_edition_taken(rates: Rates, left_alone: Collection[str]) -> Rates:
    """The rates as they are once the last edition is taken, but for what is named in `left_alone`."""
    given, stays = default_rates(), rates.own | frozenset(left_alone)
    return replace(
        rates,
        values={**given.values, **{name: rates[name] for name in stays if name in rates.values}},
        operations={
            **rates.operations, **given.operations,
            **{name: rates.operations[name] for name in stays if name in rates.operations},
        },
        own=stays,
        edition=EDITION,
    )  # fmt: skip
