"""Builds the application: pages, answers for programs, static files; opens the record once for all of them."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.resources import files
from pathlib import Path

from fastapi import Depends, FastAPI
from fastapi.responses import FileResponse, Response
from fastapi.staticfiles import StaticFiles

from mullbed.store.database import kept_open
from mullbed.web import errors
from mullbed.web.answers import ANSWERS
from mullbed.web.answers.description import describe
from mullbed.web.guards import Guards
from mullbed.web.pages import PAGES
from mullbed.web.sessions import doorkeeper
from mullbed.web.settings import Settings


def build_app(settings: Settings) -> FastAPI:
    """Return the application for one record.

    Raises
    ------
    RecordError
        At start, when the record cannot be opened.
    """

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
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

    @app.get("/health")
    def health() -> dict[str, str]:
        """Tell that the server answers."""
        return {"status": "well"}

    app.add_middleware(Guards, names=settings.names, secure=settings.secure)
    return app
