"""Jobs from before this program, by the sheets that they came in with."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0028"
down_revision = "0027"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "earlier_sheets",
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("layout", kept.CanonicalJson(), nullable=False),
        sa.Column("jobs", sa.Integer(), nullable=False),
        sa.Column("brought_at", kept.Instant(), nullable=False),
        sa.Column("brought_by", sa.Uuid(), nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(["brought_by"], ["users.id"], name=op.f("fk_earlier_sheets_brought_by_users")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_earlier_sheets")),
    )
    op.create_table(
        "earlier_jobs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sheet_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("size", sa.String(), nullable=False),
        sa.Column("customer", sa.String(), nullable=False),
        sa.Column("day", sa.Date(), nullable=True),
        sa.Column("told", sa.String(), nullable=False),
        sa.Column("price", kept.Money(), nullable=False),
        sa.Column("with_tax", sa.Boolean(), nullable=False),
        sa.Column("minutes", kept.Exact(), nullable=True),
        sa.Column("cost", kept.Money(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("search", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["sheet_id"], ["earlier_sheets.id"], name=op.f("fk_earlier_jobs_sheet_id_earlier_sheets")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_earlier_jobs")),
    )
    op.create_index(op.f("ix_earlier_jobs_sheet_id"), "earlier_jobs", ["sheet_id"])
    op.create_index(op.f("ix_earlier_jobs_day"), "earlier_jobs", ["day"])
