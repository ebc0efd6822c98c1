"""What stands on the rack, and every change of it in rows that are only ever added."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "offcuts",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("material_id", sa.Integer(), nullable=False),
        sa.Column("length", sa.BigInteger(), nullable=False),
        sa.Column("width", sa.BigInteger(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("place", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("search", sa.String(), nullable=False),
        sa.Column("put_at", kept.Instant(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("count >= 0", name=op.f("ck_offcuts_count")),
        sa.ForeignKeyConstraint(["material_id"], ["materials.id"], name=op.f("fk_offcuts_material_id_materials")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_offcuts")),
    )
    op.create_index(op.f("ix_offcuts_material_id"), "offcuts", ["material_id"])
    op.create_index(op.f("ix_offcuts_put_at"), "offcuts", ["put_at"])
    op.create_table(
        "offcut_moves",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("offcut_id", sa.Uuid(), nullable=False),
        sa.Column("at", kept.Instant(), nullable=False),
        sa.Column("user_id", sa.Uuid(), nullable=True),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("moved", sa.Integer(), nullable=False),
        sa.Column("remaining", sa.Integer(), nullable=False),
        sa.Column("job_number", sa.Integer(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["offcut_id"], ["offcuts.id"], name=op.f("fk_offcut_moves_offcut_id_offcuts")),
        sa.ForeignKeyConstraint(["user_id"], ["users.id"], name=op.f("fk_offcut_moves_user_id_users")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_offcut_moves")),
    )
    op.create_index(op.f("ix_offcut_moves_offcut_id"), "offcut_moves", ["offcut_id"])
    if op.get_bind().dialect.name == "postgresql":
        op.execute(
            "CREATE TRIGGER offcut_moves_stay BEFORE UPDATE OR DELETE ON offcut_moves "
            "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
        )
        return
    for happens in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER offcut_moves_stay_{happens.lower()} BEFORE {happens} ON offcut_moves FOR EACH ROW "
            "BEGIN SELECT RAISE(ABORT, 'rows of offcut_moves are never changed'); END"
        )
