"""What a supplier asks of an order beside carriage, and when its goods come: nothing, until somebody says."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0025"
down_revision = "0024"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("suppliers", sa.Column("terms", kept.CanonicalJson(), nullable=True))
