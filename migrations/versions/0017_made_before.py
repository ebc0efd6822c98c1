"""What one took for a bench that was made, beside its job; and what somebody has put away from a page."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "made_before",
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("price", kept.Money(), nullable=False),
        sa.Column("with_tax", sa.Boolean(), nullable=False),
        sa.Column("minutes", kept.Exact(), nullable=True),
        sa.Column("materials", kept.Money(), nullable=True),
        sa.Column("told_at", kept.Instant(), nullable=False),
        sa.Column("told_by", sa.Uuid(), nullable=True),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_made_before_job_id_jobs"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["told_by"], ["users.id"], name=op.f("fk_made_before_told_by_users"), ondelete="SET NULL"
        ),
        sa.PrimaryKeyConstraint("job_id", name=op.f("pk_made_before")),
    )
    op.create_index(op.f("ix_made_before_told_at"), "made_before", ["told_at"])
    op.create_table(
        "put_away",
        sa.Column("user_id", sa.Uuid(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("put_away_at", kept.Instant(), nullable=False),
        sa.ForeignKeyConstraint(["user_id"], ["users.id"], name=op.f("fk_put_away_user_id_users"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("user_id", "what", name=op.f("pk_put_away")),
    )
