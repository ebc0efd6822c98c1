"""The receipts as a table that leaves the house: what was paid to whom, and the tax in it."""

from __future__ import annotations

from fastapi.responses import Response

from webapp.costing.tables.given import Cell, Given
from webapp.pages.web.dependencies import ShopHere, StoreSession
from webapp.pages.web.given import Form, every_entry, table_answer
from webapp.pages.web.routing import PageRouter
from webapp.persistence.foundation.lists import one_line
from webapp.persistence.receipts.records import StoredReceipt, stored_receipts

router = PageRouter()


@router.get("/receipts.{form}")
def send_receipts(session: StoreSession, shop: ShopHere, form: Form) -> Response:
    """All receipts, the newest day first."""
    total, tax = (f"{word}, {shop.currency}" for word in ("Total", "Tax on it"))
    headings = ("Receipt", "Paid to", "Day", total, tax, "For jobs", "Note")
    rows = (_cells(one) for one in every_entry(lambda number, size: stored_receipts(session, number, size)))
    return table_answer(Given("Receipts", headings, rows), form, "receipts")


def _cells(stored: StoredReceipt) -> tuple[Cell, ...]:
    receipt = stored.receipt
    return (
        stored.number, receipt.supplier, receipt.day, receipt.total, receipt.tax,
        ", ".join(map(str, sorted(receipt.jobs))), one_line(receipt.note),
    )  # fmt: skip
