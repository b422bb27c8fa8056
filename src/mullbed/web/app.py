"""Builds the application: pages, answers for programs, static files; opens the record once for all of them."""

from __future__ import annotations

from collections.abc import AsyncIterator, Hashable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from fastapi import Depends, FastAPI
from fastapi.responses import FileResponse, Response
from fastapi.staticfiles import StaticFiles
from starlette.middleware.gzip import GZipMiddleware

from mullbed.store.database import kept_open, open_record, reachable
from mullbed.store.journal import newest
from mullbed.web import errors
from mullbed.web.answers import ANSWERS
from mullbed.web.answers.description import describe
from mullbed.web.guards import Guards
from mullbed.web.making import at_work_here, ended_here
from mullbed.web.page_cache import PageCache
from mullbed.web.pages import PAGES
from mullbed.web.reading import Readers
from mullbed.web.request_log import RequestLog
from mullbed.web.sessions import doorkeeper
from mullbed.web.settings import Settings
from mullbed.web.warm_pages import begin_warming


@dataclass(frozen=True, slots=True)
class Health:
    """How a server is."""

    status: str
    record: str


def build_app(settings: Settings) -> FastAPI:
    """Return the application for one record.

    Raises
    ------
    RecordError
        At start, when the record cannot be opened.
    """

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        begin_warming()
        with kept_open(settings.where.record):
            yield

    app = FastAPI(
        title="Mullbed",
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        lifespan=life,
        debug=False,
        dependencies=[Depends(doorkeeper)],
    )
    app.state.settings = settings
    errors.add_handlers(app)
    static = Path(str(files("mullbed.web").joinpath("static")))
    app.mount("/static", StaticFiles(directory=static), name="static")
    for router in PAGES:
        app.include_router(router, include_in_schema=False)
    for router in ANSWERS:
        app.include_router(router)
    app.openapi = lambda: describe(app)  # type: ignore[method-assign]

    @app.get("/field-worker.js", include_in_schema=False)
    def worker() -> Response:
        """The service worker must be served from the top to see every page."""
        return FileResponse(static / "field-worker.js", media_type="text/javascript")

    @app.get("/health", responses={503: {"model": Health, "description": "The record cannot be reached."}})
    def health(answer: Response) -> Health:
        """Tell whether the server answers and reaches its record; nothing of what is in it."""
        if reachable(settings.where.record):
            return Health("well", "reachable")
        answer.status_code = 503
        return Health("unwell", "unreachable")

    def newest_entry() -> Hashable:
        with open_record(settings.where.record) as record, record.reading() as transaction:
            return newest(transaction), ended_here(app)

    def plan_at_work() -> bool:
        return at_work_here(app)

    app.add_middleware(GZipMiddleware, minimum_size=1000, compresslevel=6)  # inside: a kept page is kept packed
    app.add_middleware(PageCache, settings=settings, newest=newest_entry, busy=plan_at_work)
    app.add_middleware(Readers)
    app.add_middleware(Guards, names=settings.names, secure=settings.secure)
    if settings.log:
        app.add_middleware(RequestLog)
    return app
