"""Files of prices that were taken, so that one can be undone as a whole; and how each supplier's files are laid out."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "price_imports",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("supplier_id", sa.Integer(), nullable=True),
        sa.Column("file", sa.String(), nullable=False),
        sa.Column("reckoned", sa.Boolean(), nullable=False),
        sa.Column("lines", sa.Integer(), nullable=False),
        sa.Column("prices", sa.Integer(), nullable=False),
        sa.Column("kept_at", kept.Instant(), nullable=False),
        sa.Column("kept_by", sa.Uuid(), nullable=True),
        sa.Column("undone_at", kept.Instant(), nullable=True),
        sa.ForeignKeyConstraint(
            ["kept_by"], ["users.id"], name=op.f("fk_price_imports_kept_by_users"), ondelete="SET NULL"
        ),
        sa.ForeignKeyConstraint(
            ["supplier_id"], ["suppliers.id"], name=op.f("fk_price_imports_supplier_id_suppliers")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_price_imports")),
    )
    op.create_index(op.f("ix_price_imports_kept_at"), "price_imports", ["kept_at"])
    op.create_table(
        "learned_codes",
        sa.Column("import_id", sa.Uuid(), nullable=False),
        sa.Column("offer_id", sa.Uuid(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["import_id"], ["price_imports.id"], name=op.f("fk_learned_codes_import_id_price_imports")
        ),
        sa.ForeignKeyConstraint(["offer_id"], ["offers.id"], name=op.f("fk_learned_codes_offer_id_offers")),
        sa.PrimaryKeyConstraint("import_id", "offer_id", name=op.f("pk_learned_codes")),
    )
    op.create_table(
        "price_layouts",
        sa.Column("supplier_id", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("headings", sa.String(), nullable=False),
        sa.Column("layout", kept.CanonicalJson(), nullable=False),
        sa.Column("told_at", kept.Instant(), nullable=False),
        sa.ForeignKeyConstraint(
            ["supplier_id"], ["suppliers.id"], name=op.f("fk_price_layouts_supplier_id_suppliers")
        ),
        sa.PrimaryKeyConstraint("supplier_id", "digest", name=op.f("pk_price_layouts")),
    )
    op.add_column("price_observations", sa.Column("import_id", sa.Uuid(), nullable=True))
    op.create_index(op.f("ix_price_observations_import_id"), "price_observations", ["import_id"])
