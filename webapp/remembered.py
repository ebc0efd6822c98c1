"""What was worked out or read before, in memory: at most so many, and whatever was asked for least lately goes."""

from __future__ import annotations

from collections import OrderedDict
from threading import Lock
from typing import Generic, TypeVar

K = TypeVar("K")
T = TypeVar("T")


class Remembered(Generic[K, T]):
    """Things by all that they follow from. Always disposable: who finds nothing here works it out again."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._kept: OrderedDict[K, T] = OrderedDict()
        self._lock = Lock()

    def get(self, key: K) -> T | None:
        """What is remembered under a key."""
        with self._lock:
            found = self._kept.get(key)
            if found is not None:
                self._kept.move_to_end(key)
            return found

    def put(self, key: K, found: T) -> None:
        """Remember this under a key, in place of what was there."""
        with self._lock:
            self._kept[key] = found
            self._kept.move_to_end(key)
            while len(self._kept) > self.most:
                self._kept.popitem(last=False)

    def drop(self, key: K) -> None:
        """Know nothing of a key any more."""
        with self._lock:
            self._kept.pop(key, None)

    def forget(self) -> None:
        """Know nothing any more."""
        with self._lock:
            self._kept.clear()
