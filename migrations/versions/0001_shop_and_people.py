"""The shop, its people, its counters and the trail of what was done."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "shop",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("contact", sa.String(), nullable=False),
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("currency_places", sa.Integer(), nullable=False),
        sa.Column("currency_fixed", sa.Boolean(), nullable=False),
        sa.Column("length_system", sa.String(), nullable=False),
        sa.Column("time_zone", sa.String(), nullable=False),
        sa.Column("paper", sa.String(), nullable=False),
        sa.Column("is_demo", sa.Boolean(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_shop_only_one")),
        sa.CheckConstraint("length_system IN ('inch', 'metric')", name=op.f("ck_shop_length_system")),
        sa.CheckConstraint("paper IN ('A4', 'Letter')", name=op.f("ck_shop_paper")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shop")),
    )
    op.create_table(
        "users",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_key", sa.String(), nullable=False),
        sa.Column("password_hash", sa.String(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("is_demo", sa.Boolean(), nullable=False),
        sa.Column("failed_attempts", sa.Integer(), nullable=False),
        sa.Column("wait_until", kept.Instant(), nullable=True),
        sa.Column("added_at", kept.Instant(), nullable=False),
        sa.CheckConstraint("role IN ('owner')", name=op.f("ck_users_role")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_users")),
        sa.UniqueConstraint("name_key", name=op.f("uq_users_name_key")),
    )
    op.create_table(
        "sign_in_sessions",
        sa.Column("key_digest", sa.String(), nullable=False),
        sa.Column("user_id", sa.Uuid(), nullable=False),
        sa.Column("started_at", kept.Instant(), nullable=False),
        sa.Column("ends_at", kept.Instant(), nullable=False),
        sa.ForeignKeyConstraint(
            ["user_id"], ["users.id"], name=op.f("fk_sign_in_sessions_user_id_users"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("key_digest", name=op.f("pk_sign_in_sessions")),
    )
    op.create_index(op.f("ix_sign_in_sessions_user_id"), "sign_in_sessions", ["user_id"])
    op.create_index(op.f("ix_sign_in_sessions_ends_at"), "sign_in_sessions", ["ends_at"])
    op.create_table(
        "counters",
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("last", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_counters")),
    )
    op.create_table(
        "deeds",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("at", kept.Instant(), nullable=False),
        sa.Column("user_id", sa.Uuid(), nullable=True),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("subject_kind", sa.String(), nullable=False),
        sa.Column("subject_id", sa.String(), nullable=False),
        sa.Column("details", kept.CanonicalJson(), nullable=False),
        sa.ForeignKeyConstraint(["user_id"], ["users.id"], name=op.f("fk_deeds_user_id_users")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_deeds")),
    )
    op.create_index(op.f("ix_deeds_at"), "deeds", ["at"])
    op.create_index(op.f("ix_deeds_subject_id"), "deeds", ["subject_id"])
