"""Every answer for programs, asked with whatever its own description allows and with what it does not."""

from __future__ import annotations

from pathlib import Path

import pytest
import schemathesis
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.generation import GenerationMode
from schemathesis.python import asgi
from schemathesis.specs.openapi.checks import positive_data_acceptance

from mullbed.domain.signing import Where
from mullbed.web.app import build_app
from mullbed.web.settings import Settings

ADDRESS = "http://127.0.0.1:8437"
QUESTIONS = (
    "GET /api/round",
    "GET /api/beds",
    "GET /api/beds/{bed}",
    "GET /api/beds/{bed}/preview",
    "GET /api/in-hand",
    "GET /api/season",
    "GET /api/signs",
    "GET /api/beds/{bed}/diagnosis",
    "GET /api/cautions",
    "POST /api/entries",
    "GET /api/entries/{id}",
    "POST /api/entries/take-back",
    "GET /health",
)
#: What names things of the record, which no description holds: a fitting text may still name nothing.
NAMES_THINGS = frozenset({"GET /api/beds/{bed}/preview", "GET /api/beds/{bed}/diagnosis"})


@pytest.fixture(scope="module")
def app(demo_record: Path, tmp_path_factory: pytest.TempPathFactory) -> object:
    """Return the application on a record of its own, on the day of these tests."""
    import shutil
    from datetime import date

    place = tmp_path_factory.mktemp("fuzzed") / "record.sqlite"
    shutil.copy(demo_record, place)
    return build_app(Settings(Where(str(place)), "Ada", today=date(2027, 6, 9)))


@pytest.fixture(scope="module")
def schema(app: object) -> schemathesis.BaseSchema:
    """Return the description as a signed-in program reads it."""
    with TestClient(app, base_url=ADDRESS) as client:  # type: ignore[arg-type]
        told = schemathesis.openapi.from_dict(client.get("/api/openapi.json").json())
    told.app = app
    return told


def test_every_question_that_is_described_is_asked(schema: schemathesis.BaseSchema):
    known = {f"{found.ok().method.upper()} {found.ok().path}" for found in schema.get_all_operations()}
    assert known == set(QUESTIONS)


@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE], ids=["fitting", "unfitting"])
@pytest.mark.parametrize("question", QUESTIONS)
def test_an_answer_is_as_described_whatever_is_asked(
    schema: schemathesis.BaseSchema, app: object, question: str, mode: GenerationMode
):
    method, path = question.split()
    operation = schema[path][method]
    asked: list[int] = []
    with asgi.get_client(app) as client:

        @settings(
            max_examples=12,
            deadline=None,
            database=None,
            derandomize=True,
            phases=(Phase.explicit, Phase.generate),
            suppress_health_check=list(HealthCheck),
        )
        @given(operation.as_strategy(generation_mode=mode))
        def ask(case: schemathesis.Case) -> None:
            if "bed" in (case.path_parameters or {}) and len(asked) % 2:
                case.path_parameters["bed"] = "Garlic Bed"
            excluded = [positive_data_acceptance] if question in NAMES_THINGS else []
            answer = case.call_and_validate(
                base_url=ADDRESS, session=client, headers={"origin": ADDRESS}, excluded_checks=excluded
            )
            asked.append(answer.status_code)

        try:
            ask()
        except Exception as error:
            if mode is GenerationMode.NEGATIVE and type(error).__name__ in ("Unsatisfiable", "SkipTest"):
                return  # nothing about it can be asked wrongly
            raise
    assert asked and all(status < 500 for status in asked)
