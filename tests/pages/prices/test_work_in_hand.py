"""What a file's prices do to open jobs and standing quotes, before any of them is kept."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

import pytest

from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp import in_short
from webapp.costing.catalogue.materials import with_prices
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs, read_snapshot
from webapp.estimating import PlanBook, gather_inputs
from webapp.persistence.catalogue.changes import add_price
from webapp.persistence.catalogue.records import load_catalogue
from webapp.persistence.jobs.records import list_jobs, load_job
from webapp.persistence.quotes.records import load_quote, standing_quotes
from webapp.persistence.settings.rates import current_rates
from webapp.persistence.settings.shop import load_shop
from webapp.remembered import Remembered
from webapp.work_in_hand import TRIALS, Trial, quote_today

SELLER = "ottermead"


def raised(client: Visitor, percent: str, kind: str = "") -> str:
    """The address of a preview of all prices of a supplier raised, or those of a kind."""
    sent = client.send_form("/prices/raise", {"supplier": SELLER, "kind": kind, "percent": percent})
    assert sent.status_code == 303, sent.text
    return str(sent.headers["location"])


def opened(client: Visitor) -> list[int]:
    """The open jobs, the sheet of each seen once."""
    with client.program.database.reading() as session:
        numbers = [one.number for one in list_jobs(session, state="open").entries]
    for number in numbers:
        assert client.get(f"/jobs/{number}").status_code == 200
    return numbers


def asked_again(page: str) -> str:
    """Where the page asks for more of what moves, '' where all of it is worked out."""
    found = re.search(r'id="in-hand"[^>]*hx-post="([^"]+)"', page)
    return found[1].replace("&amp;", "&") if found else ""


def trial_of(page: str) -> Trial:
    found = TRIALS.get(asked_again(page).partition("trial=")[2])
    assert found is not None
    return found


def followed(client: Visitor, page: str, place: str) -> str:
    """The part as it stands once all is worked out, asked for as the script does."""
    for _ in range(60):
        more = asked_again(page)
        if not more:
            return page
        page = client.swap(more, form_fields(client.get(place).text, "keep-file")).text
    raise AssertionError("it never ends")


def amounts(page: str, what: str, label: str) -> list[str]:
    """The amounts of a column in the row of a job or quote."""
    row = next(one for one in page.split("<tr") if f">{what}</a>" in one)
    return re.findall(rf'data-label="{label}".*?class="value">([^<]+)<', row)


def test_what_moves_is_marked_at_once_and_then_exact(demo_client: Visitor) -> None:
    opened(demo_client)
    place = raised(demo_client, "6")
    page = demo_client.get(place).text
    assert "0 of 4 worked out exactly" in page
    assert "not reckoned yet" not in page
    trial = trial_of(page)
    marked = trial.moved
    assert len(marked) == 4
    assert all(one.marked for one in marked)
    page = followed(demo_client, page, place)
    assert "worked out exactly" not in page
    assert "about" not in page
    assert not any(one.marked for one in trial.moved)
    for first, then in zip(marked, trial.moved, strict=True):
        by = then.after.cost - then.before.cost
        assert abs(first.after.cost - first.before.cost - by) <= by / 20 + Fraction(1, 10)


def test_what_is_exact_equals_estimating_each_anew(demo_client: Visitor) -> None:
    opened(demo_client)
    place = raised(demo_client, "6")
    page = demo_client.get(place).text
    trial = trial_of(page)
    followed(demo_client, page, place)
    with demo_client.program.database.reading() as session:
        shop = load_shop(session)

        def anew(trial: Trial, number: int) -> tuple[Estimate, Estimate]:
            """Before and after, worked out as for a sheet, with nothing known from before."""
            moved = trial.moved[number]
            if moved.work.quote is None:
                inputs = gather_inputs(session, load_job(session, moved.work.job_id).document, shop, trial.today)
            else:
                issued = read_snapshot(load_quote(session, moved.work.quote.id, trial.today).snapshot)
                inputs = quote_today(session, moved.work.job_id, issued, current_rates(session), trial.today)
            then = trial.tried.applied(inputs)
            assert then.catalogue == with_prices(inputs.catalogue, trial.tried.prices)
            books = [
                PlanBook(session, {f"frozen for {code}": plan for code, plan in inputs.plans.items()}) for _ in "ab"
            ]
            return estimate_inputs(inputs, books[0]), estimate_inputs(then, books[1])

        assert trial.moved
        for place_of, moved in enumerate(trial.moved):
            for told, worked in zip((moved.before, moved.after), anew(trial, place_of), strict=True):
                totals = worked.totals
                assert (told.total, told.net, told.cost) == (totals.total.value, totals.net.value, totals.cost.value)
                assert (told.paid_out, told.target) == (totals.floor_paid_out.value, totals.floor_target.value)


def test_the_sheets_say_what_the_preview_said_once_it_is_kept(demo_client: Visitor) -> None:
    opened(demo_client)
    place = raised(demo_client, "6")
    first = demo_client.get(place).text
    page = followed(demo_client, first, place)
    told = {number: amounts(page, f"Job {number}", "To pay then")[0] for number in (3, 4)}
    kept = demo_client.send_form(f"{place.partition('?')[0]}/keep", form_fields(first, "keep-file"))
    assert kept.status_code == 303, kept.text
    for number, amount in told.items():
        sheet = demo_client.get(f"/jobs/{number}").text
        assert amount in sheet, (number, amount)


def test_a_standing_quote_keeps_its_price_and_says_what_it_earns(demo_client: Visitor) -> None:
    place = raised(demo_client, "6")
    page = followed(demo_client, demo_client.get(place).text, place)
    with demo_client.program.database.reading() as session:
        (quote,) = standing_quotes(session, load_shop(session).today(demo_client.program.now()))
        stored = load_quote(session, quote.id, quote.issued_on)
    name = f"Quote {quote.number}, revision {quote.revision}"
    (was,), (now,) = amounts(page, name, "Earns now"), amounts(page, name, "Earns then")
    before, after = (Fraction(text.replace(",", "")) for text in (was, now))
    assert after < before <= Fraction(stored.estimate["totals"]["profit"])
    row = next(one for one in page.split("<tr") if f">{name}</a>" in one)
    assert f"{quote.total:,.2f}" in row
    assert f'href="/quotes/{quote.id}#became"' in row
    assert 'href="/jobs/5/issue">A next revision<' in row
    assert re.search(r"would come to [\d,.]+\sUSD, [\d.]+\sUSD more", row)
    assert "below the shop&#39;s profit" in row


def test_without_script_one_press_works_all_of_it_out(demo_client: Visitor) -> None:
    place = raised(demo_client, "6")
    page = demo_client.get(place).text
    press = re.search(r'<noscript>.*?formaction="([^"]+)"', page)
    assert press is not None
    fields = form_fields(page, "keep-file")
    answer = demo_client.send_form(press[1].replace("&amp;", "&"), fields)
    assert answer.status_code == 200
    assert "<h1>" in answer.text
    assert asked_again(answer.text) == ""
    assert "Job 3</a>" in answer.text


def test_what_is_no_longer_known_is_begun_anew(demo_client: Visitor) -> None:
    place = raised(demo_client, "6")
    fields = form_fields(demo_client.get(place).text, "keep-file")
    answer = demo_client.swap(f"{place.partition('?')[0]}/moves?trial=gone", fields)
    assert answer.status_code == 200
    assert asked_again(answer.text)
    assert "Quote 2, revision 2</a>" in answer.text


def test_a_doubtful_price_moves_nothing_until_it_is_ticked(demo_client: Visitor) -> None:
    place = raised(demo_client, "40", "sheet")
    page = demo_client.get(place).text
    assert "keeps its price and earns the same" in page
    fields = {**form_fields(page, "keep-file"), "group": "jump"}
    answer = demo_client.swap(f"{place.partition('?')[0]}/moves", fields)
    assert "keeps its price; it earns about" in answer.text


def test_what_comes_down_is_said_as_well(demo_client: Visitor) -> None:
    opened(demo_client)
    place = raised(demo_client, "-5")
    page = followed(demo_client, demo_client.get(place).text, place)
    assert re.search(r"it earns [\d.]+\sUSD more", page)
    assert re.search(r"3 of 3 open jobs move, to [\d.]+\sUSD less in all", page)


def test_what_a_sheet_came_to_is_not_worked_out_again(demo_client: Visitor, monkeypatch: pytest.MonkeyPatch) -> None:
    """Three jobs whose sheets were seen are estimated once each, at the prices to come; the quote before and after."""
    opened(demo_client)
    worked: list[object] = []

    def counted(inputs: Inputs, book: PlanBook) -> Estimate:
        worked.append(inputs.job)
        return estimate_inputs(inputs, book)

    monkeypatch.setattr(in_short, "IN_SHORT", Remembered(in_short.MOST_KEPT))
    monkeypatch.setattr(in_short, "estimate_inputs", counted)
    place = raised(demo_client, "7")
    followed(demo_client, demo_client.get(place).text, place)
    assert len(worked) == 3 + 2
    # A price that was kept meanwhile is another start: each job is worked out before and after.
    with demo_client.program.database.writing() as session:
        today = load_shop(session).today(demo_client.program.now())
        for seen in [one for found in load_catalogue(session, today).prices.values() for one in found]:
            add_price(session, replace(seen, amount=seen.amount + 1, seen_on=today), at=demo_client.program.now())
    worked.clear()
    place = raised(demo_client, "7")
    followed(demo_client, demo_client.get(place).text, place)
    assert len(worked) == 6 + 2
