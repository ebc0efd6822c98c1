"""Who may go where: the one table from routes to the least role, asked at the gate for every request.

A route that is not in the table is the owner's.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final, Literal

from webapp.persistence.people.users import HELPER, OWNER, Role

Least = Literal["anyone", "helper", "owner"]
ANYONE: Final[Least] = "anyone"

GET: Final = ("GET",)
POST: Final = ("POST",)
BOTH: Final = ("GET", "POST")


def _table() -> Iterator[tuple[Least, tuple[str, ...], str]]:
    yield from _of_anyone()
    yield from _of_helpers()
    yield from _of_owners()


def _of_anyone() -> Iterator[tuple[Least, tuple[str, ...], str]]:
    for methods, path in (
        (BOTH, "/sign-in"),
        (BOTH, "/set-up"),
        (GET, "/health"),
        (GET, "/phone"),
        (GET, "/phone/certificate"),
    ):
        yield ANYONE, methods, path


def _of_helpers() -> Iterator[tuple[Least, tuple[str, ...], str]]:
    """The work: jobs without their money, designs, materials with what they cost, what is to be bought."""
    for methods, path in (
        (GET, "/"),
        (GET, "/search"),
        (POST, "/sign-out"),
        (BOTH, "/drafts"),
        (POST, "/drafts/throw-away"),
        (BOTH, "/your-sign-in"),
        (POST, "/your-sign-in/everywhere"),
        (GET, "/jobs"),
        (GET, "/jobs.{form}"),
        (BOTH, "/jobs/new"),
        (POST, "/jobs/{job_id:uuid}/copy"),
        (BOTH, "/jobs/{number:int}"),
        (POST, "/jobs/{number:int}/estimate"),
        (POST, "/jobs/{number:int}/drawings"),
        (POST, "/jobs/{number:int}/look-on"),
        (POST, "/jobs/{number:int}/price"),
        (GET, "/jobs/{number:int}/drawn"),
        (GET, "/jobs/{number:int}/job.yaml"),
        (BOTH, "/jobs/{number:int}/working/{figure_id:path}"),
        (GET, "/jobs/{number:int}/items/{item_id}/places"),
        (POST, "/jobs/{number:int}/items/{item_id}/version"),
        (GET, "/jobs/{number}/shopping-list.pdf"),
        (GET, "/jobs/{number:int}/workshop"),
        (GET, "/jobs/{number:int}/workshop.pdf"),
        (GET, "/jobs/{number:int}/workshop.pdf/making"),
        (POST, "/jobs/{number:int}/workshop/tick"),
        (GET, "/jobs/{number:int}/cut"),
        (GET, "/jobs/{number:int}/cut.pdf"),
        (GET, "/jobs/{number:int}/cut/{material}/{plan:int}.svg"),
        (GET, "/jobs/{number:int}/cut/{material}/{plan:int}.dxf"),
        (GET, "/jobs/{number:int}/cut/{material}/all.dxf"),
        *((GET, f"/{of}/bench{ending}") for of in ("jobs/{number:int}", "designs/{code}") for ending in (
            "", "/parts.zip", "/parts/{part:int}.dxf", "/cut-list.{form}", "/templates.pdf",
            "/templates/{place:int}.pdf", "/router.pdf",
        )),
        (GET, "/jobs/{number:int}/bench/labels.pdf"),
        (GET, "/jobs/{number:int}/plans"),
        (BOTH, "/jobs/{number:int}/pictures"),
        (GET, "/jobs/{number:int}/pictures/{attachment_id:uuid}"),
        (POST, "/jobs/{number:int}/pictures/{attachment_id:uuid}/remove"),
        (GET, "/jobs/{number:int}/plans/{material}"),
        (GET, "/designs"),
        (BOTH, "/designs/new"),
        (GET, "/designs/{code}"),
        (GET, "/designs/{code}/text"),
        (GET, "/designs/{code}/compare"),
        (GET, "/designs/{code}/picture.svg"),
        (BOTH, "/designs/{code}/edit"),
        (POST, "/designs/{code}/retire"),
        (POST, "/designs/{code}/put-in"),
        (BOTH, "/maker"),
        (BOTH, "/maker/{making_id}"),
        (BOTH, "/maker/{making_id}/text"),
        (BOTH, "/maker/{making_id}/rows"),
        (GET, "/maker/{making_id}/offers"),
        (GET, "/maker/{making_id}/mends"),
        (GET, "/maker/{making_id}/working/{figure_id:path}"),
        (POST, "/maker/{making_id}/keep"),
        (POST, "/maker/{making_id}/throw-away"),
        (POST, "/designs/{code}/sweep"),
        (GET, "/sweeps/{key}"),
        (POST, "/sweeps/{key}/look"),
        (POST, "/sweeps/{key}/{act}"),
        (GET, "/materials"),
        (GET, "/materials.{form}"),
        (BOTH, "/materials/new"),
        (BOTH, "/materials/paste"),
        (GET, "/materials/{code}"),
        (BOTH, "/materials/{code}/edit"),
        (POST, "/materials/{code}/retire"),
        (BOTH, "/materials/{code}/offers/new"),
        (BOTH, "/materials/{code}/offers/{offer_id}/edit"),
        (POST, "/materials/{code}/offers/{offer_id}/retire"),
        (POST, "/materials/{code}/offers/{offer_id}/price"),
        (GET, "/rack"),
        (GET, "/rack.{form}"),
        (BOTH, "/rack/new"),
        (BOTH, "/rack/paste"),
        (BOTH, "/rack/labels"),
        (BOTH, "/count"),
        (GET, "/count.pdf"),
        (GET, "/count/kept"),
        (GET, "/stock"),
        (BOTH, "/stock/new"),
        (GET, "/stock/{code}"),
        (POST, "/stock/{code}/move"),
        (POST, "/stock/{code}/edit"),
        (GET, "/rack/{offcut_id:uuid}"),
        (BOTH, "/rack/{offcut_id:uuid}/edit"),
        (POST, "/rack/{offcut_id:uuid}/move"),
        (BOTH, "/jobs/{number:int}/offcuts"),
        (BOTH, "/jobs/{number:int}/items/{item_id}/design"),
        (POST, "/jobs/new/sizes"),
        (POST, "/starters"),
        (BOTH, "/designs/{code}/prices"),
        (BOTH, "/jobs/{number:int}/prices"),
        (GET, "/how-the-sums-are-made"),
        (GET, "/how-the-sums-are-made.pdf"),
        (GET, "/prices"),
        (GET, "/buying"),
        (GET, "/pool"),
        (GET, "/pool/shopping-list.pdf"),
        (BOTH, "/lists"),
        (GET, "/lists/for"),
        (GET, "/lists/worker.js"),
        (BOTH, "/lists/{number:int}"),
        (GET, "/lists/{number:int}.{form}"),
        (POST, "/lists/{number:int}/anew"),
        (GET, "/lists/{number:int}/list.pdf"),
        (GET, "/lists/{number:int}/cut"),
        (GET, "/lists/{number:int}/cut.pdf"),
        (GET, "/lists/{number:int}/cut-list.pdf"),
        (GET, "/lists/{number:int}/cut/{material}/{plan:int}.svg"),
        (GET, "/lists/{number:int}/cut/{material}/{plan:int}.dxf"),
        (GET, "/lists/{number:int}/cut/{material}/all.dxf"),
        (BOTH, "/lists/{number:int}/order"),
        (GET, "/lists/{number:int}/order.pdf"),
        (GET, "/lists/{number:int}/order.{form}"),
        (GET, "/lists/{number:int}/receiving.pdf"),
        (GET, "/jobs/{number:int}/bought"),
        (GET, "/jobs/{number:int}/bought.{form}"),
        (BOTH, "/buying/suppliers/new"),
        (BOTH, "/buying/suppliers/{code}/edit"),
    ):
        yield HELPER, methods, path


def _of_owners() -> Iterator[tuple[Least, tuple[str, ...], str]]:
    """What the shop asks of its customers, what it reckons with, and who is in it."""
    for methods, path in (
        (BOTH, "/price"),
        (POST, "/price/range"),
        (POST, "/price/such"),
        (BOTH, "/jobs/{number:int}/range"),
        (GET, "/jobs/{number:int}/comes-to"),
        (POST, "/price/keep"),
        (POST, "/first-steps/put-away"),
        (POST, "/first-steps/fetch"),
        (POST, "/first-steps/saw"),
        (BOTH, "/made-before"),
        (POST, "/made-before/sizes"),
        (BOTH, "/jobs/{number:int}/made-before"),
        (POST, "/jobs/{number:int}/made-before/prices"),
        (POST, "/jobs/{number:int}/made-before/keep"),
        (BOTH, "/jobs/{number}/issue"),
        (GET, "/jobs/{number}/quote-draft.pdf"),
        (GET, "/jobs/{number:int}/alternates"),
        (BOTH, "/jobs/{number:int}/alternates/{key}"),
        (POST, "/jobs/{number:int}/alternates/{key}/take"),
        (POST, "/jobs/{number:int}/alternates/{key}/offer"),
        (POST, "/jobs/{number:int}/alternates/{key}/remove"),
        (BOTH, "/jobs/{number:int}/suppliers"),
        (POST, "/jobs/{number:int}/plans/{material}"),
        (POST, "/jobs/{number:int}/plans/{material}/pin"),
        (POST, "/jobs/{number:int}/plans/{material}/release"),
        (GET, "/customers"),
        (BOTH, "/customers/{customer_id:int}"),
        (BOTH, "/customers/{customer_id:int}/merge"),
        (POST, "/rack/{offcut_id:uuid}/hold"),
        (GET, "/receipts"),
        (BOTH, "/receipts/new"),
        (POST, "/receipts/reckon"),
        (BOTH, "/receipts/{number:int}"),
        (POST, "/receipts/{number:int}/pictures"),
        (GET, "/receipts/{number:int}/pictures/{picture_id:uuid}"),
        (POST, "/receipts/{number:int}/pictures/{picture_id:uuid}/remove"),
        (GET, "/quotes"),
        (GET, "/quotes/earning"),
        (GET, "/quotes/{quote_id}"),
        (GET, "/quotes/{quote_id}/quote.pdf"),
        (GET, "/quotes/{quote_id}/shopping-list.pdf"),
        (GET, "/quotes/{quote_id}/workshop.pdf"),
        (GET, "/quotes/{quote_id}/workshop.pdf/making"),
        (GET, "/quotes/{quote_id}/cut"),
        (GET, "/quotes/{quote_id}/cut.pdf"),
        (GET, "/quotes/{quote_id}/cut/{material}/{plan:int}.svg"),
        (GET, "/quotes/{quote_id}/cut/{material}/{plan:int}.dxf"),
        (GET, "/quotes/{quote_id}/cut/{material}/all.dxf"),
        (POST, "/quotes/{quote_id}/state"),
        (BOTH, "/quotes/{quote_id}/mail"),
        (GET, "/quotes/{quote_id}/again"),
        (GET, "/settings"),
        (BOTH, "/settings/first"),
        (BOTH, "/settings/shop"),
        (GET, "/settings/shop/logo.png"),
        (POST, "/settings/shop/logo"),
        (BOTH, "/settings/mail"),
        (POST, "/settings/mail/try"),
        (BOTH, "/settings/steps"),
        (POST, "/settings/steps/try"),
        (BOTH, "/settings/new-figures"),
        (POST, "/settings/new-figures/try"),
        (POST, "/settings/new-figures/designs/{code}"),
        (GET, "/settings/compare"),
        (GET, "/settings/sets"),
        (BOTH, "/settings/sets/{number}"),
        (BOTH, "/prices/import"),
        (GET, "/prices/import/{key}"),
        (POST, "/prices/import/{key}/moves"),
        (BOTH, "/prices/import/{key}/columns"),
        (GET, "/prices/lines"),
        (POST, "/prices/lines/add"),
        (POST, "/prices/import/{key}/keep"),
        (POST, "/prices/imports/{import_id:uuid}/undo"),
        (POST, "/prices/raise"),
        (GET, "/prices/export.{form}"),
        (GET, "/prices/example.{form}"),
        (GET, "/jobs/{number:int}/costs.{form}"),
        (GET, "/receipts.{form}"),
        (BOTH, "/materials/bring"),
        (BOTH, "/materials/bring/{key}"),
        (GET, "/earlier-jobs"),
        (GET, "/earlier-jobs.{form}"),
        (BOTH, "/earlier-jobs/bring"),
        (BOTH, "/earlier-jobs/bring/{key}"),
        (POST, "/earlier-jobs/sheets/{sheet_id:uuid}/let-go"),
        (GET, "/jobs/{number:int}/such"),
        (BOTH, "/settings/backups"),
        (POST, "/settings/backups/bring-in"),
        (GET, "/settings/backups/{name}"),
        (BOTH, "/settings/backups/{name}/restore"),
        (BOTH, "/settings/{word}"),
        (POST, "/settings/{word}/try"),
        (GET, "/people"),
        (BOTH, "/people/new"),
        (GET, "/people/history"),
        (BOTH, "/people/{person_id:uuid}"),
        (POST, "/people/{person_id:uuid}/retire"),
    ):
        yield OWNER, methods, path


LEAST_ROLE: Final[Mapping[tuple[str, str], Least]] = {
    (method, path): least for least, methods, path in _table() for method in methods
}


def may_use(role: Role | None, method: str, path: str) -> bool:
    """Whether somebody may use the route at `path`, as the route itself is written; `role` is None for a stranger."""
    least = LEAST_ROLE.get((method, path), OWNER)
    return least == ANYONE or role == OWNER or (role == HELPER and least == HELPER)
