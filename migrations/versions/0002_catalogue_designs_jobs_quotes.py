"""What the shop buys, its designs, rates, customers, jobs and quotes, and the cut plans found before."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_SORT_TEXT = sa.String().with_variant(sa.String(collation="C"), "postgresql")

#: Tables whose rows are only ever added; of an issued quote nothing but the state may change.
_NEVER_CHANGED = ("design_versions", "price_observations", "rate_sets", "quote_documents", "quote_events", "deeds")
_FROZEN_IN_QUOTES = (
    "id", "job_id", "number", "revision", "title", "customer_name", "search", "issued_at", "issued_on", "stands_until",
    "currency", "total", "engine_version", "snapshot", "snapshot_digest", "estimate", "estimate_digest", "issued_by",
)  # fmt: skip


def upgrade() -> None:
    _catalogue()
    _designs_and_rates()
    _customers_and_jobs()
    _quotes()
    op.create_table(
        "plans",
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("plan", kept.CanonicalJson(), nullable=False),
        sa.Column("price", kept.Exact(), nullable=False),
        sa.Column("created_at", kept.Instant(), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_plans")),
    )
    op.create_index(op.f("ix_plans_created_at"), "plans", ["created_at"])
    _freeze()


def _catalogue() -> None:
    op.create_table(
        "suppliers",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_suppliers")),
        sa.UniqueConstraint("code", name=op.f("uq_suppliers_code")),
    )
    op.create_table(
        "materials",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_key", _SORT_TEXT, nullable=False),
        sa.Column("search", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("values", kept.CanonicalJson(), nullable=False),
        sa.Column("sources", kept.CanonicalJson(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_materials")),
        sa.UniqueConstraint("code", name=op.f("uq_materials_code")),
    )
    op.create_index(op.f("ix_materials_name_key"), "materials", ["name_key"])
    op.create_index(op.f("ix_materials_kind"), "materials", ["kind"])
    op.create_table(
        "offers",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("material_id", sa.Integer(), nullable=False),
        sa.Column("supplier_id", sa.Integer(), nullable=False),
        sa.Column("size", kept.CanonicalJson(), nullable=False),
        sa.Column("supplier_code", sa.String(), nullable=False),
        sa.Column("lead_days", sa.Integer(), nullable=True),
        sa.Column("minimum_order", kept.Money(), nullable=True),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["material_id"], ["materials.id"], name=op.f("fk_offers_material_id_materials")),
        sa.ForeignKeyConstraint(["supplier_id"], ["suppliers.id"], name=op.f("fk_offers_supplier_id_suppliers")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_offers")),
    )
    op.create_index(op.f("ix_offers_material_id"), "offers", ["material_id"])
    op.create_index(op.f("ix_offers_supplier_id"), "offers", ["supplier_id"])
    op.create_table(
        "price_observations",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("offer_id", sa.Uuid(), nullable=False),
        sa.Column("amount", kept.Money(), nullable=False),
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("seen_on", sa.Date(), nullable=False),
        sa.Column("where_seen", sa.String(), nullable=False),
        sa.Column("seen_by", sa.String(), nullable=False),
        sa.Column("from_quantity", sa.Integer(), nullable=False),
        sa.Column("with_tax", sa.Boolean(), nullable=False),
        sa.Column("delivered", sa.Boolean(), nullable=False),
        sa.Column("one_off", sa.Boolean(), nullable=False),
        sa.Column("entered_at", kept.Instant(), nullable=False),
        sa.ForeignKeyConstraint(["offer_id"], ["offers.id"], name=op.f("fk_price_observations_offer_id_offers")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_price_observations")),
    )
    op.create_index(op.f("ix_price_observations_offer_id_seen_on"), "price_observations", ["offer_id", "seen_on"])


def _designs_and_rates() -> None:
    op.create_table(
        "designs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_key", _SORT_TEXT, nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_designs")),
        sa.UniqueConstraint("code", name=op.f("uq_designs_code")),
    )
    op.create_index(op.f("ix_designs_name_key"), "designs", ["name_key"])
    op.create_table(
        "design_versions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("design_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("document", kept.OrderedJson(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("created_at", kept.Instant(), nullable=False),
        sa.Column("created_by", sa.Uuid(), nullable=True),
        sa.ForeignKeyConstraint(["design_id"], ["designs.id"], name=op.f("fk_design_versions_design_id_designs")),
        sa.ForeignKeyConstraint(["created_by"], ["users.id"], name=op.f("fk_design_versions_created_by_users")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_design_versions")),
        sa.UniqueConstraint("design_id", "number", name=op.f("uq_design_versions_design_id_number")),
        sa.UniqueConstraint("design_id", "digest", name=op.f("uq_design_versions_design_id_digest")),
    )
    op.create_table(
        "rate_sets",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("values", kept.CanonicalJson(), nullable=False),
        sa.Column("operations", kept.CanonicalJson(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("created_at", kept.Instant(), nullable=False),
        sa.Column("created_by", sa.Uuid(), nullable=True),
        sa.ForeignKeyConstraint(["created_by"], ["users.id"], name=op.f("fk_rate_sets_created_by_users")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rate_sets")),
        sa.UniqueConstraint("number", name=op.f("uq_rate_sets_number")),
    )


def _customers_and_jobs() -> None:
    op.create_table(
        "customers",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_key", _SORT_TEXT, nullable=False),
        sa.Column("search", sa.String(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("email", sa.String(), nullable=False),
        sa.Column("phone", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customers")),
    )
    op.create_index(op.f("ix_customers_name_key"), "customers", ["name_key"])
    op.create_table(
        "jobs",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("customer_name", sa.String(), nullable=False),
        sa.Column("search", sa.String(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=True),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("document", kept.CanonicalJson(), nullable=False),
        sa.Column("created_at", kept.Instant(), nullable=False),
        sa.Column("updated_at", kept.Instant(), nullable=False),
        sa.Column("created_by", sa.Uuid(), nullable=True),
        sa.Column("copied_from", sa.Uuid(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("state IN ('open', 'ordered', 'done', 'dropped')", name=op.f("ck_jobs_state")),
        sa.ForeignKeyConstraint(["customer_id"], ["customers.id"], name=op.f("fk_jobs_customer_id_customers")),
        sa.ForeignKeyConstraint(["created_by"], ["users.id"], name=op.f("fk_jobs_created_by_users")),
        sa.ForeignKeyConstraint(["copied_from"], ["jobs.id"], name=op.f("fk_jobs_copied_from_jobs")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_jobs")),
        sa.UniqueConstraint("number", name=op.f("uq_jobs_number")),
    )
    op.create_index(op.f("ix_jobs_customer_id"), "jobs", ["customer_id"])
    op.create_index(op.f("ix_jobs_state"), "jobs", ["state"])
    op.create_index(op.f("ix_jobs_updated_at"), "jobs", ["updated_at"])
    op.create_table(
        "job_designs",
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("design_code", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_job_designs_job_id_jobs"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("job_id", "design_code", name=op.f("pk_job_designs")),
    )
    op.create_index(op.f("ix_job_designs_design_code"), "job_designs", ["design_code"])


def _quotes() -> None:
    op.create_table(
        "quotes",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("customer_name", sa.String(), nullable=False),
        sa.Column("search", sa.String(), nullable=False),
        sa.Column("issued_at", kept.Instant(), nullable=False),
        sa.Column("issued_on", sa.Date(), nullable=False),
        sa.Column("stands_until", sa.Date(), nullable=False),
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("total", kept.Money(), nullable=False),
        sa.Column("engine_version", sa.Integer(), nullable=False),
        sa.Column("snapshot", sa.Text(), nullable=False),
        sa.Column("snapshot_digest", sa.String(), nullable=False),
        sa.Column("estimate", sa.Text(), nullable=False),
        sa.Column("estimate_digest", sa.String(), nullable=False),
        sa.Column("issued_by", sa.Uuid(), nullable=True),
        sa.CheckConstraint(
            "state IN ('standing', 'replaced', 'accepted', 'declined', 'withdrawn')", name=op.f("ck_quotes_state")
        ),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_quotes_job_id_jobs")),
        sa.ForeignKeyConstraint(["issued_by"], ["users.id"], name=op.f("fk_quotes_issued_by_users")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quotes")),
        sa.UniqueConstraint("number", "revision", name=op.f("uq_quotes_number_revision")),
        sa.UniqueConstraint("job_id", "revision", name=op.f("uq_quotes_job_id_revision")),
    )
    op.create_index(op.f("ix_quotes_state"), "quotes", ["state"])
    op.create_index(op.f("ix_quotes_issued_at"), "quotes", ["issued_at"])
    op.create_table(
        "quote_documents",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("quote_id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("paper", sa.String(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("digest", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["quote_id"], ["quotes.id"], name=op.f("fk_quote_documents_quote_id_quotes")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quote_documents")),
        sa.UniqueConstraint("quote_id", "name", "paper", name=op.f("uq_quote_documents_quote_id_name_paper")),
    )
    op.create_table(
        "quote_events",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("quote_id", sa.Uuid(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("at", kept.Instant(), nullable=False),
        sa.Column("by", sa.Uuid(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["quote_id"], ["quotes.id"], name=op.f("fk_quote_events_quote_id_quotes")),
        sa.ForeignKeyConstraint(["by"], ["users.id"], name=op.f("fk_quote_events_by_users")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quote_events")),
    )
    op.create_index(op.f("ix_quote_events_quote_id"), "quote_events", ["quote_id"])


def _freeze() -> None:
    columns = ", ".join(f'"{name}"' for name in _FROZEN_IN_QUOTES)
    events = [(table, "UPDATE") for table in _NEVER_CHANGED] + [("quotes", f"UPDATE OF {columns}")]
    if op.get_bind().dialect.name == "postgresql":
        op.execute(
            "CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS "
            "$$ BEGIN RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME; END $$"
        )
        for table, happens in events:
            op.execute(
                f"CREATE TRIGGER {table}_stay BEFORE {happens} ON {table} FOR EACH ROW EXECUTE FUNCTION refuse_change()"
            )
        return
    for table, happens in events:
        op.execute(
            f"CREATE TRIGGER {table}_stay BEFORE {happens} ON {table} FOR EACH ROW "
            f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are never changed'); END"
        )
