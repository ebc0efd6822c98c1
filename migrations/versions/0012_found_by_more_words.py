"""Jobs found by their materials, sizes and lines, the day they are wanted by, and what each came to, for lists."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept
from webapp.persistence.designs.records import usual_materials
from webapp.persistence.jobs.records import materials_named, words_sought

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("jobs", sa.Column("due", sa.Date(), nullable=True))
    op.create_index(op.f("ix_jobs_due"), "jobs", ["due"])
    op.create_table(
        "job_materials",
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("material_code", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_job_materials_job_id_jobs"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("job_id", "material_code", name=op.f("pk_job_materials")),
    )
    op.create_index(op.f("ix_job_materials_material_code"), "job_materials", ["material_code"])
    op.create_table(
        "design_materials",
        sa.Column("design_id", sa.Integer(), nullable=False),
        sa.Column("material_code", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["design_id"], ["designs.id"], name=op.f("fk_design_materials_design_id_designs"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("design_id", "material_code", name=op.f("pk_design_materials")),
    )
    op.create_index(op.f("ix_design_materials_material_code"), "design_materials", ["material_code"])
    op.create_table(
        "job_cards",
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("worked_on", sa.Date(), nullable=False),
        sa.Column("total", kept.Money(), nullable=False),
        sa.Column("complete", sa.Boolean(), nullable=False),
        sa.Column("ready_days", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name=op.f("fk_job_cards_job_id_jobs"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("job_id", name=op.f("pk_job_cards")),
    )
    _read_jobs(op.get_bind())
    _read_designs(op.get_bind())


def _read_jobs(connection: sa.Connection) -> None:
    jobs = sa.table(
        "jobs", sa.column("id", sa.Uuid()), sa.column("number", sa.Integer()), sa.column("search", sa.String()),
        sa.column("document", kept.CanonicalJson()),
    )  # fmt: skip
    materials = sa.table("job_materials", sa.column("job_id", sa.Uuid()), sa.column("material_code", sa.String()))
    for job_id, number, document in connection.execute(sa.select(jobs.c.id, jobs.c.number, jobs.c.document)).all():
        connection.execute(sa.update(jobs).where(jobs.c.id == job_id).values(search=words_sought(number, document)))
        named = [{"job_id": job_id, "material_code": code} for code in sorted(materials_named(document))]
        if named:
            connection.execute(sa.insert(materials), named)


def _read_designs(connection: sa.Connection) -> None:
    versions = sa.table(
        "design_versions", sa.column("design_id", sa.Integer()), sa.column("number", sa.Integer()),
        sa.column("document", kept.OrderedJson()),
    )  # fmt: skip
    materials = sa.table(
        "design_materials", sa.column("design_id", sa.Integer()), sa.column("material_code", sa.String())
    )
    kept_first = sa.select(versions.c.design_id, versions.c.document).order_by(versions.c.design_id, versions.c.number)
    last = {row.design_id: row.document for row in connection.execute(kept_first)}
    usual = [
        {"design_id": design_id, "material_code": code}
        for design_id, document in last.items()
        for code in sorted(usual_materials(document))
    ]
    if usual:
        connection.execute(sa.insert(materials), usual)
