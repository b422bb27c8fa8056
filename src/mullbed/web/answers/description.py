"""What the answers look like, as an OpenAPI document; for whoever may ask the questions, not for strangers."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, FastAPI, Request
from fastapi.openapi.utils import get_openapi
from fastapi.responses import JSONResponse
from pydantic import TypeAdapter

from mullbed.web.problems import Problem

router = APIRouter(prefix="/api")
ABOUT = (
    "The questions of the pages, answered as JSON. Signed in as on the pages: the session's cookie is sent along, and "
    "what changes something carries the header `Origin` of this server. Keys stay; new ones may be added."
)


@router.get("/openapi.json", include_in_schema=False)
def description(request: Request) -> JSONResponse:
    """Return the description."""
    return JSONResponse(request.app.openapi())


def describe(app: FastAPI) -> dict[str, Any]:
    """Return the description of an application, made once."""
    if app.openapi_schema is None:
        made = get_openapi(title="Mullbed", version="1", description=ABOUT, routes=app.routes)
        schema = TypeAdapter(Problem).json_schema(ref_template="#/components/schemas/{model}")
        shared = made.setdefault("components", {}).setdefault("schemas", {})
        shared.update(schema.pop("$defs", {}))
        shared["Problem"] = schema
        for unused in ("HTTPValidationError", "ValidationError"):
            shared.pop(unused, None)
        app.openapi_schema = made
    return app.openapi_schema
