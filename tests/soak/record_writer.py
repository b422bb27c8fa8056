"""A program that writes to a record and can be killed at any moment; it tells what was acknowledged.

Run with the address of a record. Each line on standard input, ``run first count``, starts a child that writes ``count``
entries, one transaction each, every seventh a transaction of three. Lines on standard output: ``ready``, ``child PID``,
``kept RUN NUMBER`` after each commit, ``refused ERROR`` where the record said no, ``ended STATUS``.
"""

from __future__ import annotations

import os
import sys
import traceback
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from mullbed.domain.record import Entry
from mullbed.errors import RecordError
from mullbed.store.database import open_record
from mullbed.store.journal import append
from record_entries import an_entry


def batch_of(run: str, number: int) -> tuple[Entry, ...]:
    """Return the entries of one transaction: always the same for the same run and number."""
    bed = f"bed {number % 6}"
    if number % 7:
        return (an_entry(number, salt=run, bed=bed),)
    return tuple(an_entry(number, salt=f"{run} part {part}", bed=bed) for part in range(3))


def write(url: str, run: str, first: int, count: int) -> None:
    """Write, and say so after each commit."""
    with open_record(url) as record:
        for number in range(first, first + count):
            with record.writing() as transaction:
                append(transaction, batch_of(run, number))
            os.write(1, f"kept {run} {number}\n".encode())


def serve(url: str) -> None:
    """Start a child for each line; the libraries are loaded once, before."""
    os.write(1, b"ready\n")
    for line in sys.stdin:
        run, first, count = line.split()
        child = os.fork()
        if child == 0:
            try:
                write(url, run, int(first), int(count))
            except RecordError as error:  # such as the server being killed in our place
                os.write(1, f"refused {type(error).__name__}\n".encode())
                os._exit(3)
            except BaseException:
                traceback.print_exc()
                os._exit(1)
            os._exit(0)
        os.write(1, f"child {child}\n".encode())
        _, status = os.waitpid(child, 0)
        os.write(1, f"ended {status}\n".encode())


if __name__ == "__main__":
    import sqlalchemy.dialects.postgresql.psycopg
    import sqlalchemy.dialects.sqlite  # noqa: F401

    serve(sys.argv[1])
