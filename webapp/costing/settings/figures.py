"""A setting of the shop as a figure of the working."""

from __future__ import annotations

from webapp.costing.ledger.working import Figure, Working
from webapp.costing.settings.rates import Rates
from webapp.costing.settings.table import SETTINGS_BY_NAME


def setting_figure(working: Working, rates: Rates, name: str, unit: str) -> Figure:
    """A setting of the shop as a figure, with where its value came from; its own mark says whose it is."""
    setting, source = SETTINGS_BY_NAME[name], rates.sources.get(name, "the shop's settings")
    marking = working.work if setting.work else working.owners
    return marking.given(f"setting/{name}", setting.label, rates[name], unit, source)
