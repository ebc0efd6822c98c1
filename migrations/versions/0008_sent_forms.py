"""Forms that were sent and done, so that the same one sent again does nothing twice."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "sent_forms",
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("leads_to", sa.String(), nullable=False),
        sa.Column("sent_at", kept.Instant(), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_sent_forms")),
    )
    op.create_index(op.f("ix_sent_forms_sent_at"), "sent_forms", ["sent_at"])
