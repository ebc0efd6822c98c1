"""Whole sheets and lengths stand on the rack as well, and are told from offcuts."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0030"
down_revision = "0029"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("offcuts", sa.Column("whole", sa.Boolean(), server_default=sa.false(), nullable=False))
