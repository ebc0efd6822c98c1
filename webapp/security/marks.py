"""The mark of a form that is kept as it is typed: whose it is, of which page, and which draft it belongs to.

It outlives the sign-in under which the form was given, as the form may lie open for longer: what is typed in it is then
known to be of the person it was given to, and of nobody who signs in after them.
"""

from __future__ import annotations

import hashlib
import hmac
from dataclasses import dataclass
from uuid import UUID

from webapp.security.cookies import new_key

LONGEST_MARK = 200


@dataclass(frozen=True, slots=True)
class Mark:
    """A draft of a person at a place, which is the path of a page."""

    draft_id: str
    user_id: UUID
    place: str


def new_mark(user_id: UUID, place: str) -> Mark:
    """A mark under an id that nobody has seen before."""
    return Mark(new_key(), user_id, place)


def write_mark(secret: bytes, mark: Mark) -> str:
    """The mark as a form carries it, signed."""
    return f"{mark.draft_id}.{mark.user_id.hex}.{_signature(secret, mark)}"


def read_mark(secret: bytes, text: str, place: str) -> Mark | None:
    """The mark that a form of that place brought, or None where it is none of ours."""
    parts = text.split(".")
    if len(text) > LONGEST_MARK or len(parts) != 3 or not text.isascii():
        return None
    try:
        mark = Mark(parts[0], UUID(hex=parts[1]), place)
    except ValueError:
        return None
    return mark if hmac.compare_digest(_signature(secret, mark), parts[2]) else None


def _signature(secret: bytes, mark: Mark) -> str:
    told = f"draft:{mark.draft_id}:{mark.user_id.hex}:{mark.place}"
    return hmac.new(secret, told.encode("utf-8", "surrogatepass"), hashlib.sha256).hexdigest()
