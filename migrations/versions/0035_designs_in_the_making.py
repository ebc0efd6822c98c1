"""Designs being made row by row, with every state that they went through."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0035"
down_revision = "0034"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "makings",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("user_id", sa.Uuid(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("base", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("at", sa.Integer(), nullable=False),
        sa.Column("last", sa.Integer(), nullable=False),
        sa.Column("changed_at", kept.Instant(), nullable=False),
        sa.ForeignKeyConstraint(["user_id"], ["users.id"], name=op.f("fk_makings_user_id_users"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_makings")),
    )
    op.create_index(op.f("ix_makings_user_id"), "makings", ["user_id"])
    op.create_index(op.f("ix_makings_changed_at"), "makings", ["changed_at"])
    op.create_table(
        "making_steps",
        sa.Column("making_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("said", sa.String(), nullable=False),
        sa.Column("document", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["making_id"], ["makings.id"], name=op.f("fk_making_steps_making_id_makings"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("making_id", "number", name=op.f("pk_making_steps")),
    )
