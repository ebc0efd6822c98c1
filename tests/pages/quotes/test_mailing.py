"""A quote by e-mail through a real server: sent once, refused, slow, lost, and what is said of each."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from email import message_from_bytes
from email.policy import SMTP
from pathlib import Path
from typing import Final
from uuid import UUID, uuid4

import pytest
from sqlalchemy import select

from tests.harness.smtp import LOCALHOST, PASSWORD, USER, Fault, MailServerOfTests, mail_server
from tests.harness.visiting import Visitor
from webapp import mail
from webapp.mail import LONGEST_SUBJECT, Letter, address_problem, send_letter, subject_problem
from webapp.persistence.backups.reading import reading_backup
from webapp.persistence.backups.restore import make_backup
from webapp.persistence.quotes.mails import LEFT_LYING, MailRow
from webapp.persistence.settings.mail import StoredMailServer, load_mail_server, save_mail_server
from webapp.security.mail_password import keep_mail_password, mail_password
from webapp.settings import Settings

TO: Final = "studio@sliphollow.example"
QUICK: Final = 0.6


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """A program that trusts the tests' own mail server."""
    return Settings(data_folder=tmp_path / "data", port=0, mail_authorities=LOCALHOST)


def stored(server: MailServerOfTests, security: str = "starttls", user: str = USER) -> StoredMailServer:
    """The server as the shop has set it."""
    return StoredMailServer("localhost", server.port, security, user, "bench@shop.example", "Müller & Söhne, Benches")


def set_server(visitor: Visitor, server: StoredMailServer, password: str = PASSWORD) -> None:
    with visitor.program.database.writing() as session:
        save_mail_server(session, server)
    keep_mail_password(visitor.program.settings, password)


def standing_quote(visitor: Visitor) -> str:
    """The address of a quote of the demo that stands."""
    page = visitor.get("/quotes?state=standing").text
    found = re.search(r'href="(/quotes/[0-9a-f-]{36})"', page)
    assert found is not None
    return found[1]


def letter_on(visitor: Visitor, quote: str) -> dict[str, str]:
    """The letter as its page proposes it, with its key."""
    page = visitor.get(f"{quote}/mail").text
    key = re.search(r'name="key" value="([^"]+)"', page)
    body = re.search(r'<textarea id="body"[^>]*>\n(.*?)</textarea>', page, re.DOTALL)
    subject = re.search(r'name="subject"[^>]* value="([^"]*)"', page)
    assert body is not None
    assert subject is not None
    return {
        "key": key[1] if key else "", "to": TO, "subject": subject[1], "body": body[1].replace("&#39;", "'"),
    }  # fmt: skip


def outbox(visitor: Visitor) -> list[tuple[str, str]]:
    with visitor.program.database.reading() as session:
        return [(row.state, row.said) for row in session.scalars(select(MailRow).order_by(MailRow.begun_at))]


# ---- sent ---------------------------------------------------------------------------------------------------------


@pytest.mark.both
@pytest.mark.parametrize("security", ["tls", "starttls"])
def test_a_quote_goes_out_once_and_what_was_sent_is_kept_with_it(demo_client: Visitor, security: str) -> None:
    quote = standing_quote(demo_client)
    with mail_server(security=security) as server:  # type: ignore[arg-type]
        set_server(demo_client, stored(server, security))
        fields = letter_on(demo_client, quote)
        assert demo_client.send_form(f"{quote}/mail", fields).status_code == 303
        # The same form again: a double press.
        assert demo_client.send_form(f"{quote}/mail", fields).status_code == 303
        (taken,) = server.letters
    assert outbox(demo_client) == [("sent", f"localhost took it for {TO}.")]
    letter = message_from_bytes(taken, policy=SMTP)
    assert letter["To"] == TO
    assert str(letter["From"].addresses[0].display_name) == "Müller & Söhne, Benches"
    assert letter["Subject"] == fields["subject"]
    assert UUID(str(letter["Message-ID"]).strip("<>").partition("@")[0]) == UUID(fields["key"])
    words = letter.get_body(("plain",))
    assert words is not None
    assert words.get_content().split() == fields["body"].split()
    (pdf,) = letter.iter_attachments()
    assert pdf.get_content_type() == "application/pdf"
    assert pdf.get_content() == demo_client.get(f"{quote}/quote.pdf").content
    page = demo_client.get(quote).text
    assert TO in page
    assert "Sent" in page


def test_lines_that_begin_with_a_point_arrive_as_they_were(demo_client: Visitor) -> None:
    quote = standing_quote(demo_client)
    with mail_server() as server:
        set_server(demo_client, stored(server))
        fields = {**letter_on(demo_client, quote), "body": "One\n.\n..two\n.three\n"}
        demo_client.send_form(f"{quote}/mail", fields)
        body = message_from_bytes(server.letters[0], policy=SMTP).get_body(("plain",))
        assert body is not None
        assert body.get_content().split() == ["One", ".", "..two", ".three"]


# ---- not sent -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        ("busy", "refuses to be spoken to: 421 too many letters just now"),
        ("no address", f"refuses letters to {TO}: 550 nobody of that name here"),
        ("no letter", "refuses the letter: 554 this looks like something nobody wants"),
        ("hangs up", "closed the connection"),
        ("silent", "did not answer within 0.6 seconds"),
        ("no starttls", "does not offer what is asked of it"),
    ],
)
def test_a_letter_that_did_not_go_is_said_not_to_have_gone(
    demo_client: Visitor, monkeypatch: pytest.MonkeyPatch, fault: Fault, said: str
) -> None:
    monkeypatch.setattr(mail, "SECONDS", QUICK)
    quote = standing_quote(demo_client)
    with mail_server(fault) as server:
        set_server(demo_client, stored(server))
        demo_client.send_form(f"{quote}/mail", letter_on(demo_client, quote))
        assert server.letters == []
    ((state, sentence),) = outbox(demo_client)
    assert state == "refused"
    assert sentence.startswith("Nothing was sent: localhost ")
    assert said in sentence
    page = demo_client.get(f"{quote}/mail").text
    assert "Not sent" in page
    assert 'name="again"' not in page, "nothing went, so it may be sent again"


def test_a_server_that_is_not_there_or_not_who_it_says_is_said_to_be(demo_client: Visitor) -> None:
    quote = standing_quote(demo_client)
    with mail_server(certificate="other") as server:
        set_server(demo_client, stored(server))
        demo_client.send_form(f"{quote}/mail", letter_on(demo_client, quote))
        assert server.letters == []
    demo_client.send_form(f"{quote}/mail", letter_on(demo_client, quote))
    with mail_server() as server:
        set_server(demo_client, stored(server), "another word")
        demo_client.send_form(f"{quote}/mail", letter_on(demo_client, quote))
        assert server.letters == []
    sentences = [said for _, said in outbox(demo_client)]
    assert "the certificate of localhost is not to be trusted" in sentences[0]
    assert "can't be reached on port" in sentences[1]
    assert "does not take the user and password: 535" in sentences[2]
    assert not any(PASSWORD in said or "another word" in said for said in sentences)


def test_a_server_of_no_known_authority_is_not_trusted() -> None:
    letter = Letter(uuid4(), TO, "One", "Two", datetime(2026, 11, 29, tzinfo=UTC))
    with mail_server() as server:
        outcome = send_letter(stored(server), PASSWORD, letter)
        assert outcome.state == "refused"
        assert "is not to be trusted" in outcome.said
        assert not [told for told in server.told if told.upper().startswith(("AUTH", "MAIL"))]


# ---- not known ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("fault", ["lost after letter", "silent after letter", "babble"])
def test_a_letter_of_which_nothing_is_known_is_never_sent_again_unasked(
    demo_client: Visitor, monkeypatch: pytest.MonkeyPatch, fault: Fault
) -> None:
    monkeypatch.setattr(mail, "SECONDS", QUICK)
    quote = standing_quote(demo_client)
    with mail_server(fault) as server:
        set_server(demo_client, stored(server))
        first = letter_on(demo_client, quote)
        demo_client.send_form(f"{quote}/mail", first)
        assert len(server.letters) == 1
    ((state, sentence),) = outbox(demo_client)
    assert state == "unknown"
    assert "is not known. Ask before you send it again." in sentence
    with mail_server() as server:
        set_server(demo_client, stored(server))
        again = letter_on(demo_client, quote)
        assert again["key"] != first["key"]
        refused = demo_client.send_form(f"{quote}/mail", again)
        assert refused.status_code == 422
        assert "A letter may have gone already" in refused.text
        assert server.letters == []
        demo_client.send_form(f"{quote}/mail", first)
        assert server.letters == []
        demo_client.send_form(f"{quote}/mail", {**again, "again": "yes"})
        assert len(server.letters) == 1
    assert [state for state, _ in outbox(demo_client)] == ["unknown", "sent"]


def test_a_letter_that_the_program_ended_over_is_not_known_to_have_gone(demo_client: Visitor) -> None:
    quote = standing_quote(demo_client)
    begun = demo_client.program.now() - LEFT_LYING - timedelta(seconds=1)
    with demo_client.program.database.writing() as session:
        session.add(
            MailRow(
                id=uuid4(), quote_id=UUID(quote.rpartition("/")[2]), sent_to=TO, subject="One", body="Two",
                state="sending", said="", begun_at=begun, begun_by=None,
            )
        )  # fmt: skip
    page = demo_client.get(f"{quote}/mail").text
    assert "Not known whether it went" in page
    assert "The program ended while it was sent" in page


# ---- what is typed ------------------------------------------------------------------------------------------------


@pytest.mark.outside(source="RFC 5322 (2008), 2.2: a head line ends with the line", kind="from memory")
@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("to", "", "Give an address"),
        ("to", "nobody", "is no address"),
        ("to", "a@b.example, c@d.example", "is no address"),
        ("to", "a@b.example\r\nBcc: c@d.example", "go on over a line"),
        ("subject", "One\nBcc: c@d.example", "go on over a line"),
        ("subject", "One\rBcc: c@d.example", "go on over a line"),
        ("subject", "", "Give the letter a subject"),
        ("subject", "x" * (LONGEST_SUBJECT + 1), "at most 200 characters"),
        ("body", "", "The letter says nothing yet"),
    ],
)
def test_what_can_t_go_into_a_letter_is_refused_and_stays_typed(
    demo_client: Visitor, field: str, typed: str, said: str
) -> None:
    quote = standing_quote(demo_client)
    with mail_server() as server:
        set_server(demo_client, stored(server))
        answer = demo_client.send_form(f"{quote}/mail", {**letter_on(demo_client, quote), field: typed})
        assert answer.status_code == 422
        assert said in answer.text.replace("&#39;", "'")
        assert server.told == []
    assert outbox(demo_client) == []


def test_an_address_is_one_that_letters_go_to() -> None:
    for good in (TO, "o'brien+quotes@shop.co.example", "a@localhost"):
        assert address_problem(good) == ""
    wrong = ("a..b@c.example", "ä@c.example", "a@", "@b.example", "a b@c.example", "a@b.example\n")
    for bad in (*wrong, "x" * 250 + "@b.c"):
        assert address_problem(bad)
    assert subject_problem("Quote 1") == ""


# ---- set ----------------------------------------------------------------------------------------------------------


def test_the_server_is_set_and_tried_and_its_password_is_never_shown_nor_backed_up(
    demo_client: Visitor, tmp_path: Path
) -> None:
    here = demo_client.program
    with mail_server() as server:
        fields = {
            "host": "localhost", "port": str(server.port), "security": "starttls", "user": USER, "password": PASSWORD,
            "sender": "bench@shop.example", "sender_name": "Benches",
        }  # fmt: skip
        assert demo_client.send_form("/settings/mail", fields).status_code == 303
        assert mail_password(here.settings) == PASSWORD
        page = demo_client.get("/settings/mail").text
        assert PASSWORD not in page
        assert "One is kept" in page
        # Left empty, it stays; what else was typed is kept.
        demo_client.send_form("/settings/mail", {**fields, "password": "", "sender_name": "Other"})
        assert mail_password(here.settings) == PASSWORD
        tried = demo_client.send_form("/settings/mail/try", {"to": TO})
        assert f"localhost took it for {TO}." in tried.text
        assert len(server.letters) == 1
    kept = here.settings.data_folder / "mail-password"
    assert kept.stat().st_mode & 0o077 == 0
    file = tmp_path / "backup.zip"
    make_backup(here.database, file, at=here.now())
    assert PASSWORD.encode() not in file.read_bytes()
    with reading_backup(file) as backup:
        held = [row for table in backup.manifest.tables for row in backup.rows(table)]
    assert any(row.get("host") == "localhost" for row in held)
    assert not any(PASSWORD in str(value) for row in held for value in row.values())
    assert demo_client.send_form("/settings/mail", {"act": "forget"}).status_code == 303
    assert mail_password(here.settings) == ""
    with here.database.reading() as session:
        assert load_mail_server(session) is None


def test_without_a_server_the_words_and_the_pdf_are_ready(demo_client: Visitor) -> None:
    quote = standing_quote(demo_client)
    page = demo_client.get(f"{quote}/mail").text
    assert "No mail server is set" in page
    assert f'href="{quote}/quote.pdf"' in page
    assert 'href="mailto:' in page
    assert "Send the letter" not in page
    assert demo_client.send_form(f"{quote}/mail", letter_on(demo_client, quote)).status_code == 422


def test_a_stranger_sees_no_letter(demo_client: Visitor) -> None:
    quote = standing_quote(demo_client)
    stranger = Visitor(demo_client.app)  # type: ignore[arg-type]
    for address in (f"{quote}/mail", "/settings/mail"):
        assert demo_client.get(address).status_code == 200
        assert stranger.get(address).headers["location"].startswith("/sign-in")
