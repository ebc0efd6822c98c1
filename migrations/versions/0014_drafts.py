"""What was typed in a form and not saved, kept for its person alone."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "drafts",
        sa.Column("id", sa.String(), nullable=False),
        sa.Column("user_id", sa.Uuid(), nullable=False),
        sa.Column("place", sa.String(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("asks", sa.String(), nullable=False),
        sa.Column("fields", kept.OrderedJson(), nullable=False),
        sa.Column("typed", kept.OrderedJson(), nullable=False),
        sa.Column("typed_at", kept.Instant(), nullable=False),
        sa.Column("saved_at", kept.Instant(), nullable=True),
        sa.ForeignKeyConstraint(["user_id"], ["users.id"], name=op.f("fk_drafts_user_id_users"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_drafts")),
    )
    op.create_index(op.f("ix_drafts_user_id_place"), "drafts", ["user_id", "place"])
    op.create_index(op.f("ix_drafts_typed_at"), "drafts", ["typed_at"])
