"""The demo's customers and jobs, all invented: a pottery studio and a school workshop."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final, Literal

from webapp.costing.jobs.job import Customer
from webapp.persistence.jobs.records import JobState

STUDIO: Final = Customer(
    "Sliphollow Pottery Studio",
    "14 Wheel Yard\nQuernstead",
    "studio@sliphollow.example",
    "555 0141",
)
SCHOOL: Final = Customer(
    "Quernstead School Workshop",
    "Quernstead School, Craft Block\n2 Hill Road\nQuernstead",
    "craft@quernstead-school.example",
    "555 0172",
)


@dataclass(frozen=True, slots=True)
class DemoQuote:
    """A quote of the demo: issued so many days ago on the job's form as `was` has it then, and what became of it."""

    days_ago: int
    was: dict[str, Any] = field(default_factory=dict)
    outcome: Literal["", "accepted", "declined"] = ""
    outcome_days_ago: int = 0
    note: str = ""


@dataclass(frozen=True, slots=True)
class DemoJob:
    """A job of the demo: its form without the customer, how it stands, and how many days ago it was begun and last
    touched. `quotes` are its revisions, the oldest first."""

    name: str
    customer: Customer
    form: dict[str, Any]
    begun: int
    state: JobState = "open"
    days_ago: int = 0
    quotes: tuple[DemoQuote, ...] = ()


#: The job whose materials are half bought.
BOUGHT_FOR: Final = "school_trestles"

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
        begun=24,
        days_ago=9,
        quotes=(DemoQuote(16, outcome="accepted", outcome_days_ago=9, note="Signed at the school, deposit paid."),),
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
        begun=12,
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
                    "choices": {"base": "wheeled_base"},
                },
            ],
            "delivery": {"distance": "24 km", "travel": "40 min", "people": "2"},
        },
        begun=9,
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
        begun=7,
    ),
    DemoJob(
        "studio_ware",
        STUDIO,
        {
            "job": "Ware carts and a drying rack for the wheel room",
            "site": "Wheel room, first floor",
            "novelty": "known",
            "items": [
                {"id": "carts", "design": "ware_cart", "quantity": "2", "label": "Carts to the kiln"},
                {"id": "rack", "design": "drying_rack", "quantity": "1", "label": "Drying rack"},
            ],
            "delivery": {"distance": "12 km", "travel": "30 min", "people": "2"},
        },
        begun=6,
        days_ago=1,
        quotes=(
            DemoQuote(5, was={"items": [{"id": "carts", "design": "ware_cart", "label": "Carts to the kiln"}]}),
            DemoQuote(1),
        ),
    ),
)  # fmt: skip
