"""When a cut plan was last used, so that those nobody needs may go: at first, when it was kept."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("plans", sa.Column("used_at", kept.Instant(), nullable=True))
    plans = sa.table("plans", sa.column("created_at", kept.Instant()), sa.column("used_at", kept.Instant()))
    op.execute(sa.update(plans).values(used_at=plans.c.created_at))
    with op.batch_alter_table("plans") as table:
        table.alter_column("used_at", existing_type=kept.Instant(), nullable=False)
    op.create_index(op.f("ix_plans_used_at"), "plans", ["used_at"])
