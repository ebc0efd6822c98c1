"""Receipts, with the jobs and lists that they name, their photographs, and the prices that follow from them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "receipts",
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("supplier", sa.String(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("total", kept.Money(), nullable=False),
        sa.Column("returns", sa.Integer(), nullable=True),
        sa.Column("document", kept.CanonicalJson(), nullable=False),
        sa.Column("made_at", kept.Instant(), nullable=False),
        sa.Column("made_by", sa.Uuid(), nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["made_by"], ["users.id"], name=op.f("fk_receipts_made_by_users")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_receipts")),
        sa.UniqueConstraint("number", name=op.f("uq_receipts_number")),
    )
    op.create_index(op.f("ix_receipts_day"), "receipts", ["day"])
    op.create_index(op.f("ix_receipts_returns"), "receipts", ["returns"])
    op.create_table(
        "receipt_jobs",
        sa.Column("receipt_id", sa.Uuid(), nullable=False),
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_receipt_jobs_job_id_jobs")),
        sa.ForeignKeyConstraint(["receipt_id"], ["receipts.id"], name=op.f("fk_receipt_jobs_receipt_id_receipts")),
        sa.PrimaryKeyConstraint("receipt_id", "job_id", name=op.f("pk_receipt_jobs")),
    )
    op.create_index(op.f("ix_receipt_jobs_job_id"), "receipt_jobs", ["job_id"])
    op.create_table(
        "receipt_list_lines",
        sa.Column("list_id", sa.Uuid(), nullable=False),
        sa.Column("line", sa.String(), nullable=False),
        sa.Column("receipt_id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(
            ["list_id"], ["buying_lists.id"], name=op.f("fk_receipt_list_lines_list_id_buying_lists")
        ),
        sa.ForeignKeyConstraint(
            ["receipt_id"], ["receipts.id"], name=op.f("fk_receipt_list_lines_receipt_id_receipts")
        ),
        sa.PrimaryKeyConstraint("list_id", "line", name=op.f("pk_receipt_list_lines")),
    )
    op.create_index(op.f("ix_receipt_list_lines_receipt_id"), "receipt_list_lines", ["receipt_id"])
    op.create_table(
        "receipt_pictures",
        sa.Column("receipt_id", sa.Uuid(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("wide", sa.Integer(), nullable=False),
        sa.Column("tall", sa.Integer(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("added_at", kept.Instant(), nullable=False),
        sa.Column("added_by", sa.Uuid(), nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(["added_by"], ["users.id"], name=op.f("fk_receipt_pictures_added_by_users")),
        sa.ForeignKeyConstraint(["receipt_id"], ["receipts.id"], name=op.f("fk_receipt_pictures_receipt_id_receipts")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_receipt_pictures")),
    )
    op.create_index(op.f("ix_receipt_pictures_receipt_id"), "receipt_pictures", ["receipt_id"])
    op.create_table(
        "receipt_prices",
        sa.Column("price_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("receipt_id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(
            ["price_id"], ["price_observations.id"], name=op.f("fk_receipt_prices_price_id_price_observations")
        ),
        sa.ForeignKeyConstraint(["receipt_id"], ["receipts.id"], name=op.f("fk_receipt_prices_receipt_id_receipts")),
        sa.PrimaryKeyConstraint("price_id", name=op.f("pk_receipt_prices")),
    )
    op.create_index(op.f("ix_receipt_prices_receipt_id"), "receipt_prices", ["receipt_id"])
