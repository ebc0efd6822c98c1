"""Cutting questions are worked on in the background: each is a task, and the jobs that ask it are kept with it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "plan_tasks",
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("request", kept.CanonicalJson(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("holder", sa.String(), nullable=True),
        sa.Column("held_until", kept.Instant(), nullable=True),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("first_price", kept.Exact(), nullable=False),
        sa.Column("price", kept.Exact(), nullable=False),
        sa.Column("bound", kept.Exact(), nullable=False),
        sa.Column("proved", sa.Boolean(), nullable=False),
        sa.Column("steps", sa.BigInteger(), nullable=False),
        sa.Column("spent_ms", sa.Integer(), nullable=False),
        sa.Column("wanted_ms", sa.Integer(), nullable=False),
        sa.Column("stop_asked", sa.Boolean(), nullable=False),
        sa.Column("why", sa.String(), nullable=False),
        sa.Column("created_at", kept.Instant(), nullable=False),
        sa.Column("asked_at", kept.Instant(), nullable=False),
        sa.Column("progress_at", kept.Instant(), nullable=False),
        sa.CheckConstraint(
            "state IN ('waiting', 'running', 'done', 'stopped', 'failed')", name=op.f("ck_plan_tasks_state")
        ),
        sa.CheckConstraint("kind IN ('cut')", name=op.f("ck_plan_tasks_kind")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_plan_tasks")),
    )
    op.create_index(op.f("ix_plan_tasks_state"), "plan_tasks", ["state"])
    op.create_index(op.f("ix_plan_tasks_progress_at"), "plan_tasks", ["progress_at"])
    op.create_table(
        "plan_wishes",
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_plan_wishes_job_id_jobs"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["key"], ["plan_tasks.key"], name=op.f("fk_plan_wishes_key_plan_tasks"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("job_id", "key", name=op.f("pk_plan_wishes")),
    )
    op.create_index(op.f("ix_plan_wishes_key"), "plan_wishes", ["key"])
