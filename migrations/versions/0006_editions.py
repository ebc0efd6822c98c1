"""Which edition of the program's figures a shop and its sets of rates follow: the first, for all that is kept."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    for table in ("shop", "rate_sets"):
        op.add_column(table, sa.Column("edition", sa.Integer(), nullable=False, server_default="1"))
