"""The page where a sheet of the shop's own is sent in, and how it comes to the shelf beside the store."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from sqlalchemy.orm import Session
from starlette.datastructures import UploadFile

from webapp.costing.tables.table import TableRefused
from webapp.pages.web.uploads import table_sent
from webapp.price_shelf import ShelvedFile, put_up
from webapp.rendering import render
from webapp.running import running


@dataclass(frozen=True, slots=True)
class SendPage:
    """What is sent in: its `title`, what a row of it says, where it is sent and what it is called in the title block;
    `back` leads away from it. `text` was pasted, `problem` stands against it."""

    title: str
    says: str
    action: str
    sheet: str
    back: tuple[str, str]
    text: str = ""
    problem: str = ""


def show_sending(request: Request, page: SendPage) -> Response:
    """The page as it opens."""
    return render(request, "web/bring.html", page)


def bring_to_shelf(
    request: Request, session: Session, page: SendPage, pasted: str, sent: UploadFile | None, unnamed: str
) -> Response:  # fmt: skip
    """Keep what was sent beside the store, and nothing of it in the store yet, and lead to its columns, beneath the
    page's own address. A file without a name is called `unnamed`."""
    try:
        name, read = table_sent(pasted, sent, unnamed)
        if not any(sheet.rows for sheet in read.sheets):
            raise TableRefused("Choose a file, or paste its rows." if sent is None else "The file holds no rows.")
    except TableRefused as refused:
        return render(request, "web/bring.html", replace(page, text=pasted, problem=str(refused)), 422)
    key = put_up(session, running(request).settings.data_folder, ShelvedFile(name, read.sheets, read.said))
    return RedirectResponse(f"{page.action}/{key}", 303)
