"""For seeded jobs: telephone, sheet, contents of quote, list and pack, and the document of `--json` agree to the coin.

Each is worked out apart, from its own form of the job, and read as it is shown; what adds up is added up here anew, in
decimals, by the rules as a shop says them. RECKONER_LONG=1 goes through all jobs, else a share of them does.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Any, Final

import pytest

from tests.documents.paper_case import text_of
from tests.harness.examples import LONG
from tests.pages.jobs.seeded_jobs import DAY, SeededJob, seeded_job
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.form import write_estimate
from webapp.costing.estimate.snapshot import Inputs, estimate_inputs, read_snapshot, write_snapshot
from webapp.costing.plans.requests import Plan
from webapp.documents.buying.shopping_list import FROM_RACK, NAMED_PARTS
from webapp.documents.printing.paper import Sum, reader_of
from webapp.documents.printing.pdf import make_pdf
from webapp.documents.quotes.frozen import Papers, write_papers
from webapp.documents.quotes.issue import quote_html, shopping_list_html
from webapp.documents.quotes.quote import Issue
from webapp.documents.workshop.pack import PackFor, workshop_html, workshop_pack
from webapp.pages.jobs.telephone import Bench, Said, _document, _first_sizes, _say, _size
from webapp.pages.sheet.materials import Typed
from webapp.pages.sheet.page import Worked, worked_from
from webapp.pages.sheet.problems import sort_problems
from webapp.pages.sheet.strip import Strip, build_strip, draw_price
from webapp.pages.sheet.tables import PriceTables, Tables, build_tables
from webapp.pages.shown.figures import Shower

ALL_JOBS: Final = 500
JOBS: Final = ALL_JOBS if LONG else 12
#: Making a PDF takes as long as all else together.
PRINTED: Final = 12 if LONG else 6
ISSUE: Final = Issue(1042, 2, DAY, date(2026, 12, 2))
PACK: Final = PackFor("quote 1042, revision 2", 7, False, DAY)
ZERO: Final = Decimal(0)


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the page of a job shows of its money and its hours."""

    tables: Tables
    price: PriceTables
    strip: Strip
    picture: str

    @property
    def sums(self) -> dict[str, Decimal]:
        """The foot of the price, its taxes as one."""
        found: dict[str, Decimal] = {"Tax": ZERO, "Card fee": ZERO}
        for words, shown, _ in self.price.sums:
            name = "Tax" if words.startswith("Tax at") else words
            found[name] = found.get(name, ZERO) + amount(shown.text)
        found.setdefault("Price before discount", found["Price without tax"])
        found.setdefault("Discount", ZERO)
        return found


def amount(text: str) -> Decimal:
    """A printed amount as a number, with its currency or without."""
    return Decimal(text.replace(",", "").replace("−", "-").replace("\N{NO-BREAK SPACE}", " ").split()[0])


def minutes_of(text: str) -> Decimal:
    """A printed time in minutes: 54 min, 8 h 54 min, 2 h."""
    said = re.fullmatch(r"(?:(\d+) h)?(?: ?([\d.]+) min)?", text)
    assert said is not None, text
    return Decimal(said[1] or 0) * 60 + Decimal(said[2] or 0)


def half_up(value: Fraction, places: int) -> Decimal:
    """A value rounded to whole coins, a half going up; far more digits are kept before than coins need."""
    return (Decimal(value.numerator) / Decimal(value.denominator)).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)


def down(value: Fraction, places: int) -> Decimal:
    """Down to the places of a currency."""
    return (Decimal(value.numerator) / Decimal(value.denominator)).quantize(Decimal(1).scaleb(-places), ROUND_FLOOR)


def estimated(inputs: Inputs, plans: dict[str, Plan]) -> Worked:
    return worked_from(inputs.job, inputs, estimate_inputs(inputs, plans))


def sheet_of(seeded: SeededJob, worked: Worked) -> Sheet:
    """The sheet of a job, as its page is built."""
    found, inputs = worked.estimate, worked.inputs
    shower = Shower("/jobs/7", reader_of(seeded.shop))
    problems = sort_problems(found.problems, worked.document, ())
    tables = build_tables(
        found, worked.document, inputs.catalogue, inputs.rates, shower, problems, Typed({}, {}, {}), ()
    )
    assert tables.price is not None
    strip = build_strip(found, worked.rates, shower, (), DAY, None)
    return Sheet(tables, tables.price, strip, draw_price(found, shower))


def json_of(inputs: Inputs, estimate: Estimate) -> Mapping[str, Any]:
    """The document of `--json`, worked out from what a quote would keep of the job."""
    kept = json.loads(json.dumps(write_snapshot(inputs, estimate)))
    read: Mapping[str, Any] = json.loads(json.dumps(write_estimate(estimate_inputs(read_snapshot(kept)))))
    return read


def telephoned(seeded: SeededJob, form: Mapping[str, Any], plans: dict[str, Plan]) -> tuple[Said, Said]:
    """What is said of the last item of a past job: when it is chosen, and when Enter has gone through its fields."""
    item = form["items"][-1]
    design, shop = seeded.design(item), seeded.shop
    terms = {
        name: held for name, held in form.items() if name not in {"form", "job", "customer", "site", "items", "notes"}
    }
    bench, chosen = Bench(design, item, "A past bench", terms), f"job:7:{item['id']}"
    asked = {"bench": chosen, "quantity": str(item["quantity"])}
    first = estimated(seeded.of(_document(bench, asked, shop.length_system)), plans)
    count = len(_first_sizes(design, shop.length_system))
    fields = {
        one.name: one.value for number in range(1, count + 1) if (one := _size(number, bench, first, asked, shop))
    }
    sent = {**asked, **fields, "was": chosen, "terms": "yes"}
    entered = estimated(seeded.of(_document(bench, sent, shop.length_system)), plans)
    return _say(first, shop, DAY, True), _say(entered, shop, DAY, True)


def hold_telephone(said: Said, sheet: Sheet) -> None:
    """The price on the telephone is the sheet's, rounded up to what one says and never below it."""
    rows = {words: text for words, text, *_ in said.rows}
    net = sheet.sums["Price without tax"]
    assert amount(rows["Price, as charged"]) == net
    assert amount(rows["With tax"]) == sheet.sums["Total to pay"]
    assert sheet.strip.money is not None
    assert amount(rows["Cost"]) == amount(sheet.strip.money.cost.text)
    assert rows["Hours, mean"] == sheet.strip.hours.text
    assert rows["Hours, likely"] == sheet.strip.hours_likely.text
    assert rows["Margin"] == sheet.strip.money.margin.text
    step = 5 if net < 200 else 10 if net < 1000 else 50 if net < 10_000 else 100
    assert amount(said.price) == (net / step).to_integral_value(ROUND_CEILING) * step


def hold_sheet(sheet: Sheet, document: Mapping[str, Any], places: int) -> None:
    """The sheet shows what `--json` says, line by line."""
    totals, sums, strip = document["totals"], sheet.sums, sheet.strip
    names = {
        "Price before discount": "price", "Discount": "discount", "Price without tax": "net", "Tax": "tax",
        "Card fee": "fee", "Total to pay": "total", "Deposit": "deposit", "Balance": "balance",
    }  # fmt: skip
    assert sums == {words: Decimal(totals[name]) for words, name in names.items()}
    assert all(len(totals[name].partition(".")[2]) == places for name in names.values())
    assert strip.money is not None
    assert (strip.money.net.text, strip.money.total.text, strip.money.cost.text) == tuple(
        f"{Decimal(totals[name]):,}" for name in ("net", "total", "cost")
    )
    assert f"Total to pay: {Decimal(totals['total']):,}\N{NO-BREAK SPACE}{document['currency']}" in sheet.picture
    for row, line in zip(sheet.price.lines, document["lines"], strict=True):
        assert (row.label, amount(row.cost.text), amount(row.each.text), amount(row.net.text)) == (
            line["label"], Decimal(line["cost"]), Decimal(line["each"]), Decimal(line["net"]),
        )  # fmt: skip
        assert row.discount is None or amount(row.discount.text) == Decimal(line["discount"])
        assert row.tax is None or amount(row.tax.text) == Decimal(line["tax"])
    shown = [
        (one.name, amount(one.amount.text), amount(one.charged.text))
        for one in (*sheet.tables.materials, *sheet.tables.small)
        if one.charged
    ]
    # A board bought in two thicknesses has a row for each; what none is needed of has none.
    told_of = [(one["name"], Decimal(one["bought"]), Decimal(one["charged"])) for one in document["materials"]]
    assert sorted(shown) == sorted(one for one in told_of if one in shown or any(one[1:]))
    rows = [row for group in sheet.tables.steps for row in group.rows]
    told = {f"step-{step['item']}-{step['operation']}": step for step in document["steps"]}
    assert sorted(row.id for row in rows) == sorted(told)
    for step in rows:
        assert step.labour is not None
        assert amount(step.labour.text) == Decimal(told[step.id]["labour"])


def bought_in(line: Mapping[str, str], usual_waiver: Fraction, places: int) -> Decimal:
    """What a line beside the benches is bought in for, with the waiver of a hire; its carriage is not goods."""
    if line["kind"] == "labour":
        return ZERO
    amount = half_up(Fraction(line["each"]) * Fraction(line["quantity"]), places)
    waiver = Fraction(line["waiver"].split()[0]) / 100 if "waiver" in line else usual_waiver
    if line["kind"] != "hire":
        return amount
    return amount + half_up(Fraction(amount) * waiver, places)


def hold_sums(document: Mapping[str, Any], seeded: SeededJob) -> None:
    """What a shop would add up itself: each line, tax, fee, least charge, deposit and balance."""
    totals, lines, places = document["totals"], document["lines"], seeded.shop.currency_places
    rates, form = seeded.inputs.rates, seeded.form
    discount = Fraction(form["discount"].split()[0]) / 100
    taxes: dict[Fraction, Decimal] = {}
    for line in lines:
        each, price, off, net = (Decimal(line[name]) for name in ("each", "price", "discount", "net"))
        as_it_stands = line["sort"] in ("charge", "minimum")
        assert price == half_up(Fraction(each) * Fraction(line["quantity"]), places)
        assert off == (ZERO if as_it_stands else half_up(Fraction(price) * discount, places))
        assert net == price - off
        rate = Fraction(line["tax_rate"])
        assert rate in {rates["tax_goods"], rates["tax_services"]}
        assert Decimal(line["tax"]) == half_up(Fraction(net) * rate, places)
        taxes[rate] = taxes.get(rate, ZERO) + Decimal(line["tax"])
        kept = [Decimal(one["amount"]) for one in (*line["build_up"], *line["reserves"])]
        assert sum(kept, Decimal(line["contingency"])) == Decimal(line["cost"])
    for name in ("price", "discount", "net", "tax", "cost"):
        assert Decimal(totals[name]) == sum((Decimal(line[name]) for line in lines), ZERO)
    assert {Fraction(one["rate"]): Decimal(one["amount"]) for one in totals["taxes"]} == {
        rate: told for rate, told in taxes.items() if rate
    }
    with_tax = Decimal(totals["net"]) + Decimal(totals["tax"])
    fee = rates["card_fee"] if form["card"] == "yes" else Fraction(0)
    assert Decimal(totals["fee"]) == half_up(Fraction(with_tax) / (1 - fee) - Fraction(with_tax), places)
    total = with_tax + Decimal(totals["fee"])
    assert Decimal(totals["total"]) == total
    least = half_up(rates["minimum_charge"], places)
    if not rates.yes("rule_visit_minimum"):
        assert Decimal(totals["net"]) >= least
        if any(line["sort"] == "minimum" for line in lines):
            assert Decimal(totals["net"]) == least
    bought = sum((Decimal(one["bought"]) for one in document["materials"]), ZERO)
    # A hire without a waiver of its own takes the shop's, where it asks for one.
    waiver = rates["hire_waiver_share"] if rates.yes("rule_hire_waiver") else Fraction(0)
    bought += sum((bought_in(line, waiver, places) for line in form["lines"]), ZERO)
    # A deposit may not pass its share: it is rounded down.
    deposit = down(Fraction(total) * rates["deposit"], places)
    if rates["deposit"] and rates.yes("deposit_covers_materials"):
        deposit = min(total, max(deposit, bought))
    assert Decimal(totals["deposit"]) == deposit
    assert Decimal(totals["balance"]) == total - deposit


def foot_of(sums: Iterable[Sum]) -> dict[str, Decimal]:
    """The sums of a paper by their words up to the first comma, those of the same words as one."""
    found: dict[str, Decimal] = {}
    for row in sums:
        words = row.words.split(",")[0]
        found[words] = found.get(words, ZERO) + amount(row.amount)
    return found


def hold_quote(papers: Papers, sheet: Sheet, document: Mapping[str, Any]) -> None:
    """The quote prints the lines and the foot of the sheet."""
    paper, sums = papers.quote, sheet.sums
    for line, told in zip(paper.lines, document["lines"], strict=True):
        assert (line.label, amount(line.each), amount(line.amount)) == (
            told["label"], Decimal(told["each"]), Decimal(told["price"]),
        )  # fmt: skip
    foot = foot_of(paper.sums)
    assert paper.currency == document["currency"]
    assert foot["Price without tax"] == sums["Price without tax"]
    assert foot.get("Price before discount", foot["Price without tax"]) == sums["Price before discount"]
    assert -foot.get("Discount", ZERO) == sums["Discount"]
    assert foot["Tax"] == sums["Tax"]
    assert foot.get("Fee for paying by card", ZERO) == sums["Card fee"]
    assert foot["Total to pay"] == sums["Total to pay"]
    paid = foot_of(paper.paid)
    assert paid.get("Deposit", ZERO) == sums["Deposit"]
    assert paid.get("Balance", sums["Total to pay"]) == sums["Balance"]
    bases = [
        Decimal(found[1].replace(",", "")) for row in paper.sums if (found := re.search(r" % on (.+)$", row.words))
    ]
    taxed = [Decimal(line["net"]) for line in document["lines"] if Fraction(line["tax_rate"])]
    assert sum(bases, ZERO) == sum(taxed, ZERO)


def hold_list(papers: Papers, sheet: Sheet, document: Mapping[str, Any], seeded: SeededJob) -> None:
    """The list comes to what the sheet and `--json` say is bought, and the parts that the job names."""
    paper, places = papers.shopping_list, seeded.shop.currency_places
    groups = {group.name: group for group in paper.groups}
    for group in paper.groups:
        assert sum((amount(line.amount) for line in group.lines), ZERO) == amount(group.sub_total.amount)
        for line in group.lines:
            if line.buy.isdecimal():
                assert amount(line.each) * Decimal(line.buy) == amount(line.amount), line
    of_materials = [group for name, group in groups.items() if name != NAMED_PARTS]
    bought = sum((Decimal(one["bought"]) for one in document["materials"]), ZERO)
    assert sum((amount(group.sub_total.amount) for group in of_materials), ZERO) == bought
    assert sheet.tables.materials_bought is not None
    assert amount(sheet.tables.materials_bought.text) == bought
    parts = sum(
        (
            half_up(Fraction(line["each"]) * Fraction(line["quantity"]), places)
            for line in seeded.form["lines"]
            if line["kind"] == "part"
        ),
        ZERO,
    )
    assert FROM_RACK not in groups
    assert amount(paper.total.amount) == bought + parts
    assert (amount(groups[NAMED_PARTS].sub_total.amount) if NAMED_PARTS in groups else ZERO) == parts


def hold_pack(seeded: SeededJob, worked: Worked, sheet: Sheet, document: Mapping[str, Any]) -> None:
    """The pack has the steps, minutes and hours of the sheet, and no money at all."""
    pack = workshop_pack(worked.inputs, worked.estimate, seeded.shop, PACK, seeded.shop.paper)
    steps = [step for group in pack.work for step in group.steps]
    told = [(step["label"], Fraction(step["mean"])) for step in document["steps"]]
    told += [
        (line["says"], Fraction(line["minutes"].split()[0]) * Fraction(line["quantity"]))
        for line in seeded.form["lines"]
        if line["kind"] == "labour"
    ]
    printed = sorted((step.says, minutes_of(step.minutes)) for step in steps)
    for (says, minutes), (label, mean) in zip(printed, sorted(told), strict=True):
        # Whole minutes, and what is less than one to a tenth.
        assert (says, minutes) == (label, half_up(mean, 0 if mean >= 1 else 1))
    assert pack.hours == f"{sheet.strip.hours.text} {sheet.strip.hours.unit}".rstrip()
    text = re.sub(r"<svg.*?</svg>|<style.*?</style>", " ", workshop_html(pack), flags=re.DOTALL)
    assert seeded.shop.currency not in text
    for name in ("price", "net", "total", "cost", "deposit"):
        assert f"{Decimal(document['totals'][name]):,}" not in text or not Decimal(document["totals"][name])


@pytest.mark.parametrize("seed", range(JOBS))
def test_every_place_tells_the_same_to_the_coin(seed: int) -> None:
    seeded, plans = seeded_job(seed), dict[str, Plan]()
    shop, form, places = seeded.shop, seeded.form, seeded.shop.currency_places
    worked = estimated(seeded.inputs, plans)
    found = worked.estimate
    assert found.complete
    document, sheet = json_of(worked.inputs, found), sheet_of(seeded, worked)
    hold_sums(document, seeded)
    hold_sheet(sheet, document, places)
    papers = write_papers(worked.inputs, found, shop, ISSUE, 7, shop.paper)
    hold_quote(papers, sheet, document)
    hold_list(papers, sheet, document, seeded)
    hold_pack(seeded, worked, sheet, document)
    if len(form["items"]) > 1:
        # The telephone prices one bench with the terms of its job: so does the sheet of that bench alone.
        sheet = sheet_of(seeded, estimated(seeded.of({**form, "items": form["items"][-1:]}), plans))
    for said in telephoned(seeded, form, plans):
        hold_telephone(said, sheet)


@pytest.mark.parametrize("seed", range(PRINTED))
def test_the_pdfs_print_the_amounts_of_the_document(seed: int) -> None:
    seeded = seeded_job(seed)
    found = estimate_inputs(seeded.inputs)
    papers = write_papers(seeded.inputs, found, seeded.shop, ISSUE, 7, seeded.shop.paper)
    document = json_of(seeded.inputs, found)
    totals, currency = document["totals"], seeded.shop.currency

    def printed(name: str) -> str:
        return f"{Decimal(totals[name]):,}"

    quote = text_of(make_pdf(quote_html(papers.quote)))
    assert f"Total to pay {printed('total')} {currency}" in quote
    assert f"Price without tax {printed('net')}" in quote
    for name, words in (
        ("discount", "Price before discount {price} Discount"),
        ("fee", "Fee for paying by card {fee}"),
    ):
        asked = words.format(price=printed("price"), fee=printed("fee"))
        assert (asked in quote) == bool(Decimal(totals[name]))
    if Decimal(totals["deposit"]):
        assert f"Deposit, with the order {printed('deposit')} {currency}" in quote
        assert f"Balance, when the work is handed over {printed('balance')} {currency}" in quote
    taxes = re.findall(r"Tax, \S+ % on \S+ (\S+)", quote)
    assert sum(map(amount, taxes), ZERO) == Decimal(totals["tax"])
    for line in document["lines"]:
        each, price = (f"{Decimal(line[name]):,}" for name in ("each", "price"))
        assert f"at {each} {price}" in quote or f"{each} {price}" in quote
    listed = text_of(make_pdf(shopping_list_html(papers.shopping_list)))
    whole = re.search(rf"Total as bought (\S+) {currency}", listed)
    assert whole is not None
    group = next((one for one in papers.shopping_list.groups if one.name == NAMED_PARTS), None)
    # A part alone is its own sum.
    named = "0" if group is None else group.sub_total.amount
    assert named == "0" or re.search(rf"{NAMED_PARTS} .* {re.escape(named)}", listed)
    bought = sum((Decimal(one["bought"]) for one in document["materials"]), ZERO)
    assert amount(whole[1]) - amount(named) == bought
