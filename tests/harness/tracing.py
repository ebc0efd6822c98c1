"""A program run under a tracer of its system calls, and what a power cut would have left of its files."""

from __future__ import annotations

import os
import re
import signal
import subprocess
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

TRACER: Final = "/usr/bin/strace"
#: What changes a file, its place or its safety, and what is sent to whoever waits for an answer.
WATCHED: Final = (
    "pwrite64,ftruncate,fsync,fdatasync,rename,renameat,renameat2,link,linkat,unlink,write,writev,sendto,sendmsg"
)
#: Longer than a page of the database with its head.
LONGEST_SHOWN: Final = 8192

_LINE: Final = re.compile(r"\d+ (?P<name>\w+)\((?P<given>.*)\) += (?P<result>-?\d+)")
_PLACE: Final = re.compile(r"^\d+<(?P<place>[^>]*)>")
_BYTES: Final = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')


@dataclass(frozen=True)
class Call:
    """One system call that came to its end: what it did, to the file or socket at which place, and the bytes in it."""

    name: str
    place: str
    given: str
    texts: tuple[bytes, ...]

    @property
    def syncs(self) -> bool:
        """Whether it waits until the disk has the file."""
        return self.name in {"fsync", "fdatasync"}


@contextmanager
def traced(command: Sequence[str], log: Path, environment: Mapping[str, str]) -> Iterator[subprocess.Popen[str]]:
    """Run a program whose calls, and those of all its threads, are written to a file."""
    tracing = [
        TRACER, "-f", "--seccomp-bpf", "-y", "-xx", "-s", str(LONGEST_SHOWN), "-e", f"trace={WATCHED}",
        "-e", "signal=none", "-o", str(log),
    ]  # fmt: skip
    with subprocess.Popen(
        [*tracing, *command], env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        start_new_session=True,
    ) as process:  # fmt: skip
        try:
            yield process
        finally:
            # The tracer passes no signal on: the program is told to end by itself, and the tracer ends after it.
            with suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGTERM)


def calls_in(log: Path) -> list[Call]:
    """The calls of a trace, in the order in which they ended; one that another thread broke into is put together."""
    begun, found = dict[str, str](), list[Call]()
    for line in log.read_text().splitlines():
        thread, _, rest = line.partition(" ")
        rest = rest.lstrip()
        if rest.endswith("<unfinished ...>"):
            begun[thread] = rest.removesuffix("<unfinished ...>").rstrip()
            continue
        if rest.startswith("<..."):
            rest = begun.pop(thread, "") + rest.partition(" resumed>")[2]
        match = _LINE.fullmatch(f"{thread} {rest}".split(" (", 1)[0].rstrip())
        if match is None or int(match["result"]) < 0:
            continue
        place = _PLACE.match(match["given"])
        texts = tuple(bytes.fromhex(text.replace("\\x", "")) for text in _BYTES.findall(match["given"]))
        named = bytes.fromhex(place["place"].replace("\\x", "")).decode() if place else ""
        found.append(Call(match["name"], named, match["given"], texts))
    return found


def left_by_power_cut(before: Path, calls: Sequence[Call], wanted: Path) -> bytes:
    """The bytes of a file where the power goes after the calls: those that were synced, and none that were not.

    `before` holds the file as it stood, on the disk, when the program began; it may be missing.
    """
    kept = before.read_bytes() if before.exists() else b""
    held = bytearray(kept)
    for call in calls:
        if call.place != str(wanted):
            continue
        if call.name == "pwrite64":
            at = int(call.given.rpartition(", ")[2])
            (written,) = call.texts
            held.extend(bytes(max(0, at + len(written) - len(held))))
            held[at : at + len(written)] = written
        elif call.name == "ftruncate":
            length = int(call.given.rpartition(", ")[2])
            held = held[:length] + bytes(max(0, length - len(held)))
        elif call.syncs:
            kept = bytes(held)
    return kept
