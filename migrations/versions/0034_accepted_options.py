"""With which of its options a quote was accepted: its id within the job, what it is called, and the total with it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import webapp.persistence.foundation.column_types as kept

revision = "0034"
down_revision = "0033"
branch_labels = None
depends_on = None


def upgrade() -> None:
    # Beside what is frozen in a quote: these change with its state, as that does.
    op.add_column("quotes", sa.Column("option", sa.String(), server_default=sa.text("''"), nullable=False))
    op.add_column("quotes", sa.Column("option_name", sa.String(), server_default=sa.text("''"), nullable=False))
    op.add_column("quotes", sa.Column("option_total", kept.Money(), nullable=True))
