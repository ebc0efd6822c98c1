"""Papers of the hand-worked wall cabinet, and of jobs that try what it does not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from io import BytesIO

from pypdf import PdfReader

from tests import wall_cabinet_case
from webapp.costing.catalogue.materials import Catalogue
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs
from webapp.documents.quotes.frozen import Papers, write_papers
from webapp.documents.quotes.quote import Issue
from webapp.persistence.settings.shop import Shop

SHOP = Shop(
    name="Test Bench Shop",
    address="1 Sawdust Row\nSomewhere",
    contact="555 0100",
    currency="USD",
    currency_places=2,
    length_system="metric",
    time_zone="UTC",
    paper="A4",
)
ISSUE = Issue(1042, 2, date(2026, 11, 2), date(2026, 12, 2))
DRAFT = Issue(None, 0, date(2026, 11, 2), date(2026, 12, 2))

#: A job with everything a quote can hold: three items, free lines of every kind, a discount, a card, long words.
LONG_JOB: Mapping[str, object] = {
    **wall_cabinet_case.JOB,
    "job": "Glaze room and clay store: cabinets and a splash sheet for the autumn term",
    "customer": {
        "name": "Overtown Community Pottery and School Workshop, Facilities and Purchasing",
        "address": "Building C, Room 114\n12 Mill Race\nOvertown",
        "email": "facilities@overtown.example",
    },
    "items": [
        {"id": "cabinet", "design": "wall_cabinet", "quantity": "2"},
        {
            "id": "wide",
            "design": "wall_cabinet",
            "quantity": "12",
            "label": "Wide wall cabinets for the clay store, hinged so that they clear the extraction hood",
        },
        {"id": "sample", "design": "wall_cabinet", "label": "Sample cabinet"},
    ],
    "lines": [
        {"kind": "labour", "says": "Take down and carry away the old shelving", "minutes": "240"},
        {"kind": "part", "says": "Splash sheet, cut to size", "quantity": "3", "each": "42.10"},
        {"kind": "hire", "says": "Scaffold tower", "each": "85"},
    ],
    "discount": "7.5 %",
    "card": "yes",
    "not_included": ["Wiring and moving of sockets", "Painting of the wall behind the cabinets"],
}


def inputs_of(job: Mapping[str, object] = wall_cabinet_case.JOB, catalogue: Catalogue | None = None) -> Inputs:
    """The case's inputs with another job or catalogue."""
    start = wall_cabinet_case.inputs()
    items = job.get("items")
    assert isinstance(items, list)
    design = start.designs["cabinet"]
    designs = {str(item["id"]): design for item in items}
    return replace(start, job=job, designs=designs, catalogue=catalogue or start.catalogue)


def papers_of(inputs: Inputs, issue: Issue = ISSUE, shop: Shop = SHOP) -> tuple[Estimate, Papers]:
    """The estimate and both papers."""
    found = estimate_inputs(inputs)
    return found, write_papers(inputs, found, shop, issue, 7, shop.paper)


def without_prices_of(*codes: str) -> Catalogue:
    """The case's catalogue, in which nobody has seen a price of these materials."""
    whole = wall_cabinet_case.catalogue()
    gone = {offer.id for code in codes for offer in whole.offers[code]}
    return replace(whole, prices={offer: seen for offer, seen in whole.prices.items() if offer not in gone})


def text_of(pdf: bytes) -> str:
    """The words of a PDF as a reader of it gets them, with single spaces."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages).split())
