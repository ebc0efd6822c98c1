"""Somebody who types at a browser, while the shop's computer may be off and others work at the same job."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass, field
from typing import Final
from uuid import UUID

from playwright.sync_api import Page, Response
from sqlalchemy import select, update

from tests.harness.browsing import OpenPage, next_page
from tests.harness.serving import LiveServer, serve, sign_in
from webapp.opening import DEMO_NAME, DEMO_PASSWORD
from webapp.persistence.jobs.records import load_job_by_number, save_job
from webapp.persistence.people.users import SignInRow, UserRow

JOB: Final = "/jobs/4"
WIDTH: Final = "#items-cabinet-sizes-width"
TYPED: Final = "1234 mm"
NOTICE: Final = "#typed-before"
STATE: Final = "#kept-state"
OWN_STORAGE: Final = "Object.keys(localStorage).filter((key) => key.startsWith('draft:')).length"


@dataclass
class Desk:
    """Somebody at a browser, and the shop's computer, which may be off."""

    server: LiveServer
    page: Page
    open_page: OpenPage
    running: ExitStack = field(default_factory=ExitStack)
    #: Where it was typed, what it says there, and the field that it belongs into.
    place: str = JOB
    said: str = TYPED
    holds: str = WIDTH

    @property
    def url(self) -> str:
        return self.server.url

    def switch_off(self) -> None:
        self.running.close()

    def switch_on(self) -> None:
        port = int(self.url.rpartition(":")[2])
        self.server = self.running.enter_context(serve(self.server.settings, self.server.database, port=port))

    def sign_in(self, name: str | None = None) -> None:
        sign_in(self.page, self.server, name)

    def sign_in_by_hand(self) -> None:
        self.page.get_by_label("Name").fill(DEMO_NAME)
        self.page.get_by_label("Password").fill(DEMO_PASSWORD)
        with next_page(self.page):
            self.page.get_by_role("button", name="Sign in").click()

    def end_sign_ins(self) -> None:
        with self.server.database.writing() as session:
            session.execute(update(SignInRow).values(ends_at=self.server.now()))

    def type(self, text: str = TYPED, page: Page | None = None) -> None:
        """Come to the job and type a width there."""
        at = page or self.page
        at.goto(self.url + JOB)
        at.locator(WIDTH).fill(text)

    def type_until_kept(self, text: str = TYPED, page: Page | None = None) -> None:
        with (page or self.page).expect_response(is_kept):
            self.type(text, page)

    def leave(self) -> None:
        """Be at another page of the shop's, by a link."""
        with next_page(self.page):
            self.page.get_by_role("navigation", name="Rooms").get_by_role("link", name="Jobs").click()

    def other_tab(self) -> Page:
        return self.page.context.new_page()

    def save_as_another(self) -> None:
        """The helper of the shop saves the job at another width."""
        with self.server.database.writing() as session:
            job = load_job_by_number(session, 4)
            item = {**job.document["items"][0], "sizes": {"width": "777 mm"}}
            save_job(
                session, job.id, {**job.document, "items": [item]}, job.version, at=self.server.now(),
                by=person_named(self.server, "helper"),
            )  # fmt: skip


def person_named(server: LiveServer, name: str) -> UUID:
    with server.database.reading() as session:
        return session.scalars(select(UserRow.id).where(UserRow.name == name)).one()


def is_kept(answer: Response) -> bool:
    return answer.url.endswith("/drafts") and answer.status == 204
