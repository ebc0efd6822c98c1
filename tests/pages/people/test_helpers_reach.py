"""Every term and setting of a job at a value that nothing else has, looked for in all that a helper can reach."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, Final
from uuid import UUID, uuid4

import pytest
from fastapi import FastAPI

from tests.harness.entering import enter
from tests.harness.form_fields import form_fields
from tests.harness.visiting import Visitor
from webapp.app import create_app
from webapp.costing.estimate.estimate import Estimate
from webapp.costing.estimate.helper_view import Work, work_of
from webapp.costing.jobs.job import FACTS
from webapp.costing.jobs.reader import read_job
from webapp.costing.settings.table import SETTINGS
from webapp.documents.workshop.cut_together import read_together
from webapp.estimating import estimate_job
from webapp.pages.shown.figures import all_figures
from webapp.persistence.buying_lists.records import cut_together_of
from webapp.persistence.database.database import Database
from webapp.persistence.jobs.attachments import AttachmentListed, attach
from webapp.persistence.jobs.records import load_job_by_number, save_job
from webapp.persistence.people.users import HELPER
from webapp.persistence.settings.shop import load_shop
from webapp.security.access import LEAST_ROLE
from webapp.settings import Settings

#: An open job of the demo, with sheets to cut, delivery and installation.
NUMBER: Final = 2
IN_A_POOL: Final = 3
#: Settings that are numbers of the owner's; a switch or a choice has no value that could be known again.
OWNERS: Final = [one for one in SETTINGS if not one.work and one.quantity in ("percent", "money", "number")]
#: What a helper can reach that is of no job: materials, designs, the rack, the example of the sums, who is signed in.
OF_NO_JOB: Final = {
    ("POST", "/sign-out"), ("GET", "/your-sign-in"), ("POST", "/your-sign-in"), ("POST", "/your-sign-in/everywhere"),
    ("GET", "/designs/new"), ("POST", "/designs/new"), ("POST", "/designs/{code}/edit"),
    ("POST", "/designs/{code}/retire"), ("POST", "/designs/{code}/put-in"), ("POST", "/designs/{code}/sweep"),
    ("GET", "/sweeps/{key}"), ("POST", "/sweeps/{key}/look"), ("POST", "/sweeps/{key}/{act}"),
    *((method, f"/maker{ending}") for method in ("GET", "POST") for ending in (
        "", "/{making_id}", "/{making_id}/text", "/{making_id}/rows",
    )),
    ("GET", "/maker/{making_id}/offers"), ("GET", "/maker/{making_id}/mends"), ("POST", "/maker/{making_id}/keep"),
    ("GET", "/maker/{making_id}/working/{figure_id:path}"),
    ("POST", "/maker/{making_id}/throw-away"),
    # Papers of shapes alone, which not every bench has.
    *(("GET", f"/{of}/bench/{paper}") for of in ("jobs/{number:int}", "designs/{code}") for paper in (
        "templates.pdf", "templates/{place:int}.pdf", "router.pdf",
    )),
    ("GET", "/materials/new"), ("POST", "/materials/new"),
    ("POST", "/materials/{code}/edit"), ("POST", "/materials/{code}/retire"),
    ("GET", "/materials/{code}/offers/new"), ("POST", "/materials/{code}/offers/new"),
    ("GET", "/materials/{code}/offers/{offer_id}/edit"), ("POST", "/materials/{code}/offers/{offer_id}/edit"),
    ("POST", "/materials/{code}/offers/{offer_id}/retire"), ("POST", "/materials/{code}/offers/{offer_id}/price"),
    ("GET", "/rack/{offcut_id:uuid}"), ("GET", "/rack/{offcut_id:uuid}/edit"), ("GET", "/rack/new"),
    ("POST", "/rack/new"), ("POST", "/rack/{offcut_id:uuid}/edit"),
    ("POST", "/rack/{offcut_id:uuid}/move"), ("POST", "/starters"), ("POST", "/designs/{code}/prices"),
    ("GET", "/how-the-sums-are-made"), ("GET", "/how-the-sums-are-made.pdf"), ("GET", "/buying/suppliers/new"),
    ("POST", "/buying/suppliers/new"), ("POST", "/buying/suppliers/{code}/edit"), ("POST", "/drafts"),
    ("POST", "/drafts/throw-away"), ("POST", "/materials/paste"), ("GET", "/count/kept"),
    ("POST", "/count"), ("POST", "/rack/labels"), ("POST", "/rack/paste"), ("GET", "/stock/{code}"),
    ("POST", "/stock/new"), ("POST", "/stock/{code}/edit"), ("POST", "/stock/{code}/move"),
}  # fmt: skip


def _terms() -> tuple[dict[str, Any], dict[str, str]]:
    """Terms for a job's document, and each value by its name, as the number that would be read in it."""
    known: dict[str, str] = {"discount": "13.57"}
    facts, settings = {}, {}
    for place, fact in enumerate(FACTS):
        facts[fact.name] = known[fact.name] = f"{21 + 7 * place}.{83 - place}"
    facts["own_material"] = known["own_material"] = "6247.19"
    for place, setting in enumerate(OWNERS):
        number = {
            "percent": f"{2 + place // 9}.{place % 9 + 1}37",
            "money": f"{3100 + 13 * place}.{37 + place % 7}",
            "number": f"{211 + 2 * place}.{37 + place % 7}",
        }[setting.quantity]
        known[setting.name] = number
        known[f"{setting.name}, why"] = f"Reason-{place}-kept-back"
        value = f"{number} %" if setting.quantity == "percent" else number
        settings[setting.name] = {"value": value, "why": known[f"{setting.name}, why"]}
    switches = {one.name: {"value": "yes", "why": "All at once"} for one in SETTINGS if one.name.startswith("rule_")}
    lines = [
        {"id": "strip", "kind": "part", "says": "Steel strip", "quantity": "3", "each": "71.93"},
        {
            "id": "skip", "kind": "hire", "says": "Skip", "each": "917.31", "carriage": "83.47", "waiver": "17.29 %",
        },
        {"id": "lift", "kind": "service", "says": "Lifting", "each": "529.61"},
        {"id": "out", "kind": "labour", "says": "Carry out the old benches", "minutes": "90 min"},
    ]  # fmt: skip
    known |= {"strip": "71.93", "strips": "215.79", "skip": "917.31", "carriage": "83.47", "waiver": "17.29"}
    known |= {"lift": "529.61"}
    terms = {
        "discount": "13.57 %", "card": "yes", "facts": facts, "settings": {**switches, **settings}, "lines": lines,
        "novelty": "new",
    }  # fmt: skip
    return terms, known


@cache
def _pattern(text: str) -> re.Pattern[str]:
    """The number however thousands are written, or the words."""
    whole, point, rest = text.partition(".")
    if not whole.isdigit():
        return re.compile(re.escape(text))
    written = f"{whole[:-3]},?{whole[-3:]}" if len(whole) > 3 else whole
    return re.compile(rf"(?<![\d.,]){written}{re.escape(point + rest)}(?!\d)")


def _found(body: str, known: Mapping[str, str]) -> set[str]:
    # A drawing is full of numbers that nobody reads.
    body = re.sub(r"<(?:path|rect|line|circle|polygon|polyline|svg|g|text|tspan)\b[^>]*>", " ", body)
    # Nor is the mark of a form a number, whatever digits its two points come between.
    body = re.sub(r"<input\b[^>]*\bname=\"draft\"[^>]*>", " ", body)
    # Hundreds of patterns through hundreds of pages take a minute: those that can't be there are not looked for.
    plain = body.replace(",", "")
    return {
        f"{name} {text}"
        for name, text in known.items()
        if text.replace(",", "") in plain and _pattern(text).search(body)
    }


class Told:
    """The demo with such a job, what is known of it, and two people to ask for it."""

    def __init__(self, app: FastAPI) -> None:
        self.owner, self.helper = Visitor(app), Visitor(app)
        self.owner.sign_in("demo")
        self.helper.sign_in("helper")
        here = self.helper.program
        terms, self.known = _terms()
        with here.database.writing() as session:
            job = load_job_by_number(session, NUMBER)
            self.id: UUID = job.id
            save_job(session, job.id, {**job.document, **terms}, job.version, at=here.now())
            # Jobs with rates of their own are bought for apart, so another one has a part of its own in the pool.
            picture = AttachmentListed(uuid4(), "the room", "image/png", 1, 1, 3, here.now())
            attach(session, picture, job.id, b"png", by=None)
            self.picture = picture.id
            other = load_job_by_number(session, IN_A_POOL)
            save_job(session, other.id, {**other.document, "lines": terms["lines"]}, other.version, at=here.now())
        with here.database.reading() as session:
            shop = load_shop(session)
            self.document = load_job_by_number(session, NUMBER).document
            self.found: Estimate = estimate_job(session, self.document, shop, shop.today(here.now()))[1]
        made = self.owner.send_form("/lists", {"job": str(NUMBER)})
        self.list = made.headers["location"]
        # The owner told what the strip cost: that is not a helper's to read either.
        paid = enter(self.owner, self.list, f"part:{NUMBER}:strip", state="loaded", paid="215.79")
        assert paid.status_code == 303
        # What others cut together.
        self.shared = self.owner.send_form("/lists", {"job": [str(IN_A_POOL), "4"]}).headers["location"]
        with here.database.reading() as session:
            number = int(self.shared.rpartition("/")[2])
            content = cut_together_of(session, number)
        assert content is not None
        self.cut_together = read_together(content, number)

    @property
    def work(self) -> Work:
        return work_of(self.found, read_job(self.document, self.found.system)[0])

    def addresses(self, path: str) -> list[str]:
        """The path with each of what it can be asked for of this job."""
        item = self.found.items[0]
        plans = [(one.material.code, number) for one in self.found.bought if one.plan for number in (1,)]
        sellers = sorted({buy.offer.supplier for one in self.found.bought for buy in one.purchases})
        codes = {
            "/designs": [str(item.take_off.design.code)],
            "/materials": [one.material.code for one in self.found.bought],
            "/buying": sellers,
        }  # fmt: skip
        if path.startswith("/lists/{number:int}/cut"):
            path = path.replace("/lists/{number:int}", self.shared)
            plans = [(one.code, 1) for one in self.cut_together.cuts.materials]
        path = path.replace("/lists/{number:int}", self.list).replace("{form}", "csv").replace("{part:int}", "1")
        path = path.replace("{number:int}", str(NUMBER)).replace("{number}", str(NUMBER))
        path = path.replace("{job_id:uuid}", str(self.id)).replace("{item_id}", item.id)
        if path == f"/jobs/{NUMBER}":
            return [path, f"{path}?open=all"]
        if "{attachment_id:uuid}" in path:
            return [path.replace("{attachment_id:uuid}", str(self.picture))]
        if "{figure_id:path}" in path:
            return [path.replace("{figure_id:path}", name) for name in self.telling()]
        if "{material}" in path:
            return [path.replace("{material}", code).replace("{plan:int}", str(number)) for code, number in plans]
        if "{code}" in path:
            section = next(name for name in codes if path.startswith(name))
            return [path.replace("{code}", code) for code in codes[section]]
        if path == "/lists/for":
            return [f"{path}?job={IN_A_POOL}"]
        if path.startswith("/pool"):
            return [f"{path}?job={IN_A_POOL}&job=4&job={NUMBER}"]
        return [f"{path}?q=bench" if path == "/search" else path]

    def telling(self) -> list[str]:
        """The figures that say a value outright, by themselves or by what went into them, and some of the work."""
        given = {
            name
            for name, figure in all_figures(self.found).items()
            if name.startswith(("job/", "line/")) or name.removeprefix("setting/") in self.known
        }
        told = {
            name
            for name, figure in all_figures(self.found).items()
            if name in given or given & {one for _, one in figure.inputs}
        }
        return [*sorted(told)[::25], *sorted(given), *sorted(self.work.figures)[::80]]

    def posts(self, fields: Mapping[str, str]) -> Iterator[tuple[str, Mapping[str, str]]]:
        """What a helper can send about a job, by the route's path."""
        yield "/jobs/{number:int}/pictures", {}
        yield "/jobs/{number:int}/pictures/{attachment_id:uuid}/remove", {}
        yield "/lists", {"job": str(NUMBER)}
        yield "/lists/{number:int}", {"line": f"part:{NUMBER}:strip", "count": "minus three", "paid": "a lot"}
        yield "/lists/{number:int}/anew", {}
        yield "/lists/{number:int}/order", {}
        yield "/jobs/{number:int}/prices", {"who": "Millside Timber"}
        yield "/jobs/{number:int}/workshop/tick", {"step": "Cabinets: Saw sheet parts", "done": "yes"}
        for act in ("", "add-line", "add-setting"):
            yield "/jobs/{number:int}/estimate", {**fields, "act": act, "new_setting": "profit"}
        yield "/jobs/{number:int}/drawings", fields
        yield "/jobs/{number:int}/look-on", fields
        yield "/jobs/{number:int}/price", {**fields, "keep": ""}
        yield "/jobs/{number:int}", {**fields, "version": "0"}
        yield "/jobs/{number:int}/working/{figure_id:path}", fields
        yield "/jobs/{number:int}/offcuts", {}
        yield "/jobs/{number:int}/items/{item_id}/design", {}
        yield "/jobs/{number:int}/items/{item_id}/version", {"to": "1"}
        yield "/jobs/new/sizes", {"start": f"job:{NUMBER}"}
        yield "/jobs/new", {"start": f"job:{NUMBER}", "title": "As before"}
        yield "/jobs/{job_id:uuid}/copy", {}


@pytest.fixture
def told(settings: Settings, demo_database: Database) -> Told:
    return Told(create_app(settings, demo_database))


def test_an_owner_reads_each_of_them(told: Told) -> None:
    """So that not finding them at a helper's is no accident of how they are written."""
    pages = [told.owner.get(f"/jobs/{NUMBER}"), told.owner.get(f"/jobs/{NUMBER}/job.yaml")]
    read = set().union(*(_found(page.text, told.known) for page in pages))
    assert read == {f"{name} {text}" for name, text in told.known.items()}
    shown = _found(pages[0].text, told.known)
    assert {"discount 13.57", "skip 917.31", "strips 215.79", "days_until_paid 42.80"} <= shown


def test_no_figure_of_the_work_says_one_of_them(told: Told) -> None:
    for figure in told.work.figures.values():
        assert not _found(f"{figure.label} | {figure.words} | {figure.source}", told.known), figure.id
        name = figure.id.removeprefix("setting/")
        assert name not in told.known, figure.id
        assert not figure.id.startswith(tuple(f"job/{fact.name}" for fact in FACTS)), figure.id
        assert figure.id != "job/discount"


def test_what_is_wrong_with_terms_is_said_to_owners_alone(told: Told) -> None:
    wrong = {name: f"{place} things of {name}" for place, name in enumerate(told.document["facts"], 101)}
    settings = {one.name: f"{place} bits of {one.name}" for place, one in enumerate(OWNERS, 301)}
    typed = {
        **told.document, "discount": "901 off", "card": "902 maybe", "novelty": "903 never seen", "facts": wrong,
        "settings": {name: {"value": text, "why": "904 whys"} for name, text in settings.items()},
        "lines": [{"id": "skip", "kind": "hire", "says": "Skip", "each": "905 coins", "waiver": "906 waived"}],
    }  # fmt: skip
    here = told.helper.program
    with here.database.writing() as session:
        job = load_job_by_number(session, NUMBER)
        save_job(session, job.id, typed, job.version, at=here.now())
    typed_in = [*wrong.values(), *settings.values(), *("901 off", "902 maybe", "903 never", "905 coins", "906 waived")]
    sheet = told.owner.get(f"/jobs/{NUMBER}").text
    assert [text for text in typed_in if text not in sheet] == []
    for address in ("/", f"/jobs/{NUMBER}", f"/jobs/{NUMBER}/workshop", f"/jobs/{NUMBER}/job.yaml", "/buying"):
        answer = told.helper.get(address).text
        assert [text for text in (*typed_in, "904 whys") if text in answer] == [], address


def test_every_step_and_sum_of_minutes_that_is_shown_may_be_opened(told: Told) -> None:
    """A step whose figures lack the mark would be missing from a helper's sheet: with every rule on, none is."""
    work = told.work
    assert [step.operation for step in work.steps] == [step.operation for step in told.found.steps]
    shown = [work.minutes_likely, work.minutes_mean, *(one.bought for one in work.bought)]
    assert {one.id for one in shown} <= work.figures.keys()
    assert work.materials_bought is not None


@pytest.mark.usefixtures("unprinted")
def test_nothing_a_helper_can_reach_says_one_of_them(told: Told) -> None:
    sheet = told.helper.get(f"/jobs/{NUMBER}")
    fields = form_fields(sheet.text, "job-sheet")
    asked: set[tuple[str, str]] = set()
    reached = 0
    for method, path in sorted(LEAST_ROLE):
        if LEAST_ROLE[method, path] != HELPER or (method, path) in OF_NO_JOB or method != "GET":
            continue
        asked.add((method, path))
        answers = [told.helper.get(address) for address in told.addresses(path)]
        reached += sum(answer.status_code == 200 for answer in answers)
        assert any(answer.status_code == 200 for answer in answers), path
        for answer in answers:
            assert answer.status_code in (200, 403, 404), answer.url
            assert not _found(answer.text, told.known), answer.url
    assert reached > 80
    for path, sent in told.posts(fields):
        asked.add(("POST", path))
        for address in told.addresses(path)[:6]:
            for answer in (told.helper.send_form(address, sent), told.helper.swap(address, sent)):
                assert not _found(answer.text, told.known), address
                if answer.status_code == 303:
                    there = answer.headers["location"]
                    for made in (there, f"{there}/job.yaml"):
                        assert not _found(told.helper.get(made).text, told.known), made
    helpers = {key for key, least in LEAST_ROLE.items() if least == HELPER}
    assert asked | OF_NO_JOB == helpers
