"""What a job came to in few figures, so that it is told at once what a moved price does to all of them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0027"
down_revision = "0026"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("job_cards", sa.Column("short", kept.CanonicalJson(), nullable=True))
