"""Passwords: their rules, their hashes, and the one thread that works them out."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache
from threading import get_native_id
from typing import Final

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

SHORTEST: Final = 12
LONGEST: Final = 200

#: What people take first, and others try first; compared without signs, and without figures at either end.
_COMMON_WORDS: Final = (
    "password passwordpassword passwort pass mypassword thepassword changeme changemenow letmein letmeinnow welcome "
    "welcomeback admin administrator adminadmin root user guest login secret topsecret master default test testing "
    "testtest qwerty qwertyuiop qwertyuiopasdf qwertyqwerty qwertz qwertzuiop azertyuiop asdfghjkl asdfghjklqwe "
    "zxcvbnm yxcvbnm abcdef abcdefgh abcdefghijkl abcabcabc aaaaaaaaaaaa iloveyou iloveyouiloveyou ilovemyshop "
    "sunshine princess monkey dragon football baseball whatever trustnoone nothing woodwork woodworking woodworker "
    "carpenter metalwork workshop myworkshop workshopworkshop shopreckoner reckoner estimator sawdust correcthorse "
    "correcthorsebatterystaple"
)
COMMON: Final = frozenset(_COMMON_WORDS.split())

_HASHER: Final = PasswordHasher()


def _be_gentle() -> None:
    """Let whatever answers pages go first: on Linux each thread has a standing of its own, as those it starts."""
    os.setpriority(os.PRIO_PROCESS, get_native_id(), 10)


#: A hash takes tens of megabytes and a tenth of a second on purpose: one after another, in a thread of their own.
_HASHING: Final = ThreadPoolExecutor(1, "passwords", _be_gentle)


def problem_with_password(password: str, name: str, shop_name: str = "") -> str | None:
    """Why a new password is not taken, in a sentence, or None."""
    count = len(password)
    if count < SHORTEST:
        said = "one character" if count == 1 else f"{count} characters" if count else "no characters"
        return f"The password has {said}; it needs at least {SHORTEST}. A few words in a row are easy to keep in mind."
    if count > LONGEST:
        return f"The password has {count} characters; at most {LONGEST} are read."
    if len(set(password)) < 5:
        return "The password repeats a few characters; use at least 5 different ones."
    bare = _bare(password)
    if not bare or bare.strip("0123456789") in {"", *COMMON}:
        return "The password is one of those that are tried first; choose words that only you would put together."
    for held, whose in ((name, "the name you sign in with"), (shop_name, "the shop's name")):
        if len(_bare(held)) >= 2 and _bare(held) in bare:
            return f"The password holds {whose}; choose one that doesn't."
    return None


def problems_with_new(password: str, again: str, name: str, shop_name: str) -> dict[str, str]:
    """What stands against a new password typed twice, by field of the form."""
    weak = problem_with_password(password, name, shop_name)
    if weak:
        return {"password": weak}
    return {} if password == again else {"password_again": "The two passwords differ."}


def _bare(text: str) -> str:
    """A text without spaces and signs, in lower case: as it is compared with others."""
    return "".join(sign for sign in text.casefold() if sign.isalnum())


def hash_password(password: str) -> str:
    """The argon2id hash to keep, with its own salt and cost."""
    return _HASHING.submit(_HASHER.hash, password).result()


def password_fits(password: str, stored_hash: str | None) -> bool:
    """Whether a password is the kept one. Without one kept it fails and takes as long, so that names stay unknown."""
    compared_with = stored_hash or _hash_of_nobody()
    try:
        return (
            _HASHING.submit(_HASHER.verify, compared_with, password[: LONGEST + 1]).result() and stored_hash is not None
        )
    except (VerificationError, InvalidHashError):
        return False


@lru_cache(maxsize=1)
def _hash_of_nobody() -> str:
    return hash_password("nobody signs in with this")
