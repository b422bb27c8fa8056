"""Fixtures every test may ask for: the folder of open data sets beside the repository, and databases for a record."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from postgres_cluster import Cluster, running_cluster, server_programs

REPOSITORY = Path(__file__).resolve().parent.parent


def find_shared_data() -> Path | None:
    """Return the folder of open data sets, or None where it is absent.

    ``MULLBED_SHARED`` names the folder that holds ``data``; without it ``../shared`` beside the repository is used.
    """
    named = os.environ.get("MULLBED_SHARED")
    folder = (Path(named) if named else REPOSITORY.parent / "shared") / "data"
    return folder if folder.is_dir() else None


@pytest.fixture(scope="session")
def repository() -> Path:
    """Return the root of the repository."""
    return REPOSITORY


@pytest.fixture(scope="session")
def shared_data() -> Path:
    """Return the folder of open data sets, or skip loudly where it is absent."""
    folder = find_shared_data()
    if folder is None:
        pytest.skip(
            "OPEN DATA ABSENT: put the data sets in ../shared/data or name their parent in MULLBED_SHARED; "
            "this check did not run"
        )
    return folder


@pytest.fixture(scope="session")
def soak_times() -> Callable[[int], int]:
    """Return how often a long check repeats: all of it under ``make soak``, a fiftieth of it otherwise."""
    whole = bool(os.environ.get("MULLBED_SOAK"))
    return lambda count: count if whole else max(1, count // 50)


@pytest.fixture(scope="session")
def postgres() -> Iterator[Cluster]:
    """Return a PostgreSQL of our own; without the server's programs fail where ``CI`` is set, else skip loudly."""
    programs = server_programs()
    if programs is None:
        told = "POSTGRESQL ABSENT: install Debian's package postgresql; this check did not run"
        if os.environ.get("CI"):
            pytest.fail(told)
        pytest.skip(told)
    with running_cluster(programs) as cluster:
        yield cluster


@pytest.fixture(params=["sqlite", "postgresql"])
def record_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Return the address of an empty database, once for each kind we know."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'record.sqlite'}"
    cluster: Cluster = request.getfixturevalue("postgres")
    return cluster.new_database()
