"""What the shop keeps by the unit: how much there is of it, and every change."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0029"
down_revision = "0028"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "stock",
        sa.Column("material_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("amount", sa.BigInteger(), nullable=False),
        sa.Column("least", sa.BigInteger(), nullable=True),
        sa.Column("place", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("amount >= 0", name=op.f("ck_stock_amount")),
        sa.CheckConstraint("least > 0", name=op.f("ck_stock_least")),
        sa.ForeignKeyConstraint(["material_id"], ["materials.id"], name=op.f("fk_stock_material_id_materials")),
        sa.PrimaryKeyConstraint("material_id", name=op.f("pk_stock")),
    )
    op.create_table(
        "stock_moves",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("material_id", sa.Integer(), nullable=False),
        sa.Column("at", kept.Instant(), nullable=False),
        sa.Column("user_id", sa.Uuid(), nullable=True),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("moved", sa.BigInteger(), nullable=False),
        sa.Column("remaining", sa.BigInteger(), nullable=False),
        sa.Column("job_number", sa.Integer(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("source", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["material_id"], ["stock.material_id"], name=op.f("fk_stock_moves_material_id_stock")),
        sa.ForeignKeyConstraint(["user_id"], ["users.id"], name=op.f("fk_stock_moves_user_id_users")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stock_moves")),
    )
    op.create_index(op.f("ix_stock_moves_material_id_source"), "stock_moves", ["material_id", "source"])
    if op.get_bind().dialect.name == "postgresql":
        op.execute(
            "CREATE TRIGGER stock_moves_stay BEFORE UPDATE OR DELETE ON stock_moves "
            "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
        )
        return
    for happens in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER stock_moves_stay_{happens.lower()} BEFORE {happens} ON stock_moves FOR EACH ROW "
            "BEGIN SELECT RAISE(ABORT, 'rows of stock_moves are never changed'); END"
        )
