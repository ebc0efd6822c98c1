"""Papers printed once for all the processes of a test run: the same page gives the same bytes in any of them."""

from __future__ import annotations

import fcntl
from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path


@dataclass(frozen=True)
class PrintedOnce:
    """A folder of PDFs by the digest of what they were printed from, and how one is printed that is not there yet."""

    folder: Path
    printing: Callable[[str], bytes]

    def make(self, html: str) -> bytes:
        """The PDF of a page, from the folder where it is there; who wants the same waits while it is made."""
        self.folder.mkdir(exist_ok=True)
        kept = self.folder / f"{sha256(html.encode()).hexdigest()}.pdf"
        with kept.with_suffix(".lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not kept.exists():
                kept.write_bytes(self.printing(html))
        return kept.read_bytes()
