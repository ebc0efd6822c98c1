"""In Chromium: a supplier's first file is pointed at, kept and undone; the next one is chosen and sent, no more."""

from __future__ import annotations

from pathlib import Path
from time import perf_counter

from playwright.sync_api import Page, expect

from tests.harness.barriers import assert_no_barrier
from tests.harness.browsing import OpenPage
from tests.harness.serving import LiveServer, sign_in

#: A hardware dealer's list as an old program writes it, in western Windows; its codes are those of the demo shop.
FIRST = """Eisenwaren Brasslow;;;;
Preise netto;;;;
;;;;
Artikel-Nr.;Bezeichnung;Größe;ME;Preis
BR-440;Spanplattenschraube;4,0 x 40;100 St;9,90
BR-435;Spanplattenschraube;4,0 x 35;100 St;10,40
BR-T40;Vierkantrohr;40 x 40 x 2;m;5,65
BR-3512;Schraube;3,5 x 12;Bündel;5,30
X-1;Türgriff weiß;128;St;8,90
"""


def test_a_suppliers_first_file_is_pointed_at_kept_and_undone(
    live_server: LiveServer, browser_page: Page, tmp_path: Path
) -> None:
    page, file = browser_page, tmp_path / "list.csv"
    file.write_bytes(FIRST.encode("cp1252"))
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/prices/import")
    assert_no_barrier(page)
    started, actions = perf_counter(), 0

    page.set_input_files("#file", file)
    page.select_option("#whose", "brasslow")
    page.click("#send-file button")
    actions += 3
    expect(page.get_by_label("Artikel-Nr.")).to_have_value("article")
    expect(page.get_by_label("Preis", exact=True)).to_have_value("price")
    assert_no_barrier(page)
    page.get_by_label("“bündel” is").select_option("pack")
    page.click("#point button[type=submit]")
    actions += 2
    expect(page.get_by_text("was 9.40, now 9.90, 5.3 % more")).to_be_visible()
    expect(page.get_by_role("heading", name="Far from the last price")).to_be_visible()
    assert_no_barrier(page)
    page.get_by_label("all of these are right").check()
    page.get_by_role("button", name="Keep these prices").click()
    actions += 2
    expect(page.get_by_text("4 prices were kept from list.csv.")).to_be_visible()
    assert_no_barrier(page)
    page.get_by_role("button", name="Undo all of it").click()
    actions += 1
    expect(page.get_by_text("its 4 prices are no longer in use")).to_be_visible()
    print(f"a first file pointed at, kept and undone: {actions} actions, {perf_counter() - started:.1f} s")

    # The second file: chosen, and sent; whose it is follows from its columns.
    file.write_bytes(FIRST.replace("9,90", "9,95").encode("cp1252"))
    page.set_input_files("#file", file)
    page.click("#send-file button")
    expect(page.get_by_text("was 9.40, now 9.95")).to_be_visible()


def test_a_file_is_taken_on_a_telephone_without_script(
    live_server: LiveServer, open_page: OpenPage, tmp_path: Path
) -> None:
    page, file = open_page(script=False, width=390, height=844), tmp_path / "list.csv"
    file.write_bytes(FIRST.encode("cp850"))
    sign_in(page, live_server)
    page.goto(f"{live_server.url}/prices/import")
    page.set_input_files("#file", file)
    page.select_option("#whose", "brasslow")
    page.click("#send-file button")
    page.get_by_label("“bündel” is").select_option("pack")
    page.click("#point button[type=submit]")
    expect(page.get_by_text("was 9.40, now 9.90")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.get_by_label("leave out: line 5").check()
    page.get_by_role("button", name="Keep these prices").click()
    expect(page.get_by_text("2 prices were kept from list.csv.")).to_be_visible()
