"""How fast the page answers many at once: a server on loopback, asked by this script; bounded to about two minutes.

Writes benchmarks/results/page_load.json. Nothing is asserted of time; what fails is an answer that is wrong or lost.
"""

from __future__ import annotations

import asyncio
import json
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from importlib.resources import files
from pathlib import Path

from mullbed.domain.people import Role
from mullbed.domain.record import entry_id
from mullbed.domain.record_kinds import Kind
from mullbed.domain.signing import Signature, Where
from mullbed.store.database import open_record
from mullbed.store.journal import every_entry, gardens
from mullbed.usecases.create_garden import create_garden
from mullbed.usecases.invite_person import Attempt, accept_invitation, invite_person, sign_in

RESULTS = Path(__file__).parent / "results" / "page_load.json"
PAGES = (
    "/",
    "/map",
    "/bed/Garlic%20Bed",
    "/bed/Gate%20Bed",
    "/in-hand",
    "/season",
    "/did?bed=Garlic%20Bed",
    "/noticed/first",
)
CONNECTIONS, LOOKS, ROUNDS = 16, 150, 7
PEOPLE, NOTES = 50, 10
FORECASTS = 40
FORECAST_BEDS = ("Gate%20Bed", "Garlic%20Bed")
"""One that begins today, 200 days ahead; one with a layer since autumn, 416 days."""
DAY = date(2027, 6, 9)


@dataclass(frozen=True)
class Asked:
    """A server, and a session where one is needed."""

    port: int
    cookie: str = ""

    async def line(self) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
        """Open a connection that is kept."""
        return await asyncio.open_connection("127.0.0.1", self.port, limit=1 << 21)

    async def ask(
        self, line: tuple[asyncio.StreamReader, asyncio.StreamWriter], path: str, body: bytes | None = None
    ) -> tuple[int, bytes, float]:
        """Return status, body and time of one answer. [ms]"""
        reader, writer = line
        head = f"{'GET' if body is None else 'POST'} {path} HTTP/1.1\r\nHost: 127.0.0.1:{self.port}\r\n"
        head += f"Cookie: {self.cookie}\r\n" if self.cookie else ""
        if body is not None:
            head += f"Origin: http://127.0.0.1:{self.port}\r\nContent-Type: application/json\r\n"
            head += f"Content-Length: {len(body)}\r\n"
        began = time.perf_counter()
        writer.write(head.encode() + b"\r\n" + (body or b""))
        answered = await reader.readuntil(b"\r\n\r\n")
        lines = answered.lower().split(b"\r\n")
        length = next(int(one.split(b":")[1]) for one in lines if one.startswith(b"content-length"))
        content = await reader.readexactly(length)
        return int(answered[9:12]), content, 1000.0 * (time.perf_counter() - began)


def served(record: Path, *words: str) -> tuple[subprocess.Popen[bytes], int]:
    """Start a server and wait until it answers."""
    with socket.socket() as tried:
        tried.bind(("127.0.0.1", 0))
        port = tried.getsockname()[1]
    words = ("serve", "--port", str(port), "--record", str(record), "--day", DAY.isoformat(), "--by", "Ada", *words)
    process = subprocess.Popen(
        [sys.executable, "-m", "mullbed", *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    for _ in range(600):
        try:
            with socket.create_connection(("127.0.0.1", port), 1.0):
                return process, port
        except OSError:
            time.sleep(0.1)
    raise SystemExit("the server did not start")


async def looks(asked: Asked) -> tuple[list[float], float]:
    """Return the times of many looks at pages over sixteen connections, and looks a second."""
    times: list[float] = []

    async def one(number: int) -> None:
        line = await asked.line()
        for turn in range(LOOKS):
            status, _, took = await asked.ask(line, PAGES[(turn + number) % len(PAGES)])
            if status != 200:
                raise SystemExit(f"{PAGES[(turn + number) % len(PAGES)]} answered {status}")
            times.append(took)
        line[1].close()

    began = time.perf_counter()
    await asyncio.gather(*(one(number) for number in range(CONNECTIONS)))
    return times, len(times) / (time.perf_counter() - began)


async def first_looks(asked: Asked) -> dict[str, float]:
    """Return the time of each page when it is made, nothing of it being kept. [ms]"""
    line, found = await asked.line(), {}
    for path in PAGES:
        fresh = f"{path}{'&' if '?' in path else '?'}new="
        times = sorted([(await asked.ask(line, f"{fresh}{turn}"))[2] for turn in range(7)])
        found[path] = round(times[3], 1)
    line[1].close()
    return found


async def forecasts(asked: Asked, bed: str) -> list[float]:
    """Return the times of one bed's forecast made anew with 1,024 members. [ms]"""
    line, times = await asked.line(), []
    for turn in range(FORECASTS):
        status, content, took = await asked.ask(line, f"/api/beds/{bed}?members=1024&turn={turn}")
        if status != 200 or json.loads(content)["members"] != 1024:
            raise SystemExit("no forecast")
        times.append(took)
    line[1].close()
    return times[1:]


async def notes(asked: Asked) -> tuple[list[float], list[str]]:
    """Let fifty people write at once; return times and the ids they were told are kept."""
    times, told = [], []

    async def one(person: int) -> None:
        line = await asked.line()
        for number in range(NOTES):
            identity = entry_id(datetime.now(UTC), os.urandom(10))
            fields = [["job", "note"], ["bed", "Gate Bed"], ["text", f"note {number} of {person}"]]
            body = json.dumps([{"id": identity, "fields": fields}]).encode()
            status, content, took = await asked.ask(line, "/api/entries", body)
            if status != 200 or json.loads(content)[0]["state"] != "kept":
                raise SystemExit(f"{status} {content[:300]!r}")
            times.append(took)
            told.append(identity)
        line[1].close()

    await asyncio.gather(*(one(person) for person in range(PEOPLE)))
    return times, told


def processor_seconds(process: subprocess.Popen[bytes]) -> float:
    """Return the processor time a server has used, which other programs change little; 0 where unknown."""
    place = Path(f"/proc/{process.pid}/stat")
    if not place.exists():
        return 0.0
    parts = place.read_text().rpartition(")")[2].split()
    return (int(parts[11]) + int(parts[12])) / os.sysconf("SC_CLK_TCK")


def quantiles(times: list[float]) -> dict[str, float]:
    """Return median, 95th and 99th percentile and the longest. [ms]"""
    ordered = sorted(times)
    at = {"p50": 0.5, "p95": 0.95, "p99": 0.99}
    return {name: round(ordered[int(share * len(ordered))], 1) for name, share in at.items()} | {
        "most": round(ordered[-1], 1)
    }


async def settled(measure: Callable[[], Awaitable[object]]) -> None:
    """Measure once without counting it, so that every page was made."""
    await measure()


async def measured(asked: Asked, process: subprocess.Popen[bytes]) -> dict[str, object]:
    """Return the figures of looking."""
    await settled(lambda: looks(asked))
    before = processor_seconds(process)
    rounds = [await looks(asked) for _ in range(ROUNDS)]
    used = 1000.0 * (processor_seconds(process) - before) / (ROUNDS * CONNECTIONS * LOOKS)
    each = [quantiles(times) | {"a_second": round(rate)} for times, rate in rounds]
    return {
        "connections": CONNECTIONS,
        "looks": CONNECTIONS * LOOKS,
        "processor_ms_a_look": round(used, 3),
        "rounds": each,
    }


def main() -> None:
    """Measure and write."""
    found: dict[str, object] = {"load_before": [round(one, 1) for one in os.getloadavg()]}
    with tempfile.TemporaryDirectory() as folder:
        record = Path(folder) / "record.sqlite"
        where = Where(str(record))
        signed = Signature("Ada", datetime(2026, 3, 1, tzinfo=UTC), date(2027, 3, 1), lambda: os.urandom(10))
        create_garden(Path(str(files("mullbed.files").joinpath("demo/garden.toml"))), where, signed)
        process, port = served(record)
        try:
            asked = Asked(port)
            found["made_ms"] = asyncio.run(first_looks(asked))
            found["kept_pages_ms"] = asyncio.run(measured(asked, process))
            for bed in FORECAST_BEDS:
                before = processor_seconds(process)
                told_ms = quantiles(asyncio.run(forecasts(asked, bed)))
                used = 1000.0 * (processor_seconds(process) - before) / FORECASTS
                found[f"forecast_1024_ms {bed}"] = told_ms | {"processor_ms": round(used, 1)}
            times, told = asyncio.run(notes(asked))
        finally:
            process.terminate()
            process.wait()
        with open_record(str(record)) as kept, kept.reading() as transaction:
            ids = [one.id for one in every_entry(transaction, gardens(transaction)[0]) if one.kind == Kind.NOTE]
        if sorted(ids) != sorted(told):
            raise SystemExit(f"{len(told)} notes were told as kept, {len(ids)} are")
        found["fifty_people_ms"] = quantiles(times) | {"notes": len(told), "lost": 0, "errors": 0}

        moment = datetime.now(UTC)
        invite_person(where, "code", Role.LEAD, None, ("Ada", moment))
        accept_invitation(where, "code", Attempt("Ada", "wet barrow odd lantern", "here"), "ada", moment)
        sign_in(where, Attempt("Ada", "wet barrow odd lantern", "here"), "session", moment)
        process, port = served(record, "--share")
        try:
            found["kept_pages_signed_in_ms"] = asyncio.run(
                measured(replace(Asked(port), cookie="mullbed_session=session"), process)
            )
        finally:
            process.terminate()
            process.wait()
    found["load_after"] = [round(one, 1) for one in os.getloadavg()]
    RESULTS.write_text(json.dumps(found, indent=2) + "\n", encoding="utf-8")
    print(json.dumps(found, indent=2))


if __name__ == "__main__":
    main()
