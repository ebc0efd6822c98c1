"""The photographs of a receipt: taken in, shown to those who may see receipts, taken away."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final
from uuid import UUID

from fastapi import Depends, Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session
from starlette.datastructures import UploadFile

from webapp.pages.web.dependencies import ReadingSession, SignedIn, StoreSession
from webapp.pages.web.routing import PageRouter, in_one_write
from webapp.pages.web.uploads import posted_file
from webapp.persistence.receipts.pictures import TooManyPictures, keep_picture, load_picture, remove_picture
from webapp.persistence.receipts.records import load_receipt
from webapp.rendering import render
from webapp.running import running
from webapp.sent_pictures import PictureRefused, read_picture

router = PageRouter()

#: The small print of a receipt stays legible.
LONGEST_SIDE: Final = 2000
#: What a telephone's camera makes of a receipt; the most that is looked at before it is drawn anew.
LARGEST_BYTES: Final = 8_000_000


@dataclass(frozen=True, slots=True)
class NotTaken:
    """A photograph that was not taken, with the sentence why."""

    number: int
    problem: str


@router.post("/receipts/{number:int}/pictures")
def add_picture(
    request: Request, session: ReadingSession, user: SignedIn, number: int,
    sent: Annotated[UploadFile | None, Depends(posted_file)],
) -> Response:  # fmt: skip
    """Keep a photograph with a receipt, or say why it is not taken; the receipt itself stays as it is kept."""
    load_receipt(session, number)
    at = running(request).now()
    try:
        if sent is None:
            raise PictureRefused("Choose a photograph first.")
        read = read_picture(sent.file.read(LARGEST_BYTES + 1), LONGEST_SIDE, largest=LARGEST_BYTES)

        def keep(writing: Session) -> Response:
            keep_picture(writing, number, (read.kind, read.content, read.wide, read.tall), at=at, by=user.id)
            return RedirectResponse(f"/receipts/{number}#photographs", 303)

        return in_one_write(request, keep)
    except (PictureRefused, TooManyPictures) as refused:
        return render(request, "receipts/not_taken.html", NotTaken(number, str(refused)), 422)


@router.get("/receipts/{number:int}/pictures/{picture_id:uuid}")
def send_picture(session: StoreSession, number: int, picture_id: UUID) -> Response:
    """One photograph; no browser keeps it, for it is not every person's who signs in there."""
    kind, content = load_picture(session, number, picture_id)
    return Response(content, media_type=kind, headers={"Content-Disposition": "inline"})


@router.post("/receipts/{number:int}/pictures/{picture_id:uuid}/remove")
def take_away(request: Request, session: StoreSession, user: SignedIn, number: int, picture_id: UUID) -> Response:
    """Take a photograph away."""
    remove_picture(session, number, picture_id, at=running(request).now(), by=user.id)
    return RedirectResponse(f"/receipts/{number}#photographs", 303)
