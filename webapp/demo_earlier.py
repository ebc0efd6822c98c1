"""The demo's sheet of jobs from before, all invented: benches, carts and racks that the invented shop sold."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Final
from uuid import UUID

from sqlalchemy.orm import Session

from webapp.costing.earlier_jobs.earlier_job import EarlierJob
from webapp.persistence.earlier_jobs.records import EarlierSheet, bring_along

_SHEET_ID: Final = UUID("4f3b8f0e-2a5d-4b0c-9d57-6c0f7a1e93b2")
#: How many days ago, what, its size, for whom, what was taken without tax, in how many hours, what it cost the shop.
_BOOK: Final = (
    (1_240, "Glaze bench with shelf", "1800 x 700 mm", "Tern Row Potters", "1180", "17", "905"),
    (1_105, "Bench cabinet, four drawers", "1000 x 600 mm", "Tern Row Potters", "1450", "24.5", "1160"),
    (1_010, "Drying rack", "1500 x 500 mm", "Sliphollow Pottery Studio", "690", "9", "540"),
    (935, "Trestles, pair", "900 x 750 mm", "Quernstead School Workshop", "240", "4", "180"),
    (860, "Ware cart", "900 x 600 mm", "Sliphollow Pottery Studio", "820", "11.5", "655"),
    (790, "Workbench with vise", "2000 x 800 mm", "Quernstead School Workshop", "1620", "26", "1290"),
    (640, "Bench cabinet with door", "1200 x 600 mm", "Old Lime Works", "1530", "25", "1205"),
    (520, "Wall storage for tools", "2400 x 1200 mm", "Quernstead School Workshop", "980", "13", "760"),
    (410, "Drying rack, tall", "1800 x 600 mm", "Tern Row Potters", "860", "11", "700"),
    (330, "Sheet rack", "2500 x 900 mm", "Old Lime Works", "740", "9.5", ""),
    (250, "Assembly table", "2000 x 1000 mm", "Old Lime Works", "1890", "28", "1480"),
    (170, "Ware cart, small", "700 x 500 mm", "Tern Row Potters", "690", "10", "560"),
)  # fmt: skip


def keep_demo_earlier_jobs(session: Session, today: date, now: datetime) -> None:
    """Bring the sheet along, as if somebody had pointed at its columns."""
    jobs = [
        EarlierJob(
            name, whom, today - timedelta(days=ago), "day", Decimal(price), False, Fraction(hours) * 60,
            Decimal(cost) if cost else None, size=size,
        )
        for ago, name, size, whom, price, hours, cost in _BOOK
    ]  # fmt: skip
    headings = ["date", "what", "size", "for", "price", "hours", "cost"]
    layout = {
        "headings": headings, "columns": ["day", "name", "size", "customer", "price", "hours", "cost"],
        "with_tax": False, "decimal": "", "days": "",
    }  # fmt: skip
    sheet = EarlierSheet(_SHEET_ID, "Order book", layout, len(jobs), now - timedelta(days=30))
    bring_along(session, sheet, jobs, "metric")
