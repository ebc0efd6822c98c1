"""In Chromium: a list ticked with one thumb on two telephones without signal, closed and opened again meanwhile."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final
from urllib.parse import urlencode
from uuid import UUID

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import MILLISECONDS_TO_ACT, Pages, next_page, wait_until
from tests.harness.serving import LiveServer, sign_in
from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.costing.buying_list.cost import cost_of_job
from webapp.costing.buying_list.settle import SettledList, settle
from webapp.persistence.buying_lists.records import StoredList, load_list
from webapp.persistence.catalogue.records import price_history

#: Jobs of the demo whose pool has more than forty lines to buy.
JOBS: Final = (1, 2, 3, 4, 5)
TICKED: Final = 40
#: The least height of what is tapped: the house's rule for telephones.
TARGET: Final = 44
#: At most so many touches for a line as expected, and for one with another price.
AS_EXPECTED, OTHERWISE = 2, 4


def make(server: LiveServer, *jobs: int) -> str:
    """The address of a list made for these jobs, by the owner."""
    owner = Visitor(create_app(server.settings, server.database))
    owner.sign_in()
    answer = owner.send_form("/lists", {"job": [str(job) for job in jobs]})
    assert answer.status_code == 303
    return answer.headers["location"]


def stored(server: LiveServer, address: str) -> StoredList:
    with server.database.reading() as session:
        return load_list(session, int(address.rpartition("/")[2]))


def settled(server: LiveServer, address: str) -> SettledList:
    found = stored(server, address)
    return settle(found.makings, found.entries)


@dataclass
class Telephone:
    """A telephone in somebody's hand: its touches are counted."""

    server: LiveServer
    context: BrowserContext
    address: str
    page: Page
    touches: int = 0
    most: dict[str, int] = field(default_factory=dict)

    def open(self) -> None:
        """Open the list in a page of its own."""
        self.page = self.context.new_page()
        self.page.goto(f"{self.server.url}{self.address}")

    def keep(self) -> None:
        """Wait until the list can be opened without signal."""
        expect(self.page.locator("#docket[data-kept=yes]")).to_have_count(1)

    def touch(self, what: Locator) -> None:
        box = what.bounding_box()
        assert box is not None
        assert box["height"] >= TARGET, what
        what.tap()
        self.touches += 1

    def line(self, line_id: str) -> Locator:
        return self.page.locator(f'[data-line="{line_id}"]')

    @contextmanager
    def counted(self, kind: str) -> Iterator[None]:
        """Count the touches that a line takes."""
        before = self.touches
        yield
        self.most[kind] = max(self.most.get(kind, 0), self.touches - before)

    def load(self, line_id: str, paid: str = "") -> None:
        """Load a line as expected, or with what was paid otherwise."""
        line = self.line(line_id)
        with self.counted("otherwise" if paid else "as expected"):
            self.touch(line.locator("summary").first)
            if paid:
                self.touch(line.get_by_label("Paid in all"))
                self.page.keyboard.type(paid)
            self.touch(line.get_by_role("button", name="Loaded"))
        expect(line.locator(".stands")).to_have_text("loaded")

    def substitute(self, line_id: str, instead: str, paid: str) -> None:
        line = self.line(line_id)
        with self.counted("another thing"):
            self.touch(line.locator("summary").first)
            self.touch(line.get_by_label("Paid in all"))
            self.page.keyboard.type(paid)
            self.touch(line.locator(".otherwise > summary"))
            self.touch(line.get_by_label("Another thing in its place"))
            self.page.keyboard.type(instead)
            self.touch(line.get_by_role("button", name="Loaded"))

    def pass_on(self, line_id: str) -> None:
        line = self.line(line_id)
        with self.counted("to the next stop"):
            self.touch(line.locator("summary").first)
            self.touch(line.get_by_role("button", name="Next stop"))
        expect(line.locator(".stands")).to_have_text("put on a later stop")

    def waits(self, words: str) -> None:
        expect(self.page.locator("#waiting-count")).to_have_text(words)


@pytest.fixture
def telephone(pages: Pages, live_server: LiveServer) -> Iterator[Callable[..., Telephone]]:
    """Telephones that open a list; each knows nothing of the others."""
    opened: list[BrowserContext] = []

    def bring(address: str, name: str = "demo", **options: object) -> Telephone:
        context = pages.browser.new_context(
            viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True, **options  # type: ignore[arg-type]
        )  # fmt: skip
        context.set_default_timeout(MILLISECONDS_TO_ACT)
        opened.append(context)
        found = Telephone(live_server, context, address, context.new_page())
        sign_in(found.page, live_server, name)
        found.page.goto(f"{live_server.url}{address}")
        return found

    yield bring
    for context in opened:
        context.close()


@pytest.mark.parametrize("first", ["the one that bought", "the other"])
def test_two_telephones_without_signal_end_in_one_state(
    live_server: LiveServer, telephone: Callable[..., Telephone], first: str
) -> None:
    """Forty lines ticked, six paid otherwise, two substituted, one sent to the next stop; the page closed and opened
    again in airplane mode; the other telephone pays one of the lines differently."""
    address = make(live_server, *JOBS)
    lines = [line for line in settled(live_server, address).making.lines if line.till and not line.taken][:TICKED]
    assert len(lines) == TICKED
    here, there = telephone(address), telephone(address, "helper")
    for one in (here, there):
        one.keep()
        one.context.set_offline(True)
    dearer = {line.id: str(line.till + Decimal("0.37")) for line in lines[2:8] if line.till}
    passed = next(line for line in lines[20:] if line.stop != settled(live_server, address).stops[-1])
    others = [line for line in lines if line.id not in dearer and line is not passed]
    swapped = {line.id for line in others[10:12]}
    for place, line in enumerate(lines):
        if place == TICKED // 2:
            here.waits(f"{place} entries")
            here.page.close()
            here.open()
            here.waits(f"{place} entries")
            # The code on the shopping list leads there too.
            here.page.goto(f"{live_server.url}/lists/for?{urlencode([('job', job) for job in JOBS])}")
            expect(here.page).to_have_url(f"{live_server.url}{address}")
            here.waits(f"{place} entries")
            expect(here.page.locator("#no-signal")).to_be_visible()
        if line is passed:
            here.pass_on(line.id)
        elif line.id in swapped:
            here.substitute(line.id, "Another make", "19.90")
        else:
            here.load(line.id, dearer.get(line.id, ""))
    here.waits(f"{TICKED} entries")
    # The other telephone counts its only entry as the first, so that the later of the two holds in either order.
    there.load(lines[5].id, "44.00")
    there.waits("1 entry")
    both = [here, there] if first == "the one that bought" else [there, here]
    for one in both:
        one.context.set_offline(False)
        one.waits("nothing")
    found = stored(live_server, address)
    assert len(found.entries) == TICKED + 1
    assert [one.counter for one in found.entries if one.by == "demo"] == list(range(1, TICKED + 1))
    state = settle(found.makings, found.entries)
    by_id = {one.id: one for one in state.lines}
    for line in lines:
        stands = by_id[line.id]
        if line is passed:
            assert (stands.state, stands.stop) == ("later", stands.next_stop)
        elif line.id in swapped:
            assert stands.holds is not None
            assert (stands.holds.said.instead, stands.paid) == ("Another make", Decimal("19.90"))
        else:
            assert (stands.state, str(stands.paid)) == ("loaded", dearer.get(line.id, str(line.till)))
    assert [one.by for one in by_id[lines[5].id].otherwise] == ["helper"]
    # One cost: what was paid, to the cent, over all jobs; one price history: of each line bought as listed one price.
    paid = sum((stands.paid or Decimal(0)) for stands in state.lines)
    told = sum(Decimal(dearer.get(line.id, "19.90" if line.id in swapped else str(line.till)))
               for line in lines if line is not passed)  # fmt: skip
    assert paid == told
    assert sum(cost_of_job(job, [(1, state)], 2).paid.value for job in JOBS) == told
    where = f"list {address.rpartition('/')[2]}"
    with live_server.database.reading() as session:
        for line in lines:
            assert line.offered is not None
            seen = [one for one in price_history(session, UUID(line.offered.offer)) if one.where == where]
            assert len(seen) == (0 if line is passed or line.id in swapped else 1), line.what
    assert here.most["as expected"] <= AS_EXPECTED
    assert here.most["otherwise"] <= OTHERWISE
    assert here.most["to the next stop"] <= AS_EXPECTED
    print(f"touches: {here.touches} for {TICKED} lines, at most {here.most}")
    here.page.reload()
    expect(here.page.locator(f'[data-line="{lines[5].id}"] .doubt')).to_contain_text("neither knowing of the other")
    assert_no_barrier(here.page)


def test_an_ended_sign_in_loses_nothing_and_a_fresh_one_sends_it(
    live_server: LiveServer, telephone: Callable[..., Telephone]
) -> None:
    address = make(live_server, 2)
    line = next(one for one in settled(live_server, address).making.lines if one.till)
    here = telephone(address)
    here.keep()
    here.context.clear_cookies()
    here.load(line.id)
    expect(here.page.locator("#signed-out")).to_be_visible()
    here.waits("1 entry")
    # Once the sign-in page is shown nobody gets a page that was kept, prices and all, however slow the signal is.
    pages_kept = "() => caches.has('lists-pages')"
    assert here.page.evaluate(pages_kept)
    here.page.goto(f"{live_server.url}/sign-in")
    wait_until(here.page, lambda: not here.page.evaluate(pages_kept))
    # Somebody else signs in with this browser: what waits is not theirs, and they are not shown it.
    sign_in(here.page, live_server, "helper")
    here.page.goto(live_server.url)
    wait_until(here.page, lambda: here.page.evaluate("async () => (await caches.keys()).length") == 0)
    here.page.goto(f"{live_server.url}{address}")
    here.waits("nothing")
    assert stored(live_server, address).entries == ()
    sign_in(here.page, live_server, "demo")
    here.page.goto(f"{live_server.url}{address}")
    here.waits("nothing")
    wait_until(here.page, lambda: len(stored(live_server, address).entries) == 1)
    assert stored(live_server, address).entries[0].by == "demo"


def test_what_waits_is_offered_before_signing_out_which_then_clears_it(
    live_server: LiveServer, telephone: Callable[..., Telephone]
) -> None:
    address = make(live_server, 2)
    line = next(one for one in settled(live_server, address).making.lines if one.till)
    # What a worker would let through, no test could hold back.
    here = telephone(address, service_workers="block")
    here.page.evaluate("() => caches.open('lists-pages')")
    sent = re.compile(rf"{address}$")
    here.page.route(sent, lambda one: one.abort() if one.request.method == "POST" else one.fallback())
    here.load(line.id)
    here.waits("1 entry")
    here.page.get_by_role("button", name="Sign out").tap()
    note = here.page.locator("#outbox-note")
    expect(note).to_contain_text("1 entry of your lists waits on this browser and is not sent yet.")
    note.get_by_role("button", name="Stay signed in").tap()
    here.waits("1 entry")
    here.page.unroute_all()
    with next_page(here.page):
        here.page.get_by_role("button", name="Sign out").tap()
    expect(here.page.get_by_label("Password")).to_be_visible()
    assert len(stored(live_server, address).entries) == 1
    entries = "Object.keys(localStorage).filter((key) => key.startsWith('outbox')).length"
    assert here.page.evaluate(f"async () => [{entries}, (await caches.keys()).length]") == [0, 0]


def test_over_plain_http_an_open_list_goes_on_and_is_found_again(
    live_server: LiveServer, telephone: Callable[..., Telephone]
) -> None:
    """Chromium takes this machine's own address for safe, so that the page is told that it is not."""
    address = make(live_server, 2)
    first, second = [one for one in settled(live_server, address).making.lines if one.till][:2]
    here = telephone(address, service_workers="block")
    here.context.add_init_script("Object.defineProperty(window, 'isSecureContext', { value: false });")
    here.page.reload()
    expect(here.page.locator("#plain-http")).to_contain_text("It can't be opened anew without signal")
    expect(here.page.locator("#plain-http a").first).to_have_attribute("href", f"{address}/list.pdf")
    here.context.set_offline(True)
    here.load(first.id)
    here.load(second.id, "3.21")
    here.waits("2 entries")
    here.page.close()
    here.context.set_offline(False)
    here.open()
    here.waits("nothing")
    wait_until(here.page, lambda: len(stored(live_server, address).entries) == 2)
    assert [str(one.paid) for one in settled(live_server, address).lines if one.paid] == [str(first.till), "3.21"]


def test_what_can_not_be_read_is_said_at_its_field_without_signal_and_with(
    live_server: LiveServer, telephone: Callable[..., Telephone]
) -> None:
    address = make(live_server, 2)
    line = next(one for one in settled(live_server, address).making.lines if one.till)
    here = telephone(address)
    here.keep()
    here.context.set_offline(True)
    row = here.line(line.id)
    row.locator("summary").first.tap()
    row.locator(".otherwise > summary").tap()
    row.get_by_label("How many").fill("-3")
    row.get_by_role("button", name="Loaded").tap()
    expect(row.get_by_text("That is no count: type how many there are, 0 or more.")).to_be_visible()
    expect(row.get_by_label("How many")).to_have_value("-3")
    here.waits("nothing")
    # What only the shop's computer can tell waits, says what it is, and is put right.
    row.get_by_label("How many").fill("2")
    row.get_by_label("Paid in all").fill("12.345")
    row.get_by_role("button", name="Loaded").tap()
    here.waits("1 entry")
    here.context.set_offline(False)
    expect(row.locator(".waits")).to_contain_text("more decimals than the currency")
    here.waits("1 entry")
    row.locator("summary").first.tap()
    row.get_by_label("Paid in all").fill("12.34")
    row.get_by_role("button", name="Loaded").tap()
    here.waits("nothing")
    assert [str(one.paid) for one in settled(live_server, address).lines if one.paid] == ["12.34"]


def test_also_bought_without_signal_and_a_clock_a_year_off(
    live_server: LiveServer, telephone: Callable[..., Telephone]
) -> None:
    address = make(live_server, 2)
    here = telephone(address)
    here.keep()
    here.page.clock.install()
    here.context.set_offline(True)
    here.page.get_by_text("Also bought: add a line").tap()
    also = here.page.locator("#also")
    also.get_by_label("What").fill("Masking tape")
    also.get_by_label("Paid in all").fill("7.50")
    also.get_by_role("button", name="Add the line").tap()
    expect(here.page.locator("#also-lines")).to_contain_text("Masking tape")
    here.page.close()
    # The telephone's clock is set a year back in between; the list's day is the shop's all the same.
    here.page = here.context.new_page()
    here.page.clock.set_system_time(live_server.now().timestamp() - 365 * 24 * 3600)
    here.page.goto(f"{live_server.url}{address}")
    here.waits("1 entry")
    here.context.set_offline(False)
    here.page.goto(f"{live_server.url}{address}")
    here.waits("nothing")
    wait_until(here.page, lambda: len(stored(live_server, address).entries) == 1)
    (entry,) = stored(live_server, address).entries
    assert entry.day >= settled(live_server, address).making.made_on
    expect(here.page.locator(".ln", has_text="Masking tape")).to_be_visible()


def test_a_list_works_as_plain_forms_without_script(live_server: LiveServer, pages: Pages) -> None:
    address = make(live_server, 2)
    line = next(one for one in settled(live_server, address).making.lines if one.till)
    with pages.opened(script=False, width=390, height=844) as page:
        sign_in(page, live_server)
        page.goto(f"{live_server.url}{address}")
        row = page.locator(f'[data-line="{line.id}"]')
        row.locator("summary").first.click()
        row.get_by_label("Paid in all").fill("41.40")
        with next_page(page):
            row.get_by_role("button", name="Loaded").click()
        expect(row.locator(".stands")).to_have_text("loaded")
        expect(row.locator("summary .v").first).to_have_text("41.40")
        row.locator("summary").first.click()
        row.get_by_label("Paid in all").fill("a lot")
        with next_page(page):
            row.get_by_role("button", name="Loaded").click()
        expect(row.get_by_text("can't be read as an amount")).to_be_visible()
        expect(row.get_by_label("Paid in all")).to_have_value("a lot")
