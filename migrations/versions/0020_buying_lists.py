"""Lists that are bought from, what is entered at them, and prices that no longer count."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "withdrawn_prices",
        sa.Column("price_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("why", sa.String(), nullable=False),
        sa.Column("at", kept.Instant(), nullable=False),
        sa.ForeignKeyConstraint(
            ["price_id"], ["price_observations.id"], name=op.f("fk_withdrawn_prices_price_id_price_observations")
        ),
        sa.PrimaryKeyConstraint("price_id", name=op.f("pk_withdrawn_prices")),
    )
    op.create_table(
        "buying_lists",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("made_at", kept.Instant(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_buying_lists")),
        sa.UniqueConstraint("number", name=op.f("uq_buying_lists_number")),
    )
    op.create_index(op.f("ix_buying_lists_made_at"), "buying_lists", ["made_at"])
    op.create_table(
        "buying_list_jobs",
        sa.Column("list_id", sa.Uuid(), nullable=False),
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_buying_list_jobs_job_id_jobs")),
        sa.ForeignKeyConstraint(
            ["list_id"], ["buying_lists.id"], name=op.f("fk_buying_list_jobs_list_id_buying_lists")
        ),
        sa.PrimaryKeyConstraint("list_id", "job_id", name=op.f("pk_buying_list_jobs")),
    )
    op.create_index(op.f("ix_buying_list_jobs_job_id"), "buying_list_jobs", ["job_id"])
    op.create_table(
        "buying_list_makings",
        sa.Column("list_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("document", kept.CanonicalJson(), nullable=False),
        sa.Column("made_at", kept.Instant(), nullable=False),
        sa.Column("made_by", sa.Uuid(), nullable=True),
        sa.ForeignKeyConstraint(
            ["list_id"], ["buying_lists.id"], name=op.f("fk_buying_list_makings_list_id_buying_lists")
        ),
        sa.ForeignKeyConstraint(["made_by"], ["users.id"], name=op.f("fk_buying_list_makings_made_by_users")),
        sa.PrimaryKeyConstraint("list_id", "number", name=op.f("pk_buying_list_makings")),
    )
    op.create_table(
        "buying_list_entries",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("list_id", sa.Uuid(), nullable=False),
        sa.Column("line", sa.String(), nullable=False),
        sa.Column("counter", sa.Integer(), nullable=False),
        sa.Column("document", kept.CanonicalJson(), nullable=False),
        sa.Column("received_at", kept.Instant(), nullable=False),
        sa.Column("user_id", sa.Uuid(), nullable=True),
        sa.ForeignKeyConstraint(
            ["list_id"], ["buying_lists.id"], name=op.f("fk_buying_list_entries_list_id_buying_lists")
        ),
        sa.ForeignKeyConstraint(["user_id"], ["users.id"], name=op.f("fk_buying_list_entries_user_id_users")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_buying_list_entries")),
    )
    op.create_index(op.f("ix_buying_list_entries_list_id"), "buying_list_entries", ["list_id"])
    op.create_table(
        "buying_list_prices",
        sa.Column("price_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("list_id", sa.Uuid(), nullable=False),
        sa.Column("line", sa.String(), nullable=False),
        sa.Column("entry_id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["buying_list_entries.id"], name=op.f("fk_buying_list_prices_entry_id_buying_list_entries")
        ),
        sa.ForeignKeyConstraint(
            ["list_id"], ["buying_lists.id"], name=op.f("fk_buying_list_prices_list_id_buying_lists")
        ),
        sa.ForeignKeyConstraint(
            ["price_id"], ["price_observations.id"], name=op.f("fk_buying_list_prices_price_id_price_observations")
        ),
        sa.PrimaryKeyConstraint("price_id", name=op.f("pk_buying_list_prices")),
    )
    op.create_index(op.f("ix_buying_list_prices_list_id"), "buying_list_prices", ["list_id"])
    for table in ("withdrawn_prices", "buying_list_makings", "buying_list_entries"):
        _keep_as_it_came(table)


def _keep_as_it_came(table: str) -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.execute(
            f"CREATE TRIGGER {table}_stay BEFORE UPDATE OR DELETE ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
        )
        return
    for happens in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER {table}_stay_{happens.lower()} BEFORE {happens} ON {table} FOR EACH ROW "
            f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are never changed'); END"
        )
