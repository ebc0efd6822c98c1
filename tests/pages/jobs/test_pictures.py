"""Pictures and drawings that lie with a job: bounded, drawn anew, seen by who may see the job, and in the backup."""

from __future__ import annotations

import re
import struct
import zlib
from io import BytesIO
from pathlib import Path
from typing import Final

import pytest
from PIL import Image

from tests.harness.visiting import Visitor
from webapp.pages.jobs.pictures import LONGEST_SIDE
from webapp.persistence.backups.restore import make_backup, restore_backup
from webapp.persistence.database.database import open_database
from webapp.persistence.jobs.attachments import MOST, AttachmentRow
from webapp.sent_pictures import LARGEST_BYTES, PictureRefused, read_picture

ADDRESS: Final = "/jobs/2/pictures"
#: The tag of the place in what a camera writes into a picture.
PLACE: Final = 0x8825
ORIENTATION: Final = 0x0112


def photograph(wide: int = 320, tall: int = 200, kind: str = "JPEG", turned: bool = False) -> bytes:
    """A picture as a camera writes it: with the place where it was taken, its maker and a remark."""
    picture = Image.new("RGB", (wide, tall), (200, 120, 40))
    picture.paste((10, 20, 200), (0, 0, wide // 4, tall // 4))
    exif = Image.Exif()
    exif[PLACE] = {1: "N", 2: (48.0, 12.0, 30.0), 3: "E", 4: (16.0, 22.0, 0.0)}
    exif[0x010F] = "A maker's name"
    if turned:
        exif[ORIENTATION] = 6
    target = BytesIO()
    further = {"comment": b"written by hand"} if kind == "JPEG" else {}
    picture.save(target, kind, exif=exif, **further)
    return target.getvalue()


def add(visitor: Visitor, content: bytes, name: str = "place.jpg") -> tuple[int, str]:
    answer = visitor.send_form(ADDRESS, files={"file": (name, content)})
    return answer.status_code, answer.text


def hrefs(visitor: Visitor) -> list[str]:
    return list(dict.fromkeys(re.findall(rf'href="({ADDRESS}/[0-9a-f-]{{36}})"', visitor.get(ADDRESS).text)))


@pytest.mark.both
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_lies_with_the_job_without_the_place_it_was_taken_at(demo_client: Visitor, kind: str) -> None:
    sent = photograph(kind=kind)
    assert b"A maker's name" in sent
    assert add(demo_client, sent, f"../../the place.{kind.lower()}")[0] == 303
    (href,) = hrefs(demo_client)
    answer = demo_client.get(href)
    assert answer.headers["content-type"] == ("image/png" if kind == "PNG" else "image/jpeg")
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert 'filename="the-place.' in answer.headers["content-disposition"]
    assert b"A maker's name" not in answer.content
    assert b"written by hand" not in answer.content
    with Image.open(BytesIO(answer.content)) as kept:
        assert kept.size == (320, 200)
        assert not kept.getexif()
        red, _, blue = kept.convert("RGB").getpixel((2, 2))  # type: ignore[misc]
        assert (red < 60, blue > 150) == (True, True)
    assert demo_client.send_form(f"{href}/remove").status_code == 303
    assert hrefs(demo_client) == []
    assert demo_client.get(href).status_code == 404


def test_a_picture_is_kept_upright_and_no_larger_than_is_looked_at(demo_client: Visitor) -> None:
    add(demo_client, photograph(4000, 1000, turned=True))
    with Image.open(BytesIO(demo_client.get(hrefs(demo_client)[0]).content)) as kept:
        assert kept.size == (LONGEST_SIDE // 4, LONGEST_SIDE)


def test_a_pdf_is_a_file_to_keep_and_never_opened_by_a_page(demo_client: Visitor) -> None:
    pdf = b"%PDF-1.4\n%something of the customer's own\n%%EOF\n"
    assert add(demo_client, pdf, "Their drawing, küche.pdf")[0] == 303
    (href,) = hrefs(demo_client)
    answer = demo_client.get(href)
    assert answer.content == pdf
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"].startswith("attachment;")
    assert "k%C3%BCche.pdf" in answer.headers["content-disposition"]
    assert "<img" not in demo_client.get(ADDRESS).text


def bomb(wide: int, tall: int) -> bytes:
    """A small PNG that says it is huge."""
    head = struct.pack(">IIBBBBB", wide, tall, 1, 0, 0, 0, 0)

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    body = chunk(b"IDAT", zlib.compress(b"\0" * 1000))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + body + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is no JPEG, PNG or WebP picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "is no JPEG, PNG or WebP picture"),
        (b"GIF89a\x01\x00\x01\x00", "is no JPEG, PNG or WebP picture"),
        (photograph()[:400], "is no JPEG, PNG or WebP picture"),
        (bomb(60_000, 60_000), "million points"),
        (bomb(20_000, 5_000), "million points"),
        (b"\xff\xd8" + b"x" * LARGEST_BYTES, "6 MB at most"),
        (b"%PDF-1.4" + b"x" * LARGEST_BYTES, "more than 6 MB"),
    ],
)
def test_what_is_no_picture_or_too_large_is_refused_with_a_sentence(
    demo_client: Visitor, content: bytes, said: str
) -> None:
    status, page = add(demo_client, content)
    assert status == 422
    assert said in page
    assert hrefs(demo_client) == []


def test_no_file_and_too_many_are_said(demo_client: Visitor) -> None:
    assert "Choose a file first" in demo_client.send_form(ADDRESS).text
    for number in range(MOST):
        assert add(demo_client, b"%PDF-1.4", f"{number}.pdf")[0] == 303
    status, page = add(demo_client, b"%PDF-1.4")
    assert (status, f"{MOST} pictures and drawings are attached to this job" in page) == (422, True)


def test_what_lies_with_one_job_is_not_given_out_by_another(demo_client: Visitor) -> None:
    add(demo_client, photograph())
    (href,) = hrefs(demo_client)
    assert demo_client.get(href.replace("/jobs/2/", "/jobs/3/")).status_code == 404
    assert demo_client.send_form(f"{href.replace('/jobs/2/', '/jobs/3/')}/remove").status_code == 404
    stranger = Visitor(demo_client.app)  # type: ignore[arg-type]
    assert stranger.get(href).headers["location"].startswith("/sign-in")
    assert len(hrefs(demo_client)) == 1


def test_a_backup_holds_what_lies_with_the_jobs(demo_client: Visitor, tmp_path: Path) -> None:
    add(demo_client, photograph())
    here, file = demo_client.program, tmp_path / "backup.zip"
    make_backup(here.database, file, at=here.now())
    address = f"sqlite:///{tmp_path / 'other.sqlite'}"
    restore_backup(address, file, tmp_path, at=here.now())
    other = open_database(address)
    with here.database.reading() as session, other.reading() as restored:
        (before,), (after,) = session.query(AttachmentRow.content).one(), restored.query(AttachmentRow.content).one()
    other.close()
    assert before == after


def test_a_picture_with_empty_places_keeps_them_only_where_they_are_wanted() -> None:
    picture = Image.new("RGBA", (40, 20), (0, 0, 0, 0))
    target = BytesIO()
    picture.save(target, "PNG")
    for see_through, mode in ((True, "RGBA"), (False, "RGB")):
        kept = read_picture(target.getvalue(), 100, see_through=see_through)
        with Image.open(BytesIO(kept.content)) as drawn:
            assert (drawn.mode, kept.kind) == (mode, "image/png")
    with pytest.raises(PictureRefused):
        read_picture(b"nothing", 100)
