"""The only wiring: settings, store, gate, pages and errors put together."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from datetime import datetime

import anyio.to_thread
from fastapi import Depends, FastAPI
from fastapi.responses import PlainTextResponse
from starlette.middleware import Middleware
from starlette.routing import Route

from webapp.assets import serve_asset
from webapp.costing.plans.first_plan import first_plan as first_plan  # the solvers load before anybody waits for them
from webapp.documents.printing.pdf_worker import WORKER
from webapp.pages.bench import routes as bench
from webapp.pages.buying import routes as buying
from webapp.pages.buying_lists import routes as buying_lists
from webapp.pages.catalogue import materials, price_lines
from webapp.pages.catalogue import prices_in_doubt as prices_in_doubt
from webapp.pages.catalogue.bring_materials import STOCK_IN
from webapp.pages.catalogue.pasted_materials import MATERIALS_IN
from webapp.pages.designs import routes as designs
from webapp.pages.drafts import routes as drafts
from webapp.pages.earlier_jobs import routes as earlier_jobs
from webapp.pages.earlier_jobs.bring import JOBS_IN
from webapp.pages.jobs import routes as jobs
from webapp.pages.made_before import routes as made_before
from webapp.pages.maker import routes as maker
from webapp.pages.people import routes as people
from webapp.pages.people import set_up, sign_in, your_sign_in
from webapp.pages.prices import files as price_files
from webapp.pages.prices.shelf import LARGEST_SENT, SENT_IN
from webapp.pages.quotes import routes as quotes
from webapp.pages.rack import offcuts as job_offcuts
from webapp.pages.rack import routes as rack
from webapp.pages.rack.pasted import RACK_IN
from webapp.pages.receipts import routes as receipts
from webapp.pages.settings import backups, phone
from webapp.pages.settings import routes as settings_pages
from webapp.pages.settings.backups import UPLOAD
from webapp.pages.start import routes as start
from webapp.pages.start import search
from webapp.pages.sweeps import routes as sweeps
from webapp.pages.web import errors
from webapp.persistence.database.database import THREADS, Database, answers, open_database
from webapp.quiet import CountedRequests, Quiet
from webapp.running import Running, utc_now
from webapp.security.bodies import FORM_SECONDS, UPLOAD_SECONDS, Bound, GuardedBodies
from webapp.security.forms import check_form
from webapp.security.gate import HEALTH, pass_gate, write_as_the_shop
from webapp.security.headers import GuardedAnswers, KnownNames, ReadableAddresses
from webapp.security.secret_key import secret_key
from webapp.settings import Settings

PAGES = (
    sign_in,
    set_up,
    jobs,
    quotes,
    sweeps,
    bench,
    designs,
    maker,
    materials,
    rack,
    job_offcuts,
    backups,
    price_files,
    price_lines,
    prices_in_doubt,
    settings_pages,
    start,
    made_before,
    buying,
    buying_lists,
    people,
    your_sign_in,
    phone,
    receipts,
    earlier_jobs,
    search,
    drafts,
)


def create_app(settings: Settings, database: Database | None = None, now: Callable[[], datetime] = utc_now) -> FastAPI:
    """The whole program as one application, on a store that has been brought up to date."""
    store = database or open_database(settings.database_address)
    quiet = Quiet()

    @asynccontextmanager
    async def while_running(_: FastAPI) -> AsyncIterator[None]:
        anyio.to_thread.current_default_thread_limiter().total_tokens = THREADS
        WORKER.warm()
        async with quiet.rounds():
            yield
        WORKER.stop()
        if database is None:
            store.close()

    tables_sent = Bound(max(LARGEST_SENT, settings.body_limit_bytes), UPLOAD_SECONDS)
    app = FastAPI(
        title="Shop Reckoner",
        lifespan=while_running,
        openapi_url=None,
        dependencies=[Depends(pass_gate), Depends(write_as_the_shop), Depends(check_form)],
        middleware=[
            Middleware(CountedRequests, quiet=quiet),
            Middleware(GuardedAnswers),
            Middleware(KnownNames, further=settings.host_names),
            Middleware(ReadableAddresses),
            Middleware(
                GuardedBodies,
                forms=Bound(settings.body_limit_bytes, FORM_SECONDS),
                wider={
                    UPLOAD: Bound(settings.backup_limit_bytes, UPLOAD_SECONDS),
                    **dict.fromkeys((SENT_IN, MATERIALS_IN, STOCK_IN, RACK_IN, JOBS_IN), tables_sent),
                },
            ),
        ],
    )
    app.state.running = Running(settings, store, secret_key(settings.data_folder), now)
    app.router.routes.append(Route("/static/{name:path}", serve_asset, methods=["GET"]))
    for page in PAGES:
        app.include_router(page.router)
    errors.answer_errors(app)

    @app.get(HEALTH, response_class=PlainTextResponse)
    def health() -> PlainTextResponse:
        """Whether the program runs and its database answers."""
        return PlainTextResponse("well\n") if answers(store) else PlainTextResponse("no database\n", 503)

    return app
