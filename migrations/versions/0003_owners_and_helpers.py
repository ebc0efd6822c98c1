"""People are owners or helpers and may be retired; missed passwords are counted by name and address."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_ROLES = "role IN ('owner', 'helper')"


def upgrade() -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.drop_constraint(op.f("ck_users_role"), "users", type_="check")
        op.create_check_constraint(op.f("ck_users_role"), "users", _ROLES)
        op.drop_column("users", "failed_attempts")
        op.drop_column("users", "wait_until")
        op.add_column("users", sa.Column("retired_at", kept.Instant(), nullable=True))
    else:
        _users_anew()
    op.add_column("sign_in_sessions", sa.Column("address", sa.String(), nullable=True))
    op.add_column("sign_in_sessions", sa.Column("browser", sa.String(), nullable=True))
    op.create_table(
        "missed_passwords",
        sa.Column("who_digest", sa.String(), nullable=False),
        sa.Column("recent", kept.CanonicalJson(), nullable=False),
        sa.Column("waits", sa.Integer(), nullable=False),
        sa.Column("wait_until", kept.Instant(), nullable=True),
        sa.Column("last_at", kept.Instant(), nullable=False),
        sa.PrimaryKeyConstraint("who_digest", name=op.f("pk_missed_passwords")),
    )
    op.create_index(op.f("ix_missed_passwords_last_at"), "missed_passwords", ["last_at"])
    op.create_index(op.f("ix_deeds_user_id"), "deeds", ["user_id"])


def _users_anew() -> None:
    """SQLite changes no check of a table that is there: the rows move into a new one. Foreign keys are off then."""
    op.create_table(
        "users_anew",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_key", sa.String(), nullable=False),
        sa.Column("password_hash", sa.String(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("is_demo", sa.Boolean(), nullable=False),
        sa.Column("added_at", kept.Instant(), nullable=False),
        sa.Column("retired_at", kept.Instant(), nullable=True),
        sa.CheckConstraint(_ROLES, name=op.f("ck_users_role")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_users")),
        sa.UniqueConstraint("name_key", name=op.f("uq_users_name_key")),
    )
    op.execute(
        "INSERT INTO users_anew (id, name, name_key, password_hash, role, is_demo, added_at) "
        "SELECT id, name, name_key, password_hash, role, is_demo, added_at FROM users"
    )
    op.drop_table("users")
    op.rename_table("users_anew", "users")
