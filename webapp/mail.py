"""Letters sent through the shop's own mail server: over TLS alone, within a bound of time, and never twice.

Knows no page and no store.

Decided, and its price:

- A letter is sent while the person waits, within half a minute, rather than by a worker: whoever pressed sees what
  became of it. Price: a slow server holds one request for so long.
- Where the connection is lost after the letter was handed over nobody can know whether it went: that is said, and
  nothing is sent again by itself. Price: somebody has to ask.
"""

from __future__ import annotations

import re
import smtplib
import socket
import ssl
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime
from pathlib import Path
from threading import Timer
from typing import Final, Literal, Protocol
from uuid import UUID

SECURITIES: Final = {
    "tls": "TLS from the first word (usually port 465)", "starttls": "STARTTLS (usually port 587)",
}  # fmt: skip
State = Literal["sent", "refused", "unknown"]

SECONDS: Final = 30
LONGEST_ADDRESS: Final = 254
LONGEST_SUBJECT: Final = 200
LONGEST_BODY: Final = 8000
_ADDRESS: Final = re.compile(r"[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]{1,64}@[A-Za-z0-9-]+(?:\.[A-Za-z0-9-]+)*")
_OK: Final = (250, 251)
_GO_ON: Final = 354
_NOT_TAKEN: Final = range(400, 600)


class MailServer(Protocol):
    """The shop's mail server, and from whom its letters come. Without a user nobody signs in there."""

    @property
    def host(self) -> str: ...

    @property
    def port(self) -> int: ...

    @property
    def security(self) -> str: ...

    @property
    def user(self) -> str: ...

    @property
    def sender(self) -> str: ...

    @property
    def sender_name(self) -> str: ...


@dataclass(frozen=True, slots=True)
class Letter:
    """One letter under its key, with a PDF where it has one: (name, bytes)."""

    key: UUID
    to: str
    subject: str
    body: str
    written_at: datetime
    pdf: tuple[str, bytes] | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a letter, in a sentence."""

    state: State
    said: str


class _Refused(Exception):
    """The server takes something not: which, and its own words."""


def address_problem(text: str) -> str:
    """What stands against an address; nothing where letters can go there."""
    if not text:
        return "Give an address, such as name@example.org."
    if "\n" in text or "\r" in text:
        return "An address can't go on over a line."
    if len(text) > LONGEST_ADDRESS or not _ADDRESS.fullmatch(text) or ".." in text:
        return f"“{text[:80]}” is no address that letters can be sent to, such as name@example.org."
    return ""


def subject_problem(text: str) -> str:
    """What stands against a subject."""
    if "\n" in text or "\r" in text:
        return "A subject can't go on over a line."
    if not text.strip():
        return "Give the letter a subject."
    return f"A subject has at most {LONGEST_SUBJECT} characters." if len(text) > LONGEST_SUBJECT else ""


def send_letter(
    server: MailServer, password: str, letter: Letter, *, authorities: Path | None = None, seconds: float | None = None
) -> Outcome:
    """Send a letter once, and say what became of it. `authorities` is a file of certificates that are trusted besides
    the machine's own. Raises nothing for what goes wrong on the way."""
    told, seconds = _Telling(server), SECONDS if seconds is None else seconds
    try:
        content = _written(server, letter)
        with _connected(server, authorities, seconds, told) as smtp:
            if server.user:
                smtp.login(server.user, password)
            _taken(smtp.mail(server.sender), f"letters from {server.sender}")
            _taken(smtp.rcpt(letter.to), f"letters to {letter.to}")
            code, said = smtp.docmd("DATA")
            if code != _GO_ON:
                raise _Refused(f"the letter: {_words(code, said)}")
            told.handed_over = True
            smtp.send(content)
            code, said = smtp.getreply()
            if code in _NOT_TAKEN:
                told.handed_over = False
                raise _Refused(f"the letter: {_words(code, said)}")
            if code not in _OK:
                raise smtplib.SMTPException("no answer that can be read")
            told.taken = True
            smtp.quit()
    except (OSError, smtplib.SMTPException, _Refused, ValueError) as error:
        if not told.taken:
            return told.outcome(error, letter.to, seconds)
    return Outcome("sent", f"{server.host} took it for {letter.to}.")


class _Telling:
    """How far a letter came, and so what can be said of it where something went wrong."""

    def __init__(self, server: MailServer) -> None:
        self.server = server
        self.handed_over = self.taken = self.too_long = False

    def outcome(self, error: Exception, to: str, seconds: float) -> Outcome:
        host, port = self.server.host, self.server.port
        if self.handed_over:
            return Outcome(
                "unknown",
                f"The connection to {host} was lost after the letter was handed over, before {host} said that it has "
                f"it: whether it goes to {to} is not known. Ask before you send it again.",
            )
        if self.too_long or isinstance(error, TimeoutError) or "timed out" in str(error):
            said = f"{host} did not answer within {seconds:g} seconds"
        elif isinstance(error, ssl.SSLCertVerificationError):
            said = f"the certificate of {host} is not to be trusted ({error.verify_message})"
        elif isinstance(error, ssl.SSLError):
            said = f"{host} speaks no TLS on port {port}; try the other kind of security"
        elif isinstance(error, socket.gaierror):
            said = f"no server is found under the name {host}"
        elif isinstance(error, smtplib.SMTPAuthenticationError):
            said = f"{host} does not take the user and password: {_words(error.smtp_code, error.smtp_error)}"
        elif isinstance(error, smtplib.SMTPNotSupportedError):
            said = f"{host} does not offer what is asked of it: {error}"
        elif isinstance(error, _Refused):
            said = f"{host} refuses {error}"
        elif isinstance(error, smtplib.SMTPResponseException):
            said = f"{host} refuses: {_words(error.smtp_code, error.smtp_error)}"
        elif isinstance(error, smtplib.SMTPServerDisconnected):
            said = f"{host} closed the connection"
        elif isinstance(error, smtplib.SMTPException):
            said = f"{host}: {error}"
        else:
            said = f"{host} can't be reached on port {port}: {getattr(error, 'strerror', None) or error}"
        return Outcome("refused", f"Nothing was sent: {said}.")


@contextmanager
def _connected(
    server: MailServer, authorities: Path | None, seconds: float, told: _Telling
) -> Iterator[smtplib.SMTP]:  # fmt: skip
    """The server, met over TLS with its certificate verified; cut off when the time is over, whatever it waits for."""
    context = ssl.create_default_context()
    if authorities is not None:
        context.load_verify_locations(authorities)
    # What a letter comes from is what this machine calls itself; asking for its full name can take long.
    name = server.sender.rpartition("@")[2]
    smtp = (
        smtplib.SMTP_SSL(local_hostname=name, timeout=seconds, context=context)
        if server.security == "tls"
        else smtplib.SMTP(local_hostname=name, timeout=seconds)
    )
    smtp._host = server.host  # type: ignore[attr-defined]  # the name that its certificate has to bear

    def cut_off() -> None:
        told.too_long = True
        held = smtp.sock
        if held is not None:
            with suppress(OSError):
                held.shutdown(socket.SHUT_RDWR)

    watch = Timer(seconds, cut_off)
    watch.daemon = True
    watch.start()
    try:
        code, said = smtp.connect(server.host, server.port)
        if code != 220:
            raise _Refused(f"to be spoken to: {_words(code, said)}")
        if server.security == "starttls":
            smtp.starttls(context=context)
        smtp.ehlo_or_helo_if_needed()
        yield smtp
    finally:
        watch.cancel()
        smtp.close()


def _written(server: MailServer, letter: Letter) -> bytes:
    """The letter as it goes over the line. Raises ValueError for a head with a line break."""
    if address_problem(letter.to) or subject_problem(letter.subject) or address_problem(server.sender):
        raise ValueError("an address or the subject can't stand in the head of a letter")
    message = EmailMessage(policy=SMTP)
    message["From"] = Address(server.sender_name, addr_spec=server.sender)
    message["To"] = Address(addr_spec=letter.to)
    message["Subject"] = letter.subject
    message["Date"] = format_datetime(letter.written_at)
    message["Message-ID"] = f"<{letter.key}@{server.sender.rpartition('@')[2]}>"
    message.set_content(letter.body, cte="quoted-printable")
    if letter.pdf is not None:
        name, content = letter.pdf
        message.add_attachment(content, maintype="application", subtype="pdf", filename=name)
    lines = re.sub(rb"(?m)^\.", b"..", message.as_bytes())
    return (lines if lines.endswith(b"\r\n") else lines + b"\r\n") + b".\r\n"


def _taken(reply: tuple[int, bytes], what: str) -> None:
    code, said = reply
    if code not in _OK:
        raise _Refused(f"{what}: {_words(code, said)}")


def _words(code: int, said: bytes | str) -> str:
    text = said.decode("ascii", "replace") if isinstance(said, bytes) else said
    return f"{code} {' '.join(text.split())[:200]}".strip().rstrip(".")
