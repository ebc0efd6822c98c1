"""The bench of each job for the list, kept with what the job came to; it comes when its sheet is next looked at."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("job_cards", sa.Column("picture", sa.String(), nullable=True))
