"""A list for several jobs keeps how the sheets are cut that it buys for all of them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0031"
down_revision = "0030"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("buying_list_makings", sa.Column("cut_together", sa.LargeBinary(), nullable=True))
