"""Receipts at their pages: typed in a minute or taken from a list, whose money, photographs, and what goes back."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from fractions import Fraction
from html import unescape
from io import BytesIO
from pathlib import Path
from uuid import UUID

import pytest
from PIL import Image
from sqlalchemy import select

from tests.costing.buying_list.list_case import TERMS
from tests.harness.entering import enter
from tests.harness.visiting import Visitor
from tests.pages.buying_lists.test_lists import bought_lines, made
from webapp.app import create_app
from webapp.costing.measures.manner import Manner, writing_as
from webapp.costing.receipts.reading import TypedReceipt
from webapp.costing.receipts.receipt import Receipt, ReceiptLine
from webapp.pages.receipts.form import as_typed, plain
from webapp.persistence.backups.restore import make_backup, restore_backup
from webapp.persistence.catalogue.records import load_catalogue, price_history
from webapp.persistence.database.database import Database, open_database
from webapp.persistence.receipts.pictures import pictures_of
from webapp.persistence.receipts.records import StoredReceipt, load_receipt
from webapp.persistence.receipts.tables import ReceiptPriceRow, ReceiptRow
from webapp.running import utc_now

JOB = 2
RECEIPT = Receipt(
    "Brasslow Hardware", date(2026, 3, 2), Decimal("1234.50"), Decimal("4.33"), True, "stock",
    (ReceiptLine("Screws", Fraction(5, 2), Decimal("18.80"), "stock"),), (), TERMS,
)  # fmt: skip
TYPED = {
    "supplier": "Brasslow Hardware", "day": "2026-03-02", "total": "26.20", "tax": "", "hold_tax": "yes",
    "whose": f"job:{JOB}", "line.1.what": "BR-440", "line.1.count": "2", "line.1.paid": "18.80",
    "line.2.what": "Rags", "line.2.paid": "7.40", "line.2.whose": "running",
}  # fmt: skip


def words_of(page: str) -> str:
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page)))


def kept(visitor: Visitor, address: str = "/receipts/new", **typed: str) -> str:
    """The address of a receipt that was typed and kept."""
    answer = visitor.send_form(address, {**TYPED, **typed})
    assert answer.status_code == 303, words_of(answer.text)
    return answer.headers["location"]


def offer_of(visitor: Visitor, code: str) -> UUID:
    """The offer under a supplier's code."""
    with visitor.program.database.reading() as session:
        offers = load_catalogue(session, utc_now().date()).offers.values()
        return next(UUID(one.id) for found in offers for one in found if one.supplier_code == code)


def photograph(**tags: str) -> bytes:
    """A small photograph, with where it was taken written into it."""
    picture, content = Image.new("RGB", (40, 60), "white"), BytesIO()
    exif = Image.Exif()
    exif[0x010E] = tags.get("said", "taken at home")
    exif.get_ifd(0x8825)[2] = (48.0, 12.0, 3.0)
    picture.save(content, "JPEG", exif=exif)
    return content.getvalue()


def test_five_lines_are_typed_and_go_where_they_belong(demo_client: Visitor) -> None:
    address = kept(demo_client)
    page = words_of(demo_client.get(address).text)
    assert "Lines and total agree." in page
    assert "Screw 4 x 40 mm" in demo_client.get(address).text
    cost = words_of(demo_client.get(f"/jobs/{JOB}/bought").text)
    assert "Together 18.80" in cost
    assert "Rags" not in cost
    assert "Brasslow Hardware" in words_of(demo_client.get("/receipts").text)
    # Two boxes for 18.80: one is seen at 9.40, on the day of the receipt.
    with demo_client.program.database.reading() as session:
        latest = price_history(session, offer_of(demo_client, "BR-440"))
    assert any((one.amount, one.seen_on.isoformat()) == (Decimal("9.40"), "2026-03-02") for one in latest)


def test_a_receipt_put_right_takes_its_price_back(demo_client: Visitor) -> None:
    address, offer = kept(demo_client), offer_of(demo_client, "BR-440")

    def seen() -> list[Decimal]:
        with demo_client.program.database.reading() as session:
            return [one.amount for one in price_history(session, offer) if one.where == "receipt of Brasslow Hardware"]

    assert seen() == [Decimal("9.40")]
    right = {**TYPED, "line.1.count": "1", "line.1.paid": "9.50", "total": "16.90", "version": "1"}
    assert demo_client.send_form(address, right).status_code == 303
    assert seen() == [Decimal("9.50")]
    assert "Together 9.50" in words_of(demo_client.get(f"/jobs/{JOB}/bought").text)
    # Somebody who saw the receipt as it was is told, and nothing of theirs is lost.
    stale = demo_client.send_form(address, {**right, "note": "typed meanwhile"})
    assert stale.status_code == 409
    assert "Somebody else put this receipt right meanwhile" in words_of(stale.text)
    assert "typed meanwhile" in stale.text


def test_a_price_that_jumps_is_asked_about_and_kept_once_it_is_said_to_be_right(demo_client: Visitor) -> None:
    jumping = {"line.1.paid": "40.00", "total": "47.40", "day": ""}
    address, offer = kept(demo_client, **jumping), offer_of(demo_client, "BR-440")

    def told() -> bool:
        with demo_client.program.database.reading() as session:
            return any(one.amount == Decimal(20) for one in price_history(session, offer))

    assert not told()
    assert "20.00 for one was" in words_of(demo_client.get(address).text)
    assert demo_client.send_form(address, {**TYPED, **jumping, "line.1.sure": "yes", "version": "1"}).status_code == 303
    assert told()


def test_what_was_ticked_at_a_stop_is_its_receipt_and_on_no_other(demo_client: Visitor) -> None:
    address = made(demo_client, JOB)
    line = bought_lines(demo_client, address)[0]
    enter(demo_client, address, line.id, state="loaded", count=str(line.count), paid=str(line.till))
    number = address.rpartition("/")[2]
    asked = {"list": number, "stop": line.stop}
    page = demo_client.get("/receipts/new", params=asked).text
    value = f"{number}|{line.id}"
    assert re.search(rf'name="listed" value="{re.escape(value)}" checked', page)
    assert "receipts/new?list=" in demo_client.get(address).text
    only = {
        "supplier": line.stop, "day": "", "total": str(line.till), "hold_tax": "no", "whose": "running",
        "offered": value, "listed": value,
    }  # fmt: skip
    first = demo_client.send_form("/receipts/new", only)
    assert first.status_code == 303, words_of(first.text)
    receipt = words_of(demo_client.get(first.headers["location"]).text)
    assert "Lines and total agree." in receipt
    # The job paid it once: by the list, which the receipt names.
    cost = words_of(demo_client.get(f"/jobs/{JOB}/bought").text)
    assert f"Paid for what is there {line.till} USD" in cost
    assert "Nothing yet. A box of screws" in cost
    assert "Receipt 1" in cost
    again = demo_client.send_form("/receipts/new", only)
    assert again.status_code == 422
    assert f"A line of list {number} stands on receipt 1 already" in words_of(again.text)
    assert "stands on" in demo_client.get("/receipts/new", params=asked).text


def test_something_goes_back_on_the_job_that_bought_it(demo_client: Visitor) -> None:
    first = kept(demo_client)
    page = demo_client.get("/receipts/new", params={"returns": first.rpartition("/")[2]}).text
    assert re.search(r'name="comes_back"[^>]* checked', page)
    assert 'value="18.80"' in page
    back = {
        "comes_back": "yes", "returns": "1", "total": "9.40", "line.1.count": "1", "line.1.paid": "9.40",
        "line.1.whose": f"job:{JOB}", "line.2.what": "", "line.2.paid": "", "line.2.whose": "",
    }  # fmt: skip
    second = kept(demo_client, **back)
    assert "-9.40" in words_of(demo_client.get(second).text)
    assert "Together 9.40" in words_of(demo_client.get(f"/jobs/{JOB}/bought").text)


def test_no_more_goes_back_than_was_bought(demo_client: Visitor) -> None:
    kept(demo_client)
    back = {"comes_back": "yes", "returns": "1", "total": "20.00", "line.2.what": "", "line.2.paid": "",
            "line.1.count": "", "line.1.paid": "20.00"}  # fmt: skip
    kept(demo_client, **back)
    again = demo_client.send_form("/receipts/new", {**TYPED, **back})
    assert again.status_code == 422
    assert "40.00 would have come back on receipt 1, of which 26.20 was paid" in words_of(again.text)


def test_a_shared_line_goes_back_by_its_shares(demo_client: Visitor) -> None:
    """Of 100.00 that two jobs share, each is given back what it bore, to the last coin."""
    address = made(demo_client, JOB, 4)
    line = next(one for one in bought_lines(demo_client, address) if len(one.jobs) == 2)
    enter(demo_client, address, line.id, state="loaded", count=str(line.count), paid="100.00")
    value = f"{address.rpartition('/')[2]}|{line.id}"
    only = {"supplier": line.stop, "total": "100.00", "hold_tax": "no", "offered": value, "listed": value}
    assert demo_client.send_form("/receipts/new", only).status_code == 303
    page = demo_client.get("/receipts/new", params={"returns": "1"}).text
    amounts = [Decimal(text) for text in re.findall(r'name="line\.\d+\.paid"[^>]* value="([^"]+)"', page)]
    assert len(amounts) == 2
    assert sum(amounts) == 100
    for job in (JOB, 4):
        assert re.search(rf'<option value="job:{job}" selected>', page)


def test_what_the_list_says_was_sent_back_is_said_where_it_would_go_back_once_more(demo_client: Visitor) -> None:
    address = made(demo_client, JOB)
    line = next(one for one in bought_lines(demo_client, address) if one.offered and one.count == 1)
    assert line.offered is not None
    entered = enter(demo_client, address, line.id, state="loaded", count="1", paid=str(line.till))
    assert entered.status_code == 303
    back = {
        "supplier": line.stop, "total": str(line.till), "hold_tax": "no", "comes_back": "yes", "whose": "",
        "line.1.what": f"{line.what}, {line.offered.pack}", "line.1.count": "1", "line.1.paid": str(line.till),
        "line.1.whose": f"job:{JOB}",
    }  # fmt: skip
    before = words_of(demo_client.send_form("/receipts/reckon", back).text)
    assert "was sent back" not in before
    assert enter(demo_client, address, line.id, state="sent back", count="0").status_code == 303
    said = words_of(demo_client.send_form("/receipts/reckon", back).text)
    assert f"List {address.rpartition('/')[2]} says already that {line.what} was sent back" in said
    assert "here it would leave the job's cost a second time" in said


def test_a_note_moves_no_price_to_the_top_and_a_job_of_long_ago_stays(
    demo_client: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    address, offer = kept(demo_client), offer_of(demo_client, "BR-440")
    monkeypatch.setattr("webapp.pages.receipts.known.MOST_JOBS", 1)
    page = demo_client.get(address).text
    assert re.search(rf'<option value="job:{JOB}" selected>', page)

    def kept_prices() -> list[int]:
        with demo_client.program.database.reading() as session:
            return list(session.scalars(select(ReceiptPriceRow.price_id)))

    before = kept_prices()
    noted = {**TYPED, "line.1.what": "Screw 4 x 40 mm, pack of 100", "note": "paid in cash", "version": "1"}
    assert demo_client.send_form(address, noted).status_code == 303
    assert kept_prices() == before
    with demo_client.program.database.reading() as session:
        assert price_history(session, offer)
    assert "Together 18.80" in words_of(demo_client.get(f"/jobs/{JOB}/bought").text)


def test_what_is_no_jobs_takes_a_name_and_a_total(demo_client: Visitor) -> None:
    page = demo_client.get("/receipts/new", params={"whose": "running"}).text
    assert re.search(r'<option value="running" selected>', page)
    answer = demo_client.send_form("/receipts/new", {"supplier": "Fuel", "total": "60", "whose": "running"})
    assert answer.status_code == 303
    assert "fuel, rags, what is used up 60.00" in words_of(demo_client.get(answer.headers["location"]).text)


def test_what_is_wrong_stands_beside_its_field_and_nothing_typed_is_lost(demo_client: Visitor) -> None:
    typed = {**TYPED, "total": "much", "line.2.paid": "-3", "note": "from the van", "line.5.what": "Glue"}
    answer = demo_client.send_form("/receipts/new", typed)
    assert answer.status_code == 422
    page = words_of(answer.text)
    assert "“much” can't be read" in page
    assert "tick that it is a return" in page
    assert "Glue: type the amount that the receipt prints for it." in page
    for text in ("much", "-3", "BR-440", "Glue"):
        assert f'value="{text}"' in answer.text
    assert "from the van" in answer.text
    with demo_client.program.database.reading() as session:
        assert session.scalar(select(ReceiptRow.number)) is None


def test_it_is_added_up_while_it_is_typed(demo_client: Visitor) -> None:
    page = words_of(demo_client.swap("/receipts/reckon", {**TYPED, "total": "31.20"}).text)
    assert "The total is 5.00 USD more than its lines. Is a line missing" in page
    assert "Not explained by its lines 5.00" in page


def test_a_photograph_is_drawn_anew_without_its_place(demo_client: Visitor) -> None:
    address = kept(demo_client)
    sent = demo_client.send_form(f"{address}/pictures", files={"file": ("receipt.jpg", photograph(), "image/jpeg")})
    assert sent.status_code == 303, words_of(sent.text)
    with demo_client.program.database.reading() as session:
        (one,) = pictures_of(session, 1)
    picture = demo_client.get(f"{address}/pictures/{one.id}")
    assert picture.headers["content-type"] == "image/jpeg"
    with Image.open(BytesIO(picture.content)) as shown:
        assert shown.size == (40, 60)
        assert not shown.getexif()
    assert b"taken at home" not in picture.content
    assert demo_client.send_form(f"{address}/pictures/{one.id}/remove").status_code == 303
    assert demo_client.get(f"{address}/pictures/{one.id}").status_code == 404


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "Choose a photograph first."),
        (b"no picture at all", "no JPEG, PNG or WebP picture"),
        (b"\xff\xd8" + b"\0" * 8_000_100, "more than 8 MB"),
    ],
    ids=["none", "no picture", "too large"],
)
def test_a_file_that_is_no_photograph_is_refused_and_the_receipt_stays(
    demo_client: Visitor, content: bytes, says: str
) -> None:
    address = kept(demo_client)
    files = {"file": ("receipt.jpg", content, "image/jpeg")} if content else {"file": ("", b"", "image/jpeg")}
    answer = demo_client.send_form(f"{address}/pictures", files=files)
    assert answer.status_code == 422
    assert says in words_of(answer.text)
    assert demo_client.get(address).status_code == 200


def test_receipts_and_their_photographs_are_the_owners(demo_client: Visitor, demo_database: Database) -> None:
    address = kept(demo_client)
    demo_client.send_form(f"{address}/pictures", files={"file": ("receipt.jpg", photograph(), "image/jpeg")})
    with demo_client.program.database.reading() as session:
        (one,) = pictures_of(session, 1)
    helper = Visitor(create_app(demo_client.program.settings, demo_database))
    helper.sign_in("helper")
    for path in ("/receipts", "/receipts/new", address, f"{address}/pictures/{one.id}"):
        assert helper.get(path).status_code == 403, path
    assert helper.send_form("/receipts/new", TYPED).status_code == 403
    assert "receipts" not in helper.get(f"/jobs/{JOB}/bought").text


def test_a_backup_holds_them(demo_client: Visitor, tmp_path: Path) -> None:
    address = kept(demo_client)
    demo_client.send_form(f"{address}/pictures", files={"file": ("receipt.jpg", photograph(), "image/jpeg")})
    make_backup(demo_client.program.database, tmp_path / "kept.zip", at=utc_now())
    elsewhere = f"sqlite:///{tmp_path / 'elsewhere.sqlite'}"
    restore_backup(elsewhere, tmp_path / "kept.zip", tmp_path, at=utc_now())
    other = open_database(elsewhere)
    with demo_client.program.database.reading() as before, other.reading() as after:
        assert load_receipt(after, 1) == load_receipt(before, 1)
        assert pictures_of(after, 1) == pictures_of(before, 1)
    other.close()


def test_a_receipt_is_typed_and_shown_with_the_shops_decimal_sign() -> None:
    kept_one = StoredReceipt(UUID(int=1), 1, 1, RECEIPT, utc_now())
    with writing_as(Manner(",", ".")):
        typed = as_typed(kept_one)
        (line,) = typed.lines
        assert (typed.total, typed.tax, line.paid, line.count) == ("1234,50", "4,33", "18,80", "2,5")
        assert plain(typed, "USD") == as_typed_plainly(kept_one)


def as_typed_plainly(stored: StoredReceipt) -> TypedReceipt:
    with writing_as(Manner()):
        return as_typed(stored)


def test_the_trail_leads_to_receipts(demo_client: Visitor) -> None:
    address = kept(demo_client)
    assert f'href="{address}"' in demo_client.get("/people/history").text
