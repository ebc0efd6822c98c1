"""What the store refuses, as data; `str()` of each is a whole sentence for the person at the page."""

from __future__ import annotations


class StoreError(Exception):
    """The base of everything the store refuses."""


class NotKept(StoreError):
    """Something was asked for that isn't in the store. `what` is its kind, `key` how it was asked for."""

    def __init__(self, what: str, key: object) -> None:
        super().__init__(f"There is no {what} under {key}.")
        self.what = what
        self.key = key


class StaleSave(StoreError):
    """Somebody else saved the row since it was read. `stored` and `given` are both versions of the value."""

    def __init__(self, what: str, stored: object, given: object) -> None:
        super().__init__(
            f"The {what} was changed by someone else while you were editing it. Nothing of yours was saved over it."
        )
        self.what = what
        self.stored = stored
        self.given = given


class StoreFull(StoreError):
    """The disk has no room for what was to be kept, or takes nothing any more."""

    def __init__(self) -> None:
        super().__init__(
            "The disk that holds the shop's data is full, so this was not kept; what was kept before is as it was. "
            "Make room on the disk, then send it once more."
        )


class NeverKept(StoreError):
    """A number or a text that no database holds was asked for or given: beyond 64 bits, or with a zero byte in it."""

    def __init__(self) -> None:
        super().__init__("Nothing is kept under such a number or text: it is larger than any, or no text at all.")


class CurrencyFixed(StoreError):
    """The shop's currency can't change any more, since prices are kept in it."""

    def __init__(self, stored: str, given: str) -> None:
        super().__init__(f"The shop keeps prices in {stored}, so its currency can't be changed to {given} any more.")
        self.kept = stored
        self.given = given


class ShopExists(StoreError):
    """A second shop was to be set up in a store that holds one."""

    def __init__(self) -> None:
        super().__init__("This shop is set up already. Sign in instead.")


class NameTaken(StoreError):
    """Two people can't sign in under one name."""

    def __init__(self, name: str) -> None:
        super().__init__(f"Someone signs in as {name} already. Choose another name.")
        self.name = name


class LastOwner(StoreError):
    """The only owner was to be retired or made a helper; then nobody could set anything any more."""

    def __init__(self, name: str) -> None:
        super().__init__(f"{name} is the only owner. Make someone else an owner first.")
        self.name = name


class NewerDatabase(StoreError):
    """The database was written by a later program than this one."""

    def __init__(self, revision: str) -> None:
        super().__init__(
            f"The database was made by a newer Shop Reckoner (its revision is {revision}). "
            "Bring the program up to date, or name another data folder; nothing was changed."
        )
        self.revision = revision
