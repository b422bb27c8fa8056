"""A private PostgreSQL for tests: made by the programs installed, on a socket of its own, gone at the end."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path

#: Where Debian and others put the server's programs, newest last.
PLACES = ("/usr/lib/postgresql/*/bin", "/usr/pgsql-*/bin", "/opt/homebrew/opt/postgresql@*/bin")
NEEDED = ("initdb", "pg_ctl", "postgres", "createdb")
#: Whom the server runs as when the tests run as root, which it refuses.
UNPRIVILEGED = ("postgres", "nobody")
OWNER = "mullbed"
ROOM = 4_000_000_000
"""Room that is wanted for the files of a server. [byte]"""


def server_programs() -> Path | None:
    """Return the folder of the server's programs, or None where none are installed."""
    folders = [folder for place in PLACES for folder in Path("/").glob(place.lstrip("/"))]
    found = shutil.which("initdb")
    if found:
        folders.append(Path(found).resolve().parent)
    sound = [folder for folder in folders if all((folder / name).exists() for name in NEEDED)]
    return max(sound, key=lambda folder: [int(part) for part in folder.parts if part.isdigit()], default=None)


@dataclass(slots=True)
class Cluster:
    """A running server."""

    folder: Path
    programs: Path
    user: str | None
    numbers: Iterator[int] = field(default_factory=lambda: count(1))

    def run(self, program: str, *words: str) -> None:
        """Run one of the server's programs to its end."""
        done = subprocess.run(
            [str(self.programs / program), *words],
            user=self.user,
            cwd=self.folder,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
        assert done.returncode == 0, f"{program} {' '.join(words)}: {done.stderr}"

    def start(self) -> None:
        """Start the server, also after it was killed."""
        options = f"-c listen_addresses='' -p 5432 -k {self.folder} -c max_connections=40 -c shared_buffers=32MB"
        self.run(
            "pg_ctl", "start", "-w", "-t", "60", "-D", f"{self.folder}/data", "-l", f"{self.folder}/log", "-o", options
        )

    def stop(self, how: str = "fast") -> None:
        """Stop the server: "fast" in good order, "immediate" as a crash would."""
        self.run("pg_ctl", "stop", "-w", "-m", how, "-D", f"{self.folder}/data")

    def kill(self) -> None:
        """Kill every process of the server at once, without a word to any."""
        first = int((self.folder / "data" / "postmaster.pid").read_text().split()[0])
        children = Path(f"/proc/{first}/task/{first}/children")
        numbers = [first, *map(int, children.read_text().split())] if children.exists() else [first]
        for number in numbers:
            with suppress(ProcessLookupError):
                os.kill(number, signal.SIGKILL)
        deadline = time.monotonic() + 30.0
        while any(_lives(number) for number in numbers) and time.monotonic() < deadline:
            time.sleep(0.01)
        # where nobody collects the dead, the number still seems taken and the next start would be refused
        (self.folder / "data" / "postmaster.pid").unlink(missing_ok=True)
        (self.folder / ".s.PGSQL.5432.lock").unlink(missing_ok=True)

    def new_database(self) -> str:
        """Make an empty database and return its address."""
        name = f"garden_{os.getpid()}_{next(self.numbers)}"
        self.run("createdb", "-h", str(self.folder), "-p", "5432", "-U", OWNER, name)
        return self.address(name)

    def address(self, name: str) -> str:
        """Return the address of a database."""
        return f"postgresql:///{name}?host={self.folder}&port=5432&user={OWNER}"


@contextmanager
def running_cluster(programs: Path) -> Iterator[Cluster]:
    """Make a cluster, start it, and take it away at the end."""
    folder = Path(tempfile.mkdtemp(prefix="mullbed-pg-", dir=place_in_memory()))
    cluster = Cluster(folder, programs, None)
    try:
        if os.geteuid() == 0:
            cluster.user = _unprivileged()
            shutil.chown(folder, cluster.user)
        cluster.run(
            "initdb", "-D", f"{folder}/data", "-A", "trust", "-U", OWNER, "-E", "UTF8", "--locale=C", "--no-sync"
        )
        cluster.start()
        try:
            yield cluster
        finally:
            cluster.stop("immediate")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _lives(number: int) -> bool:
    try:
        state = Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"


def _unprivileged() -> str:
    import pwd

    known = {one.pw_name for one in pwd.getpwall()}
    return next(name for name in UNPRIVILEGED if name in known)


def place_in_memory() -> str | None:
    """Return where the files go: in memory where there is room for them, else the usual place.

    The path is short: that of a socket may have 107 bytes.
    """
    memory = Path("/dev/shm")
    return str(memory) if memory.is_dir() and shutil.disk_usage(memory).free > ROOM else None
