"""Several server processes on one PostgreSQL: what many send at once is kept once, a process that dies is made good."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime
from http.client import HTTPConnection, HTTPException
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from mullbed.domain.record import entry_id
from mullbed.domain.record_kinds import Kind
from mullbed.domain.signing import Signature, Where
from mullbed.store.database import open_record
from mullbed.store.journal import every_entry, gardens
from mullbed.usecases.create_garden import create_garden
from postgres_cluster import Cluster

PEOPLE, EACH = 12, 5


class Served:
    """A server of two processes, and what it logs."""

    def __init__(self, url: str) -> None:
        with socket.socket() as tried:
            tried.bind(("127.0.0.1", 0))
            self.port = tried.getsockname()[1]
        words = ["serve", "--workers", "2", "--log", "--port", str(self.port), "--day", "2027-06-09", "--by", "Ada"]
        self.process = subprocess.Popen(
            [sys.executable, "-m", "mullbed", *words],
            env=os.environ | {"MULLBED_RECORD": url},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
        )
        self.lines: list[str] = []
        self.reader = threading.Thread(target=self._read, daemon=True)
        self.reader.start()

    def _read(self) -> None:
        assert self.process.stderr is not None
        self.lines.extend(iter(self.process.stderr.readline, ""))  # ends with the server

    def logged(self) -> list[dict[str, Any]]:
        """Return what was told as JSON so far."""
        return [json.loads(line) for line in list(self.lines) if line.startswith("{")]

    def ask(self, method: str, path: str, sent: object = None) -> tuple[int, Any]:
        """Ask once, on a connection of its own."""
        connection = HTTPConnection("127.0.0.1", self.port, timeout=30)
        try:
            headers = {"origin": f"http://127.0.0.1:{self.port}", "content-type": "application/json"}
            connection.request(method, path, json.dumps(sent) if sent is not None else None, headers)
            answer = connection.getresponse()
            return answer.status, json.loads(answer.read())
        finally:
            connection.close()

    def wait_for(self, status: int) -> None:
        """Wait until it answers so of its health."""
        last_try = time.monotonic() + 60.0
        while time.monotonic() < last_try:
            try:
                if self.ask("GET", "/health")[0] == status:
                    return
            except (OSError, HTTPException):
                pass
            assert self.process.poll() is None, "".join(self.lines)
            time.sleep(0.05)
        raise AssertionError(f"its health never was {status}: {''.join(self.lines)[-2000:]}")


@pytest.fixture
def place(postgres: Cluster) -> str:
    """Return the address of a database that holds the demo garden."""
    url = postgres.new_database()
    signed = Signature("Ada", datetime(2026, 3, 1, tzinfo=UTC), date(2027, 3, 1), lambda: os.urandom(10))
    create_garden(Path(str(files("mullbed.files").joinpath("demo/garden.toml"))), Where(url), signed)
    return url


@pytest.fixture
def served(place: str) -> Iterator[Served]:
    """Return a server of two processes on it; stopped at the end."""
    server = Served(place)
    try:
        server.wait_for(200)
        yield server
    finally:
        server.process.send_signal(signal.SIGINT)
        try:
            server.process.wait(20)
        except subprocess.TimeoutExpired:
            server.process.kill()
            server.process.wait()
        server.reader.join(10)
        assert server.process.stderr is not None
        server.process.stderr.close()


def note(person: int, number: int) -> dict[str, object]:
    identity = entry_id(datetime.now(UTC), os.urandom(10))
    fields = [["job", "note"], ["bed", "Gate Bed"], ["text", f"secret word {person} {number}"]]
    return {"id": identity, "fields": fields}


def test_many_write_through_two_processes_and_a_killed_one_loses_nothing(
    served: Served, place: str, postgres: Cluster
) -> None:
    sent = [[note(person, number) for number in range(EACH)] for person in range(PEOPLE)]

    def write(notes: list[dict[str, object]]) -> None:
        for one in notes:
            while True:  # as a phone does: again with the same id until it is acknowledged
                try:
                    status, told = served.ask("POST", "/api/entries", [one])
                except (OSError, HTTPException):
                    continue
                if status == 200 and told[0]["state"] in ("kept", "known"):
                    break
                assert status >= 500 or told[0]["state"] != "refused", told

    with ThreadPoolExecutor(PEOPLE) as crowd:
        working = [crowd.submit(write, notes) for notes in sent]
        while len({one["process"] for one in served.logged() if one["event"] == "answer"}) < 2:
            served.ask("GET", "/health")
        victim = next(one["process"] for one in served.logged() if one["event"] == "answer")
        os.kill(victim, signal.SIGKILL)
        for one in working:
            one.result(timeout=60)

    with open_record(place) as record, record.reading() as transaction:
        (garden,) = gardens(transaction)
        kept = [one.id for one in every_entry(transaction, garden) if one.kind == Kind.NOTE]
    assert sorted(kept) == sorted(str(one["id"]) for notes in sent for one in notes)

    last_try = time.monotonic() + 60.0
    while time.monotonic() < last_try:
        served.ask("GET", "/health")
        answered = {one["process"] for one in served.logged() if one["event"] == "answer"} - {victim}
        if len(answered) >= 2:
            break
    assert len(answered) >= 2, "no process took the place of the one that died"

    told = "".join(served.lines)
    assert "secret word" not in told and "Gate" not in told and "127.0.0.1:" not in told.split("Stop with", 1)[1]
    assert {one["route"] for one in served.logged() if one["event"] == "answer"} <= {"/api/entries", "/health"}

    postgres.stop()
    try:
        served.wait_for(503)
        assert served.ask("GET", "/api/beds")[0] == 503
    finally:
        postgres.start()
    served.wait_for(200)
    assert served.ask("GET", "/api/beds")[0] == 200
