"""Papers printed once for all the processes of a test run: the same page gives the same bytes in any of them."""

from __future__ import annotations

import fcntl
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from webapp.documents.printing.pdf_worker import WORKER


@dataclass(frozen=True)
class PrintedOnce:
    """A folder of PDFs by the digest of what they were printed from."""

    folder: Path

    def make(self, html: str) -> bytes:
        """The PDF of a page, from the folder where it is there; others wait while it is made."""
        self.folder.mkdir(exist_ok=True)
        kept = self.folder / f"{sha256(html.encode()).hexdigest()}.pdf"
        with (self.folder / "lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not kept.exists():
                kept.write_bytes(WORKER.make(html))
        return kept.read_bytes()
