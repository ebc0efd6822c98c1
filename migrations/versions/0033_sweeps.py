"""Designs are swept in the background: each sweep is kept with how far it is and what it came to."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0033"
down_revision = "0032"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "sweeps",
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("document", kept.OrderedJson(), nullable=False),
        sa.Column("basis", sa.String(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("holder", sa.String(), nullable=True),
        sa.Column("held_until", kept.Instant(), nullable=True),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("judged", sa.Integer(), nullable=False),
        sa.Column("cases", sa.Integer(), nullable=False),
        sa.Column("done", kept.CanonicalJson(), nullable=False),
        sa.Column("result", kept.CanonicalJson(), nullable=True),
        sa.Column("stop_asked", sa.Boolean(), nullable=False),
        sa.Column("why", sa.String(), nullable=False),
        sa.Column("asked_at", kept.Instant(), nullable=False),
        sa.Column("progress_at", kept.Instant(), nullable=False),
        sa.CheckConstraint(
            "state IN ('waiting', 'running', 'done', 'stopped', 'failed')", name=op.f("ck_sweeps_state")
        ),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_sweeps")),
    )
    op.create_index(op.f("ix_sweeps_code"), "sweeps", ["code"])
    op.create_index(op.f("ix_sweeps_state"), "sweeps", ["state"])
    op.create_index(op.f("ix_sweeps_progress_at"), "sweeps", ["progress_at"])
