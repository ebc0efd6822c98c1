"""How the goods of a supplier come, and what an order that is delivered costs: until somebody says, all are fetched."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("suppliers", sa.Column("comes", sa.String(), nullable=False, server_default="fetched"))
    op.add_column("suppliers", sa.Column("carriage", kept.Money(), nullable=True))
