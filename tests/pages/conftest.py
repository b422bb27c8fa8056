"""The pages on a record of their own, without a network: the demo garden, told to be in June."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from importlib.resources import files
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from mullbed.domain.signing import Signature, Where
from mullbed.usecases.create_garden import create_garden
from mullbed.web.app import build_app
from mullbed.web.settings import Settings

DAY = date(2027, 6, 9)


def signed(author: str = "Ada", day: date = DAY) -> Signature:
    """Return who writes in these tests."""
    return Signature(author, datetime(2027, 6, 9, 8, 0, tzinfo=UTC), day, lambda: os.urandom(10))


@pytest.fixture(scope="session")
def demo_record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a record that holds the demo garden, made once."""
    place = tmp_path_factory.mktemp("record") / "record.sqlite"
    garden = Path(str(files("mullbed.files").joinpath("demo/garden.toml")))
    before = replace(
        signed(day=date(2027, 3, 1)), now=datetime(2026, 3, 1, tzinfo=UTC)
    )  # what is told later holds over it
    create_garden(garden, Where(str(place)), before)
    return place


@pytest.fixture
def record(demo_record: Path, tmp_path: Path) -> Path:
    """Return a copy of the demo record that a test may write to."""
    place = tmp_path / "record.sqlite"
    shutil.copy(demo_record, place)
    return place


@pytest.fixture
def open_page(record: Path) -> Iterator[Callable[..., TestClient]]:
    """Return a function that opens the pages of the record; every client is closed at the end."""
    opened: list[TestClient] = []

    def opening(**settings: object) -> TestClient:
        values: dict[str, object] = {"where": Where(str(record)), "author": "Ada", "today": DAY} | settings
        client = TestClient(
            build_app(Settings(**values)),  # type: ignore[arg-type]
            base_url="http://127.0.0.1:8437",
            headers={"origin": "http://127.0.0.1:8437"},
            follow_redirects=False,
            raise_server_exceptions=False,
        )
        client.__enter__()
        opened.append(client)
        return client

    yield opening
    for client in opened:
        client.__exit__(None, None, None)


@pytest.fixture
def client(open_page: Callable[..., TestClient]) -> TestClient:
    """Return the pages as their owner at this machine sees them."""
    return open_page()
