"""The way to a customer's place: its doors, corridors, stair and lift, as far as they are known."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0032"
down_revision = "0031"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("customers", sa.Column("way", kept.CanonicalJson(), server_default=sa.text("'{}'"), nullable=False))
