"""The tax number of a customer, which a quote prints where one is known."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("customers", sa.Column("tax_number", sa.String(), server_default=sa.text("''"), nullable=False))
