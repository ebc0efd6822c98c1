"""What a changed setting moves is shown before it is kept, and is what the job comes to afterwards."""

from __future__ import annotations

import re
from html import unescape

from tests.harness.visiting import Visitor
from webapp.persistence.database.database import Database
from webapp.persistence.settings.rates import current_rate_set


def _words(page: str) -> str:
    """A part of a page as it is read, on one line."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def _moves(page: str) -> str:
    return _words(page.split('id="moves"')[1].split('id="why"')[0])


def _price(visitor: Visitor, number: int) -> str:
    page = _words(visitor.get("/").text)
    found = re.search(rf"Job {number}: .*? ([\d,]+\.\d\d) USD", page)
    assert found is not None
    return found[1]


def test_a_try_shows_both_prices_keeps_nothing_and_comes_true(demo_client: Visitor, demo_database: Database) -> None:
    before = _price(demo_client, 2)
    changed = {"overhead_per_hour": "30", "job": "2", "base": "0", "why": "rent"}
    with demo_database.reading() as session:
        changed["base"] = str(current_rate_set(session).number)
    tried = demo_client.send_form("/settings/charges/try", changed)
    assert tried.status_code == 200
    moves = _moves(tried.text)
    prices = re.search(r"Price, to pay USD?([\d,.]+)", moves) or re.search(r"Price, to pay \D*([\d,]+\.\d\d)", moves)
    assert prices is not None
    assert prices[1] == before
    after = re.findall(r"\d[\d,]*\.\d\d", moves)[1]
    assert after != before
    assert "Overhead" in moves
    assert "Materials as bought" in moves
    assert "Steps of the work" not in moves, "overhead moves no hours"
    assert _price(demo_client, 2) == before
    with demo_database.reading() as session:
        assert str(current_rate_set(session).number) == changed["base"]
    assert demo_client.send_form("/settings/charges", changed).status_code == 303
    assert _price(demo_client, 2) == after


def test_what_moves_nothing_and_what_cannot_be_read_are_said(demo_client: Visitor) -> None:
    assert "nothing moves" in _moves(demo_client.send_form("/settings/charges/try", {"job": "2"}).text)
    still = demo_client.send_form("/settings/printing/try", {"quote_days": "29", "job": "2"})
    assert "Nothing moves in job 2." in _moves(still.text)
    wrong = demo_client.send_form("/settings/cutting/try", {"kerf": "1 ft", "job": "2"})
    assert wrong.status_code == 422
    assert "Width of a saw cut: “1 ft” is out of range" in _moves(wrong.text)
    assert demo_client.send_form("/settings/cutting/try", {"kerf": "2 mm", "job": "999"}).status_code == 404
    odd = demo_client.send_form("/settings/cutting/try", {"kerf": "2 mm", "job": "x"})
    assert odd.status_code == 200


def test_a_setting_goes_back_to_its_default_in_the_form_alone(client: Visitor, shop_database: Database) -> None:
    client.send_form("/settings/cutting", {"kerf": "2 mm", "base": "0", "why": "thin"})
    page = client.get("/settings/cutting").text
    assert "Back to default: 1/8 in" in _words(page)
    assert 'name="back" value="sheet_trim"' not in page
    back = client.send_form("/settings/cutting/try", {"kerf": "3/32 in", "base": "1", "back": "kerf"}).text
    field = re.search(r'<input id="kerf"[^>]*value="([^"]+)"', back)
    assert field is not None
    with shop_database.reading() as session:
        assert current_rate_set(session).number == 1
    kept = client.send_form("/settings/cutting", {"kerf": field[1], "base": "1", "why": "back"})
    assert kept.status_code == 303
    with shop_database.reading() as session:
        assert current_rate_set(session).rates.own == frozenset()


def test_steps_are_tried_too(demo_client: Visitor) -> None:
    page = demo_client.get("/settings/steps").text
    step = re.search(r'name="([a-z_]+)\.set_up"', page)
    assert step is not None
    tried = {f"{name}.set_up": "500" for name in re.findall(r'name="([a-z_]+)\.set_up"', page)}
    moves = _moves(demo_client.send_form("/settings/steps/try", {**tried, "job": "2"}).text)
    assert "Steps of the work" in moves
    assert "Hours" in moves


def test_any_two_sets_are_compared_in_a_job(demo_client: Visitor, demo_database: Database) -> None:
    with demo_database.reading() as session:
        base = current_rate_set(session).number
    demo_client.send_form("/settings/charges", {"overhead_per_hour": "30", "base": str(base), "why": "rent"})
    page = _words(demo_client.get(f"/settings/compare?one={base}&other={base + 1}&job=2").text)
    assert "Overhead for each hour of a person 21.00 USD 30.00 USD" in page
    assert "What it moves in job 2" in page
    assert "Price, to pay" in page
    assert "They say the same." in _words(demo_client.get(f"/settings/compare?one={base}&other={base}").text)
    assert demo_client.get("/settings/compare?one=99").status_code == 404


def _in_hand(page: str) -> str:
    return _words(page.split('id="in-hand"')[1].split('id="why"')[0])


def test_a_new_wage_is_tried_in_all_work_in_hand(demo_client: Visitor, demo_database: Database) -> None:
    """Told in proportion at once, then job by job; a quote that is with a customer keeps its price."""
    for number in (2, 3, 4):
        demo_client.get(f"/jobs/{number}")
    before = _price(demo_client, 3)
    with demo_database.reading() as session:
        base = str(current_rate_set(session).number)
    changed = {"labour_maker": "60", "job": "2", "base": base, "why": "wages"}
    page = demo_client.send_form("/settings/charges/try?hand=yes", changed).text
    assert "What is marked “about”" in _in_hand(page)
    assert re.search(r"1 open quote|The open quote keeps its price; it earns about [\d,.]+ USD less", _in_hand(page))
    more = re.search(r'hx-post="([^"]+trial=[^"]+)"', page)
    for _ in range(20):
        if more is None:
            break
        page = demo_client.swap(unescape(more[1]), changed).text
        more = re.search(r'hx-post="([^"]+trial=[^"]+)"', page)
    told = _in_hand(page)
    assert "about" not in told
    row = told.split("Job 3 ")[1].split("Job ")[0]
    amounts = re.findall(r"[\d,]+\.\d\d", row)
    assert amounts[0] == before
    assert demo_client.send_form("/settings/charges", changed).status_code == 303
    assert _price(demo_client, 3) == amounts[1]


def test_what_moves_in_no_proportion_is_worked_out_alone(demo_client: Visitor) -> None:
    demo_client.get("/jobs/3")
    changed = {"kerf": "9 mm", "job": "2"}
    page = demo_client.send_form("/settings/cutting/try?hand=yes", changed).text
    assert "4 jobs not reckoned yet" in _in_hand(page)
    whole = re.search(r'<noscript>.*?formaction="([^"]+)"', page)
    assert whole is not None
    page = demo_client.send_form(unescape(whole[1]), changed).text
    assert "not reckoned yet" not in _in_hand(page)
    same = demo_client.send_form("/settings/cutting/try?hand=yes", {"job": "2"}).text
    assert "Nothing differs from what holds now" in _moves(same)


def test_steps_are_tried_in_all_work_in_hand(demo_client: Visitor) -> None:
    typed = {"saw_to_size.low": "5", "saw_to_size.likely": "9", "saw_to_size.high": "20", "job": "2"}
    page = demo_client.send_form("/settings/steps/try?hand=yes&wholly=yes", typed).text
    assert re.search(r"3 of 3 open jobs move, to [\d,.]+ USD more in all", _in_hand(page))
