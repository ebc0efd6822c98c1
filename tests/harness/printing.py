"""Papers printed once for all the processes of a test run: the same page gives the same bytes in any of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from tests.harness.stores import once


@dataclass(frozen=True)
class PrintedOnce:
    """A folder of PDFs by the digest of what they were printed from, and how one is printed that is not there yet."""

    folder: Path
    printing: Callable[[str], bytes]

    def make(self, html: str) -> bytes:
        """The PDF of a page, from the folder where it is there; who wants the same waits while it is made."""
        kept = self.folder / f"{sha256(html.encode()).hexdigest()}.pdf"
        with once(kept) as begun:
            if begun:
                begun.write_bytes(self.printing(html))
        return kept.read_bytes()
