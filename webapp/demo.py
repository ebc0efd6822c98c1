"""The demo shop's stock, designs, customers and jobs, all invented, put into an empty store once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final
from uuid import UUID, uuid5

from sqlalchemy.orm import Session

from webapp.costing.catalogue import Catalogue
from webapp.costing.design.canonical import document_digest
from webapp.costing.job import Customer
from webapp.persistence.catalogue import Supplier
from webapp.persistence.catalogue_changes import add_material, add_offer, add_price, add_supplier
from webapp.persistence.customers import add_customer
from webapp.persistence.designs import save_design_version
from webapp.persistence.jobs import JobState, create_job, set_job_state
from webapp.persistence.shop import load_shop
from webapp.running import utc_now
from webapp.seed import load_catalogue, load_designs, load_suppliers

#: Ids of the demo's jobs follow from this and their names, so that a link to one works in every demo.
_JOB_IDS: Final = UUID("0c7b2f9e-52a4-5d1f-8c35-6f0d3b7a9e21")

STUDIO: Final = Customer(
    "Clay Corner Pottery Studio (invented)",
    "14 Wheel Yard\nLower Millbank",
    "studio@clay-corner.example",
    "555 0141",
)
SCHOOL: Final = Customer(
    "Fernhill School Workshop (invented)",
    "Fernhill School, Craft Block\n2 Hill Road\nUpper Millbank",
    "craft@fernhill.example",
    "555 0172",
)


@dataclass(frozen=True, slots=True)
class DemoJob:
    """A job of the demo: its form without the customer, how it stands and how many days ago it was last touched."""

    name: str
    customer: Customer
    form: dict[str, Any]
    state: JobState = "open"
    days_ago: int = 0


JOBS: Final[tuple[DemoJob, ...]] = (
    DemoJob(
        "school_trestles",
        SCHOOL,
        {
            "job": "Trestle benches for the craft room",
            "site": "Craft Block, ground floor",
            "novelty": "repeat",
            "items": [
                {"id": "benches", "design": "trestle_bench", "quantity": "4", "label": "Pupils' benches"},
                {
                    "id": "teacher", "design": "trestle_bench", "quantity": "1", "label": "Teacher's bench",
                    "sizes": {"length": "1500 mm", "height": "880 mm"}, "choices": {"rail_joint": "tenoned_rail"},
                },
            ],
            "lines": [
                {"id": "old_benches", "kind": "labour", "says": "Carry out the old benches", "minutes": "90 min"},
                {"id": "skip", "kind": "hire", "says": "Skip for the old benches, two days", "each": "95.00"},
            ],
            "delivery": {"distance": "24 km", "travel": "40 min", "people": "2"},
            "install": "yes",
            "discount": "5 %",
            "notes": "Term starts on the first Monday of the month: benches have to stand by then.",
        },
        "ordered",
        days_ago=9,
    ),
    DemoJob(
        "studio_drawers",
        STUDIO,
        {
            "job": "Drawer cabinets for the glaze room",
            "site": "Glaze room, behind the kilns",
            "novelty": "known",
            "items": [
                {
                    "id": "cabinets", "design": "bench_cabinet", "quantity": "2", "label": "Cabinets under the window",
                    "sizes": {"width": "850 mm", "drawers": "4", "tallest_thing": "90 mm"},
                    "choices": {"top": "laminate_top", "base": "feet_base"},
                    "minutes": {"fit_drawers": {"likely": "18 min", "why": "To close level with the old row"}},
                },
            ],
            "lines": [
                {
                    "id": "splash", "kind": "part", "says": "Steel splash strip along the wall", "quantity": "2",
                    "each": "31.50",
                },
            ],
            "delivery": {"distance": "12 km", "travel": "30 min", "people": "2"},
            "install": "yes",
            "not_included": ["Moving the glaze buckets out and back"],
        },
        days_ago=2,
    ),
    DemoJob(
        "school_assembly",
        SCHOOL,
        {
            "job": "Assembly table on castors",
            "site": "Craft Block, machine room",
            "novelty": "new",
            "items": [
                {
                    "id": "table", "design": "hollow_core_top", "quantity": "1", "label": "Assembly table",
                    "choices": {"base": "castor_base"},
                },
            ],
            "delivery": {"distance": "24 km", "travel": "40 min", "people": "2"},
        },
        days_ago=1,
    ),
    DemoJob(
        "studio_oak",
        STUDIO,
        {
            "job": "Show cabinet with an oak top",
            "site": "Show room",
            "novelty": "known",
            "items": [
                {
                    "id": "cabinet", "design": "bench_cabinet", "quantity": "1", "label": "Show cabinet",
                    "choices": {"top": "solid_top"}, "materials": {"top_wood": "white_oak"},
                },
            ],
            "notes": "Ask Ottermead again what the oak costs; until then the price is not whole.",
        },
    ),
)  # fmt: skip


def load_demo(session: Session, today: date | None = None) -> None:
    """Put everything but the shop and its people into an empty store; prices are as old as they say on `today`.

    Raises FormError where the seed data can't be read whole.
    """
    now = utc_now()
    today = today or load_shop(session).today(now)
    for supplier in load_suppliers():
        add_supplier(session, Supplier(supplier.code, supplier.name, supplier.note), at=now)
    _keep_catalogue(session, load_catalogue(today), now)
    for design in load_designs():
        code, name = str(design["design"]), str(design["name"])
        save_design_version(session, code, name, design, document_digest(design), at=now, note="A design to start from")
    customers = {
        STUDIO: add_customer(session, STUDIO, "Fires on Fridays: deliver before.", at=now).id,
        SCHOOL: add_customer(session, SCHOOL, "Needs the order number on every quote.", at=now).id,
    }
    for job in sorted(JOBS, key=lambda one: -one.days_ago):
        touched = now - timedelta(days=job.days_ago)
        customer = {
            "name": job.customer.name, "address": job.customer.address, "email": job.customer.email,
            "phone": job.customer.phone,
        }  # fmt: skip
        job_id = uuid5(_JOB_IDS, job.name)
        document = {"form": "1", **job.form, "customer": customer}
        create_job(session, job_id, document, at=touched, customer_id=customers[job.customer])
        set_job_state(session, job_id, job.state, at=touched)


def _keep_catalogue(session: Session, catalogue: Catalogue, now: datetime) -> None:
    for material in catalogue.materials.values():
        add_material(session, material, at=now)
    for offers in catalogue.offers.values():
        for offer in offers:
            add_offer(session, offer, at=now)
            for price in sorted(catalogue.prices.get(offer.id, ()), key=lambda seen: seen.seen_on):
                add_price(session, price, at=now)
