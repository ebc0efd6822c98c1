"""Steps of the work ticked off in the workshop, beside the job that they belong to."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "step_ticks",
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("step", sa.String(), nullable=False),
        sa.Column("ticked_at", kept.Instant(), nullable=False),
        sa.Column("ticked_by", sa.Uuid(), nullable=True),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_step_ticks_job_id_jobs"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["ticked_by"], ["users.id"], name=op.f("fk_step_ticks_ticked_by_users"), ondelete="SET NULL"
        ),
        sa.PrimaryKeyConstraint("job_id", "step", name=op.f("pk_step_ticks")),
    )
