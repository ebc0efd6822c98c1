"""Passwords: their rules, their hashes, and how many are worked out at once."""

from __future__ import annotations

from functools import lru_cache
from threading import BoundedSemaphore
from typing import Final

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

SHORTEST: Final = 10
LONGEST: Final = 200

_HASHER: Final = PasswordHasher()
_AT_ONCE: Final = BoundedSemaphore(2)
"""A hash takes tens of megabytes and a tenth of a second on purpose; a flood of sign-ins must not take them all."""


def problem_with_password(password: str, name: str) -> str | None:
    """Why a new password is not taken, in a sentence, or None."""
    if len(password) < SHORTEST:
        return f"The password has {len(password)} characters; it needs at least {SHORTEST}."
    if len(password) > LONGEST:
        return f"The password has {len(password)} characters; at most {LONGEST} are read."
    if len(set(password)) < 5:
        return "The password repeats a few characters; use at least 5 different ones."
    if name.strip() and name.strip().casefold() in password.casefold():
        return "The password holds the name you sign in with; choose one that doesn't."
    return None


def hash_password(password: str) -> str:
    """The argon2id hash to keep, with its own salt and cost."""
    with _AT_ONCE:
        return _HASHER.hash(password)


def password_fits(password: str, kept: str | None) -> bool:
    """Whether a password is the kept one. Without one kept it fails and takes as long, so that names stay unknown."""
    compared_with = kept or _hash_of_nobody()
    with _AT_ONCE:
        try:
            return _HASHER.verify(compared_with, password[: LONGEST + 1]) and kept is not None
        except (VerificationError, InvalidHashError):
            return False


@lru_cache(maxsize=1)
def _hash_of_nobody() -> str:
    return hash_password("nobody signs in with this")
