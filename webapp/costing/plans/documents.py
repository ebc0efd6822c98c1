"""A question to the cutting room as a plain document, and back, exact to the fraction."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from webapp.costing.cutting.ask.model import LengthRequest, SheetRequest
from webapp.costing.errors import FormError, Problem
from webapp.costing.measures.plain_values import read_value, write_value
from webapp.costing.plans.requests import Request

CUT_FORM: Final = "1"
_KINDS: Final[Mapping[str, type[SheetRequest] | type[LengthRequest]]] = {
    "sheets": SheetRequest, "lengths": LengthRequest,
}  # fmt: skip


def write_request(request: Request) -> dict[str, object]:
    """The question as a document of texts, whole numbers and lists."""
    kind = "sheets" if isinstance(request, SheetRequest) else "lengths"
    return {"form": CUT_FORM, "cut": kind, "asked": write_value(request)}


def read_request(document: Mapping[str, Any]) -> Request:
    """The question from its document. Raises FormError where it is of another form."""
    kind = _KINDS.get(str(document.get("cut")))
    if document.get("form") != CUT_FORM or kind is None:
        said = f"This program reads cutting questions of form {CUT_FORM}, not “{document.get('form')}”."
        raise FormError((Problem("form", said),))
    found: Request = read_value(kind, document.get("asked"), "asked", "a cutting question")
    return found
