"""The picture at the head of the shop's papers: sent, drawn anew, printed, and taken off again."""

from __future__ import annotations

from io import BytesIO

from PIL import Image
from pypdf import PdfReader

from tests.harness.visiting import Visitor
from tests.pages.jobs.test_pictures import photograph
from webapp.persistence.settings.shop import load_shop

LOGO = "/settings/shop/logo"


def has_picture(pdf: bytes) -> bool:
    return any(page.images for page in PdfReader(BytesIO(pdf)).pages)


def test_a_picture_stands_on_quote_and_list_until_it_is_taken_off(demo_client: Visitor) -> None:
    papers = ("/jobs/2/quote-draft.pdf", "/jobs/2/shopping-list.pdf")
    assert [has_picture(demo_client.get(paper).content) for paper in papers] == [False, False]
    assert demo_client.get(f"{LOGO}.png").status_code == 404
    answer = demo_client.send_form(LOGO, files={"file": ("ours.jpg", photograph(3000, 800))})
    assert answer.status_code == 303
    kept = demo_client.get(f"{LOGO}.png")
    with Image.open(BytesIO(kept.content)) as drawn:
        assert (drawn.format, drawn.size) == ("PNG", (960, 256))
    assert b"A maker's name" not in kept.content
    assert [has_picture(demo_client.get(paper).content) for paper in papers] == [True, True]
    assert f"{LOGO}.png" in demo_client.get("/settings/shop").text
    demo_client.send_form(LOGO)
    assert [has_picture(demo_client.get(paper).content) for paper in papers] == [False, False]


def test_what_is_no_picture_is_refused_beside_its_field(demo_client: Visitor) -> None:
    answer = demo_client.send_form(LOGO, files={"file": ("ours.svg", b"<svg/>")})
    assert answer.status_code == 422
    assert "This file is no JPEG, PNG or WebP picture" in answer.text
    with demo_client.program.database.reading() as session:
        assert load_shop(session).logo == ""
