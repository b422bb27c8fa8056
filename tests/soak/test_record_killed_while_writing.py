"""Killed at any moment, the record has lost nothing it acknowledged, holds nothing twice and nothing by half."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from sqlalchemy import select, text

from mullbed.domain.record_codec import digest
from mullbed.store import journal
from mullbed.store.database import Record, open_record
from mullbed.store.tables import entries as table
from postgres_cluster import Cluster, place_in_memory

pytestmark = pytest.mark.soak

sys.path.insert(0, str(Path(__file__).parent))
from record_writer import batch_of  # noqa: E402

WRITES = 200
RUNS_IN_ONE = 25
"""Runs into one database, so that looking it over from end to end stays quick."""


@contextmanager
def writer(url: str) -> Iterator[subprocess.Popen[str]]:
    """Start the writing program."""
    program = Path(__file__).parent / "record_writer.py"
    with subprocess.Popen(
        [sys.executable, str(program), url], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1
    ) as process:
        try:
            assert process.stdout is not None
            assert process.stdout.readline() == "ready\n"
            yield process
        finally:
            assert process.stdin is not None
            process.stdin.close()


def begin(process: subprocess.Popen[str], run: str, first: int = 0, count: int = WRITES) -> int:
    """Start a run and return the number of its process."""
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdin.write(f"{run} {first} {count}\n")
    word, child = process.stdout.readline().split()
    assert word == "child"
    return int(child)


def acknowledged(process: subprocess.Popen[str], at_most: int) -> list[int]:
    """Wait for so many acknowledgements and return the numbers of the writes."""
    assert process.stdout is not None
    return [int(process.stdout.readline().split()[2]) for _ in range(at_most)]


def finish(process: subprocess.Popen[str]) -> tuple[list[int], int]:
    """Return the further numbers that were acknowledged, and how the run ended."""
    assert process.stdout is not None
    kept = []
    for line in process.stdout:
        word, *rest = line.split()
        if word == "ended":
            return kept, int(rest[0])
        if word == "kept":
            kept.append(int(rest[1]))
    raise AssertionError("the writing program itself is gone")


def check(record: Record, run: str, kept: list[int]) -> int:
    """Check what is kept of a run after its end, and return how many transactions are."""
    assert kept == list(range(len(kept)))
    batches = [batch_of(run, number) for number in range(WRITES)]
    found = 0
    with record.reading() as transaction:
        if record.file is not None:
            assert transaction.execute(text("PRAGMA integrity_check")).scalar() == "ok"
            assert transaction.execute(text("PRAGMA foreign_key_check")).first() is None
        total, ids = transaction.execute(text("SELECT count(*), count(DISTINCT id) FROM entries")).one()
        assert total == ids
        asked = select(table.c.id, table.c.digest).where(table.c.id.in_([one.id for sent in batches for one in sent]))
        there = {row.id: row.digest for row in transaction.execute(asked)}
    for number, sent in enumerate(batches):
        alike = [there[one.id] == digest(one) for one in sent if one.id in there]
        assert all(alike), f"write {number} of run {run} was changed"
        assert len(alike) in (0, len(sent)), f"write {number} of run {run} is half there"
        assert alike or number not in kept, f"write {number} of run {run} was acknowledged and is lost"
        found += bool(alike)
    assert len(kept) <= found <= len(kept) + 1
    return found


def killed_over_and_over(new_url: Callable[[], str], runs: int, harm: Callable[[int], None]) -> dict[str, int]:
    """Run the writing program so often, killed at a random moment; send everything again; count it all."""
    chance = np.random.default_rng(20260304)
    told = {"runs": 0, "killed": 0, "acknowledged": 0, "kept unacknowledged": 0}
    for first in range(0, runs, RUNS_IN_ONE):
        url, these = new_url(), range(first, min(first + RUNS_IN_ONE, runs))
        with open_record(url) as record, writer(url) as process:
            begin(process, "whole")
            assert finish(process) == (list(range(WRITES)), 0)
            for number in these:
                run = f"run-{number}"
                child = begin(process, run)
                kept = acknowledged(process, int(chance.integers(WRITES)))
                time.sleep(float(chance.uniform(0.0, 0.02)))
                with suppress(ProcessLookupError):  # it was done already
                    os.kill(child, signal.SIGKILL)
                harm(number)
                further, status = finish(process)
                kept += further
                found = check(record, run, kept)
                told["killed"] += status == signal.SIGKILL
                told["runs"] += 1
                told["acknowledged"] += len(kept)
                told["kept unacknowledged"] += found - len(kept)
            _send_all_again(record, these)
    return told


def _send_all_again(record: Record, runs: range) -> None:
    """What is sent again is kept once: afterwards every entry of every run is there, and no other."""
    names = ["whole", *(f"run-{number}" for number in runs)]
    for run in names:
        with record.writing() as transaction:
            journal.append(transaction, [one for number in range(WRITES) for one in batch_of(run, number)])
    each = sum(len(batch_of("", number)) for number in range(WRITES))
    with record.reading() as transaction:
        assert journal.count(transaction) == each * len(names)


def test_sqlite_keeps_what_it_acknowledged_whenever_it_is_killed(soak_times: Callable[[int], int]) -> None:
    with TemporaryDirectory(dir=place_in_memory()) as folder:
        numbers = count()
        told = killed_over_and_over(
            lambda: f"sqlite:///{folder}/{next(numbers)}.sqlite", soak_times(500), lambda number: None
        )
    print("SQLite, killed:", told)
    assert told["killed"] >= told["runs"] * 9 // 10


def test_postgresql_keeps_what_it_acknowledged_whenever_it_is_killed(
    soak_times: Callable[[int], int], postgres: Cluster
) -> None:
    runs = soak_times(500)

    def harm(number: int) -> None:
        if number % 10 == 9 or number == 0:  # the server crashes too
            postgres.stop("immediate")
            postgres.start()

    told = killed_over_and_over(postgres.new_database, runs, harm)
    print("PostgreSQL, killed:", told)
    assert told["killed"] >= told["runs"] * 9 // 10


def test_a_server_that_is_killed_under_a_writer_has_lost_nothing(
    soak_times: Callable[[int], int], postgres: Cluster
) -> None:
    """Here the writer lives and the server dies: every process of it at once, as when the power goes."""
    chance = np.random.default_rng(20260305)
    url = postgres.new_database()
    with open_record(url) as record, writer(url) as process:
        for number in range(soak_times(100)):
            begin(process, f"run-{number}")
            kept = acknowledged(process, int(chance.integers(WRITES)))
            time.sleep(float(chance.uniform(0.0, 0.02)))
            postgres.kill()
            further, _ = finish(process)
            postgres.start()
            check(record, f"run-{number}", kept + further)
