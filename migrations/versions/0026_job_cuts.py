"""Which jobs were cut, and the sheet of stickers that labels were printed on last."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0026"
down_revision = "0025"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "job_cuts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("at", kept.Instant(), nullable=False),
        sa.Column("user_id", sa.Uuid(), nullable=True),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_job_cuts_job_id_jobs")),
        sa.ForeignKeyConstraint(["user_id"], ["users.id"], name=op.f("fk_job_cuts_user_id_users")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job_cuts")),
    )
    op.create_index(op.f("ix_job_cuts_job_id"), "job_cuts", ["job_id"])
    op.create_table(
        "sticker_sheets",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("document", kept.CanonicalJson(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sticker_sheets")),
    )
