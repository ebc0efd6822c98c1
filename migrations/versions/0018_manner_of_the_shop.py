"""How the shop writes numbers, days and the words of its trade, and what its tax is called and numbered."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None

#: A shop that was there before writes as it did.
USUAL = {
    "decimal_sign": ".", "thousands_sign": ",", "day_order": "day month year", "trade_words": "British",
    "tax_name": "", "tax_number": "",
}  # fmt: skip


def upgrade() -> None:
    for name, usual in USUAL.items():
        op.add_column("shop", sa.Column(name, sa.String(), server_default=sa.text(f"'{usual}'"), nullable=False))
