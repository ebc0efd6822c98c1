"""Pieces of the rack that jobs hold."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0024"
down_revision = "0023"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "offcut_holds",
        sa.Column("offcut_id", sa.Uuid(), nullable=False),
        sa.Column("piece", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("quote_id", sa.Uuid(), nullable=True),
        sa.Column("held_at", kept.Instant(), nullable=False),
        sa.Column("held_by", sa.Uuid(), nullable=True),
        sa.CheckConstraint("piece >= 1", name=op.f("ck_offcut_holds_piece")),
        sa.ForeignKeyConstraint(["held_by"], ["users.id"], name=op.f("fk_offcut_holds_held_by_users")),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_offcut_holds_job_id_jobs")),
        sa.ForeignKeyConstraint(["offcut_id"], ["offcuts.id"], name=op.f("fk_offcut_holds_offcut_id_offcuts")),
        sa.ForeignKeyConstraint(["quote_id"], ["quotes.id"], name=op.f("fk_offcut_holds_quote_id_quotes")),
        sa.PrimaryKeyConstraint("offcut_id", "piece", name=op.f("pk_offcut_holds")),
    )
    op.create_index(op.f("ix_offcut_holds_job_id"), "offcut_holds", ["job_id"])
