"""What lies with a job: photographs, sketches and the customer's own drawings, laid with it, looked at and removed."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Annotated, Final
from urllib.parse import quote
from uuid import UUID, uuid4

from fastapi import Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import UploadFile

from webapp.costing.measures.manner import whole_number
from webapp.pages.web.dependencies import ShopHere, SignedIn, StoreSession
from webapp.pages.web.posting import tidy_text
from webapp.pages.web.routing import PageRouter
from webapp.pages.web.times import moment
from webapp.pages.web.uploads import posted_file
from webapp.persistence.foundation.audit import HistoryEntry, record
from webapp.persistence.jobs.attachments import (
    MOST,
    AttachmentListed,
    TooMany,
    attach,
    attachments_of,
    detach,
    load_attachment,
)
from webapp.persistence.jobs.records import StoredJob, load_job_by_number
from webapp.persistence.settings.shop import Shop
from webapp.rendering import render
from webapp.running import running
from webapp.sent_pictures import LARGEST_BYTES, PictureRefused, read_picture

router = PageRouter()

#: How many points a picture keeps on its longer side: a drawing's small print stays legible.
LONGEST_SIDE: Final = 2400
LONGEST_NAME: Final = 80
PDF: Final = "application/pdf"
_ENDINGS: Final = {"image/jpeg": "jpg", "image/png": "png", PDF: "pdf"}


@dataclass(frozen=True, slots=True)
class AttachmentRow:
    """One thing that lies with the job; a PDF has no picture of itself."""

    name: str
    href: str
    remove: str
    said: str
    is_picture: bool
    wide: int
    tall: int


@dataclass(frozen=True, slots=True)
class PicturesPage:
    """What lies with a job, and what stands against a file that was sent."""

    number: int
    title: str
    customer: str
    action: str
    rows: tuple[AttachmentRow, ...]
    problem: str
    hint: str


@router.get("/jobs/{number:int}/pictures")
def show_pictures(request: Request, session: StoreSession, shop: ShopHere, number: int) -> Response:
    """All that lies with a job."""
    return _page(request, session, shop, load_job_by_number(session, number), "", 200)


@router.post("/jobs/{number:int}/pictures")
def add_picture(
    request: Request, session: StoreSession, shop: ShopHere, user: SignedIn, number: int,
    sent: Annotated[UploadFile | None, Depends(posted_file)],
) -> Response:  # fmt: skip
    """Lay a picture or a PDF with a job, or say why it is not taken."""
    job = load_job_by_number(session, number)
    try:
        if sent is None:
            raise PictureRefused("Choose a file first: a photograph, a scan or a PDF.")
        at = running(request).now()
        kind, content, wide, tall = _read(sent)
        listed = AttachmentListed(uuid4(), _name(sent.filename or "", kind), kind, wide, tall, len(content), at)
        attach(session, listed, job.id, content, by=user.id)
    except (PictureRefused, TooMany) as refused:
        return _page(request, session, shop, job, str(refused), 422)
    record(session, HistoryEntry(at, user.id, "attached a picture to", "job", str(job.id), {"name": listed.name}))
    return RedirectResponse(f"/jobs/{number}/pictures", 303)


@router.get("/jobs/{number:int}/pictures/{attachment_id:uuid}")
def send_picture(session: StoreSession, number: int, attachment_id: UUID) -> Response:
    """One picture; a PDF only as a file to keep, since a page of ours never opens what somebody else made."""
    listed, content = load_attachment(session, load_job_by_number(session, number).id, attachment_id)
    way = "inline" if listed.is_picture else "attachment"
    kept = (letter.isascii() and (letter.isalnum() or letter in "-_.") for letter in listed.name)
    plain = "".join(letter if stays else "-" for letter, stays in zip(listed.name, kept, strict=True))
    named = f"{way}; filename=\"{plain}\"; filename*=UTF-8''{quote(listed.name, safe='')}"
    return Response(
        content, media_type=listed.kind,
        headers={"Content-Disposition": named, "Cache-Control": "private, max-age=86400, immutable"},
    )  # fmt: skip


@router.post("/jobs/{number:int}/pictures/{attachment_id:uuid}/remove")
def remove_picture(
    request: Request, session: StoreSession, user: SignedIn, number: int, attachment_id: UUID
) -> Response:  # fmt: skip
    """Take one away."""
    job = load_job_by_number(session, number)
    listed, _ = load_attachment(session, job.id, attachment_id)
    detach(session, job.id, attachment_id)
    at = running(request).now()
    record(session, HistoryEntry(at, user.id, "removed a picture of", "job", str(job.id), {"name": listed.name}))
    return RedirectResponse(f"/jobs/{number}/pictures", 303)


def _read(sent: UploadFile) -> tuple[str, bytes, int, int]:
    """Kind, bytes as they are kept, and points. Raises PictureRefused."""
    content = sent.file.read(LARGEST_BYTES + 1)
    if content.startswith(b"%PDF-"):
        if len(content) > LARGEST_BYTES:
            raise PictureRefused(f"This PDF has more than {LARGEST_BYTES // 1024**2} MB, the most that is kept.")
        return PDF, content, 0, 0
    picture = read_picture(content, LONGEST_SIDE)
    return picture.kind, picture.content, picture.wide, picture.tall


def _name(sent: str, kind: str) -> str:
    """The file's own name without its folders, ended by what it is now."""
    stem = PurePosixPath(tidy_text(sent).replace("\\", "/").replace("\n", " ")).stem[:LONGEST_NAME].strip(" .")
    return f"{stem or 'picture'}.{_ENDINGS[kind]}"


def _page(
    request: Request, session: StoreSession, shop: Shop, job: StoredJob, problem: str, status: int
) -> Response:  # fmt: skip
    address = f"/jobs/{job.number}/pictures"
    rows = tuple(_row(one, address, shop) for one in attachments_of(session, job.id))
    hint = (
        f"JPEG, PNG, WebP or PDF, at most {LARGEST_BYTES // 1024**2} MB, {MOST} for a job. Pictures are drawn anew: "
        "the place and the day that a camera writes into them are not kept."
    )
    page = PicturesPage(job.number, job.title, job.customer_name, address, rows, problem, hint)
    return render(request, "jobs/pictures.html", page, status)


def _row(one: AttachmentListed, address: str, shop: Shop) -> AttachmentRow:
    size = f"{whole_number(-(-one.size // 1024))} KB"
    return AttachmentRow(
        one.name, f"{address}/{one.id}", f"{address}/{one.id}/remove", f"{moment(one.added_at, shop)}, {size}",
        one.is_picture, one.wide, one.tall,
    )  # fmt: skip
