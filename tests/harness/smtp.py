"""A mail server of the tests' own: it speaks SMTP over TLS on a port of this machine, and can fail in each way that one
does.

The certificates in harness/certificates are made for these tests alone: one for localhost, one for another name.
"""

from __future__ import annotations

import socket
import ssl
from base64 import b64decode
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from threading import Event, Thread
from typing import Final, Literal

CERTIFICATES: Final = Path(__file__).parent / "certificates"
#: What the server is trusted by.
LOCALHOST: Final = CERTIFICATES / "localhost.pem"
USER, PASSWORD = "shop", "a word that nobody guesses"

#: How it fails: at its first word, at the address, at the letter, by silence, by hanging up before it takes the letter
#: or after, or by an answer that nobody can read.
Fault = Literal[
    "", "busy", "no address", "no letter", "silent", "silent after letter", "hangs up", "lost after letter", "babble",
    "no starttls",
]  # fmt: skip


@dataclass
class MailServerOfTests:
    """Where it listens, what it was told, and the letters that it took."""

    port: int
    letters: list[bytes] = field(default_factory=list)
    told: list[str] = field(default_factory=list)


@contextmanager
def mail_server(
    fault: Fault = "", *, security: Literal["tls", "starttls"] = "starttls", certificate: str = "localhost"
) -> Iterator[MailServerOfTests]:
    """The server while it runs."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(CERTIFICATES / f"{certificate}.pem", CERTIFICATES / f"{certificate}-key.pem")
    over = Event()
    with socket.create_server(("127.0.0.1", 0)) as listening:
        running = MailServerOfTests(listening.getsockname()[1])

        def serve() -> None:
            while not over.is_set():
                try:
                    met, _ = listening.accept()
                except OSError:
                    return
                with suppress(OSError, ssl.SSLError, EOFError):
                    _Talk(met, context, fault, security, running, over).run()

        thread = Thread(target=serve, daemon=True)
        thread.start()
        yield running
        over.set()
        # Whoever waits for a caller is woken by one.
        with suppress(OSError):
            socket.create_connection(("127.0.0.1", running.port), 1).close()
        thread.join(5)


class _Talk:
    """One connection."""

    def __init__(
        self, met: socket.socket, context: ssl.SSLContext, fault: Fault, security: str, running: MailServerOfTests,
        over: Event,
    ) -> None:  # fmt: skip
        self.line, self.context, self.fault, self.security = met, context, fault, security
        self.running, self.over = running, over
        self.safe = False
        self.held = b""

    def run(self) -> None:
        """Answer until the other side has enough."""
        try:
            if self.security == "tls":
                self._make_safe()
            if self.fault == "silent":
                self.over.wait(30)
                return
            self.say("421 too many letters just now" if self.fault == "busy" else "220 localhost ready")
            while self.fault != "busy" and self.answer(self.hear()):
                pass
        finally:
            self.line.close()

    def answer(self, heard: str) -> bool:
        """Answer one line; False ends it."""
        self.running.told.append(heard)
        verb = heard.upper()
        if verb.startswith("EHLO"):
            offers = ["250-localhost"]
            if not self.safe and self.fault != "no starttls":
                offers.append("250-STARTTLS")
            if self.safe:
                offers.append("250-AUTH PLAIN")
            self.say("\r\n".join([*offers, "250 SIZE 20000000"]))
        elif verb == "STARTTLS":
            self.say("220 go on")
            self._make_safe()
        elif verb.startswith("AUTH PLAIN"):
            given = b64decode(heard.split(" ")[2]).decode().split("\0")
            self.say("235 welcome" if given[1:] == [USER, PASSWORD] else "535 wrong user or password")
        elif verb.startswith("MAIL"):
            if self.fault == "hangs up":
                return False
            self.say("250 ok")
        elif verb.startswith("RCPT"):
            self.say("550 nobody of that name here" if self.fault == "no address" else "250 ok")
        elif verb == "DATA":
            self.say("354 go on")
            return self.take_letter()
        elif verb == "QUIT":
            self.say("221 good bye")
            return False
        else:
            self.say("250 ok")
        return True

    def take_letter(self) -> bool:
        """Hear the letter to its end, and say what becomes of it."""
        lines = []
        while (line := self.hear_line()) != b".\r\n":
            lines.append(line[1:] if line.startswith(b".") else line)
        if self.fault == "no letter":
            self.say("554 this looks like something nobody wants")
            return True
        self.running.letters.append(b"".join(lines))
        if self.fault == "lost after letter":
            return False
        if self.fault == "silent after letter":
            self.over.wait(30)
            return False
        self.say("hm" if self.fault == "babble" else "250 taken")
        return True

    def say(self, words: str) -> None:
        """Say a line."""
        self.line.sendall(f"{words}\r\n".encode())

    def hear(self) -> str:
        """Hear a line."""
        return self.hear_line().decode("ascii").rstrip("\r\n")

    def hear_line(self) -> bytes:
        """Hear a line as it comes. Raises EOFError where there comes no more."""
        while b"\n" not in self.held:
            more = self.line.recv(65536)
            if not more:
                raise EOFError
            self.held += more
        line, _, self.held = self.held.partition(b"\n")
        return line + b"\n"

    def _make_safe(self) -> None:
        self.line = self.context.wrap_socket(self.line, server_side=True)
        self.safe = True
