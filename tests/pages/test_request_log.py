"""What is logged of an answer and of a defect holds nothing of anybody."""

from __future__ import annotations

import json
import logging
from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient

from mullbed.web.request_log import LOGGER, JsonLines


class Kept(logging.Handler):
    def __init__(self) -> None:
        super().__init__()
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(JsonLines().format(record))


@pytest.fixture
def told(open_page: Callable[..., TestClient]) -> tuple[TestClient, list[str]]:
    kept, logger = Kept(), logging.getLogger(LOGGER)
    logger.handlers, logger.propagate = [kept], False
    logger.setLevel(logging.INFO)
    return open_page(log=True), kept.lines


def test_an_answer_is_told_by_pattern_status_and_time_alone(told: tuple[TestClient, list[str]]):
    client, lines = told
    client.get("/bed/Garlic%20Bed?id=secret")
    client.post("/did", data={"job": "note", "bed": "Garlic Bed", "text": "my secret"})
    client.get("/static/style.css")
    client.get("/nowhere/secret")
    answers = [json.loads(line) for line in lines]
    assert [(one["method"], one["route"], one["status"]) for one in answers] == [
        ("GET", "/bed/{name}", 200),
        ("POST", "/did", 303),
        ("GET", "/static", 200),
        ("GET", "unknown", 404),
    ]
    keys = {"time", "level", "process", "event", "method", "route", "status", "milliseconds"}
    assert all(set(one) == keys for one in answers)
    assert "secret" not in "".join(lines) and "Garlic" not in "".join(lines)


def test_a_defect_is_told_by_kind_and_place_without_its_words():
    kept = Kept()
    logger = logging.getLogger("mullbed.tried")
    logger.handlers, logger.propagate = [kept], False
    try:
        raise ValueError("phrase of Ada")
    except ValueError:
        logger.exception("Exception in ASGI application phrase of Ada")
    line = json.loads(kept.lines[0])
    assert (line["event"], line["kind"]) == ("defect", "ValueError")
    assert "test_request_log.py" in line["places"][0] and "Ada" not in kept.lines[0]
