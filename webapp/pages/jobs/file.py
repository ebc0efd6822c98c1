"""A job as a file for the command line: its form with the designs it uses and what the shop has of its own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import Request
from fastapi.responses import Response

from webapp.costing.estimate.snapshot import Inputs
from webapp.costing.measures.written import write_quantity
from webapp.costing.settings.rates import OperationRate, Rates
from webapp.costing.settings.table import SETTINGS_BY_NAME
from webapp.costing.settings.typed import write_setting
from webapp.design_text import write_text
from webapp.pages.sheet.page import work_out
from webapp.pages.web.answers import file_answer
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.roles import sees_money, shown_to
from webapp.pages.web.routing import PageRouter
from webapp.persistence.jobs.records import load_job_by_number
from webapp.persistence.people.users import User
from webapp.persistence.settings.rates import own_rates
from webapp.persistence.settings.shop import Shop
from webapp.running import running

router = PageRouter()


@router.get("/jobs/{number:int}/job.yaml")
def send_file(request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, number: int) -> Response:
    """The job as a file for the command line, with its designs and the shop's own rates."""
    job = load_job_by_number(session, number)
    worked = work_out(session, job.document, shop, shop.today(running(request).now()), job)
    return file_answer(job_file_text(worked.inputs, shop, user), "application/yaml", f"job-{number}.yaml")


def job_file_text(inputs: Inputs, shop: Shop, user: User) -> str:
    """The file as far as `user` may see it; materials and prices are looked up where the command line finds them."""
    document: dict[str, Any] = shown_to(user, inputs.job)
    document["shop"] = {
        "units": shop.length_system, "currency": shop.currency, "decimals": str(shop.currency_places),
    }  # fmt: skip
    # What a list of parts makes is made from it again.
    named = {item.id for item in inputs.read_job(inputs.job)[0].items if item.design}
    designs = {str(design["design"]): design for item, design in inputs.designs.items() if item in named}
    if designs:
        document["designs"] = designs
    rates = _own(inputs.rates) if sees_money(user) else {}
    if rates:
        document["rates"] = rates
    return write_text(document)


def _own(rates: Rates) -> Mapping[str, Any]:
    values, operations = own_rates(rates)
    own: dict[str, Any] = {}
    if values:
        own["settings"] = {
            name: write_setting(SETTINGS_BY_NAME[name], value, "metric") for name, value in values.items()
        }
    if operations:
        own["operations"] = {name: _operation(step) for name, step in operations.items()}
    return own


def _operation(step: OperationRate) -> dict[str, str]:
    minutes = {key: getattr(step, key) for key in ("set_up", "low", "likely", "high")}
    return {
        "label": step.label,
        **{key: write_quantity(value, "duration", "metric") for key, value in minutes.items()},
        "people": str(step.people),
        "by": step.by,
        "machine": step.machine,
        **{key: "yes" if getattr(step, key) else "no" for key in ("hand", "known", "on_site")},
    }
