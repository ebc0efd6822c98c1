"""The shop's picture, what lies with a job, its mail server, and the outbox of letters with quotes."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("shop", sa.Column("logo", sa.String(), server_default=sa.text("''"), nullable=False))
    op.create_table(
        "logos",
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("kept_at", kept.Instant(), nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_logos")),
    )
    op.create_table(
        "attachments",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("wide", sa.Integer(), nullable=False),
        sa.Column("tall", sa.Integer(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("added_at", kept.Instant(), nullable=False),
        sa.Column("added_by", sa.Uuid(), nullable=True),
        sa.ForeignKeyConstraint(["added_by"], ["users.id"], name=op.f("fk_attachments_added_by_users")),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_attachments_job_id_jobs")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_attachments")),
    )
    op.create_index(op.f("ix_attachments_job_id"), "attachments", ["job_id"])
    op.create_table(
        "mail_server",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("host", sa.String(), nullable=False),
        sa.Column("port", sa.Integer(), nullable=False),
        sa.Column("security", sa.String(), nullable=False),
        sa.Column("user", sa.String(), nullable=False),
        sa.Column("sender", sa.String(), nullable=False),
        sa.Column("sender_name", sa.String(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_mail_server_only_one")),
        sa.CheckConstraint("security IN ('tls', 'starttls')", name=op.f("ck_mail_server_security")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mail_server")),
    )
    op.create_table(
        "mails",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("quote_id", sa.Uuid(), nullable=False),
        sa.Column("sent_to", sa.String(), nullable=False),
        sa.Column("subject", sa.String(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("said", sa.String(), nullable=False),
        sa.Column("begun_at", kept.Instant(), nullable=False),
        sa.Column("begun_by", sa.Uuid(), nullable=True),
        sa.CheckConstraint("state IN ('sending', 'sent', 'refused', 'unknown')", name=op.f("ck_mails_state")),
        sa.ForeignKeyConstraint(["begun_by"], ["users.id"], name=op.f("fk_mails_begun_by_users")),
        sa.ForeignKeyConstraint(["quote_id"], ["quotes.id"], name=op.f("fk_mails_quote_id_quotes")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mails")),
    )
    op.create_index(op.f("ix_mails_quote_id"), "mails", ["quote_id"])
