"""The picture at the head of the shop's papers, kept by its digest; the shop names the one in use."""

from __future__ import annotations

import hashlib
from datetime import datetime

from sqlalchemy import LargeBinary, delete, select, update
from sqlalchemy.orm import Mapped, Session, mapped_column

from webapp.persistence.foundation.base import Row
from webapp.persistence.settings.shop import Shop, ShopRow


class LogoRow(Row):
    """A picture as PNG."""

    __tablename__ = "logos"

    digest: Mapped[str] = mapped_column(primary_key=True)
    content: Mapped[bytes] = mapped_column(LargeBinary)
    kept_at: Mapped[datetime]


def keep_logo(session: Session, png: bytes, *, at: datetime) -> str:
    """Put a picture at the head of the shop's papers, in place of another; none where there are no bytes. Gives its
    digest."""
    digest = hashlib.sha256(png).hexdigest() if png else ""
    session.execute(delete(LogoRow))
    if png:
        session.add(LogoRow(digest=digest, content=png, kept_at=at))
    session.execute(update(ShopRow).values(logo=digest))
    session.flush()
    return digest


def load_logo(session: Session, shop: Shop) -> bytes:
    """The picture at the head of the shop's papers; no bytes where there is none."""
    if not shop.logo:
        return b""
    return session.scalar(select(LogoRow.content).where(LogoRow.digest == shop.logo)) or b""
