"""Cut plans found by their question without its prices, so that a plan is kept when only prices move."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0023"
down_revision = "0022"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("plans", sa.Column("shape", sa.String(), nullable=True))
    op.add_column("plans", sa.Column("prices", kept.CanonicalJson(), nullable=True))
    op.create_index(op.f("ix_plans_shape"), "plans", ["shape"])
