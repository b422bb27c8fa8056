"""Two writers at once, backups under load, full and read-only disks: none lost, nothing half-written, clear errors."""

from __future__ import annotations

import ctypes
import multiprocessing
import os
import resource
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from sqlalchemy import text

from mullbed.errors import RecordBusy, RecordFull, RecordReadOnly
from mullbed.store import journal
from mullbed.store.backup import back_up
from mullbed.store.database import Record, open_record
from mullbed.store.photos import keep_photo
from mullbed.store.restore import restore
from record_entries import GARDEN, START, an_entry

pytestmark = pytest.mark.soak

sys.path.insert(0, str(Path(__file__).parent))
from record_writer import batch_of  # noqa: E402

WRITER = Path(__file__).parent / "record_writer.py"


@contextmanager
def writer(url: str, told: Path) -> Iterator[subprocess.Popen[str]]:
    """Start the writing program; it tells into a file, so that it never waits for a reader."""
    words = [sys.executable, str(WRITER), url]
    with told.open("w") as stream, subprocess.Popen(words, stdin=subprocess.PIPE, stdout=stream, text=True) as process:
        while not told.read_text():
            assert process.poll() is None
            time.sleep(0.01)
        yield process


def go(process: subprocess.Popen[str], run: str, count: int) -> None:
    """Let it write so much and then end."""
    assert process.stdin is not None
    process.stdin.write(f"{run} 0 {count}\n")
    process.stdin.close()


def acknowledged(told: Path) -> list[int]:
    """Return the numbers a program that has ended says are kept."""
    lines = told.read_text().splitlines()
    assert lines[-1] == "ended 0", lines[-3:]
    return [int(line.split()[2]) for line in lines if line.startswith("kept")]


def test_of_two_writers_at_once_none_loses_anything(
    soak_times: Callable[[int], int], record_url: str, tmp_path: Path
) -> None:
    count, runs = max(soak_times(5_000), 600), ("one", "two")  # fewer are over before the other begins
    with open_record(record_url) as record:
        with writer(record_url, tmp_path / "one") as first, writer(record_url, tmp_path / "two") as second:
            go(first, "one", count)
            go(second, "two", count)
            first.wait(1200)
            second.wait(1200)
        for run in runs:
            assert acknowledged(tmp_path / run) == list(range(count))
        sent = {one for run in runs for number in range(count) for one in batch_of(run, number)}
        with record.reading() as transaction:
            arrived = list(journal.every_entry(transaction))
        assert len(arrived) == len(sent)
        assert set(arrived) == sent
        firsts = {one.id for number in range(count) for one in batch_of("one", number)}
        turns = sum((one.id in firsts) != (other.id in firsts) for one, other in pairwise(arrived))
        assert turns > 5, "the two did not write at once"


def test_many_threads_of_one_program_write_at_once(soak_times: Callable[[int], int], record_url: str) -> None:
    each, faults = soak_times(1_000), list[BaseException]()

    def work(record: Record, name: str) -> None:
        try:
            for number in range(each):
                with record.writing() as transaction:
                    journal.append(transaction, [an_entry(number, salt=name)])
        except BaseException as fault:
            faults.append(fault)

    with open_record(record_url) as record:
        threads = [threading.Thread(target=work, args=(record, f"thread {number}")) for number in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert faults == []
        with record.reading() as transaction:
            assert journal.count(transaction) == 4 * each


def test_a_backup_under_load_comes_back_as_one_state(
    soak_times: Callable[[int], int], record_url: str, tmp_path: Path
) -> None:
    """Transactions of three are there whole or not at all, and everything acknowledged before the backup is there."""
    picture = b"\x89PNG\r\n\x1a\n" + os.urandom(50_000)
    batches = [{one.id for one in batch_of("load", at)} for at in range(soak_times(20_000))]
    with open_record(record_url) as record:
        with record.writing() as transaction:
            keep_photo(record, transaction, picture)
        number, before, sizes = 0, 0, []
        with writer(record_url, tmp_path / "told") as process:
            go(process, "load", len(batches))
            while not (tmp_path / "told").read_text().count("kept") and process.poll() is None:
                time.sleep(0.01)
            while process.poll() is None and number < soak_times(50):
                with record.reading() as transaction:
                    before = journal.count(transaction)
                target = tmp_path / f"{number}.zip"
                told = back_up(record, target, START + timedelta(minutes=number))
                assert told.entries >= before
                with open_record(str(tmp_path / f"{number}.sqlite")) as other:
                    assert restore(target, other) == told
                    with other.reading() as transaction:
                        kept = {one.id for one in journal.every_entry(transaction)}
                assert len(kept) == told.entries
                highest, whole = 0, True
                for ids in batches:
                    assert ids <= kept or not ids & kept, "half a transaction is in the backup"
                    if not ids <= kept:
                        whole = False
                    else:
                        assert whole, "a later write is in the backup and an earlier one is not"
                        highest += len(ids)
                assert highest == told.entries
                sizes.append(told.entries)
                for path in tmp_path.glob(f"{number}.*"):
                    path.unlink()
                number += 1
            process.wait(1200)
        assert acknowledged(tmp_path / "told") == list(range(len(batches)))
    print("backups under load:", number, "entries in them:", sizes[:1], "to", sizes[-1:])
    assert number >= 1
    assert sizes == sorted(sizes)


@contextmanager
def small_disk(folder: Path, size: str = "3m") -> Iterator[Path]:
    """Mount a small disk in memory, or skip loudly where that is not allowed."""
    folder.mkdir()
    if sys.platform != "linux" or os.geteuid() != 0:
        pytest.skip("SMALL DISK NOT TRIED: only root may mount one; the limit on file sizes stands in for it")
    library = ctypes.CDLL(None, use_errno=True)
    if library.mount(b"none", str(folder).encode(), b"tmpfs", 0, f"size={size}".encode()) != 0:
        pytest.skip(f"SMALL DISK NOT TRIED: mounting is refused ({os.strerror(ctypes.get_errno())})")
    try:
        yield folder
    finally:
        library.umount2(str(folder).encode(), 2)


def set_read_only(folder: Path, read_only: bool) -> None:
    """Make a mounted disk one that may only be read, or back."""
    library = ctypes.CDLL(None, use_errno=True)
    flags = 32 | (1 if read_only else 0)  # MS_REMOUNT, MS_RDONLY
    assert library.mount(b"none", str(folder).encode(), b"tmpfs", flags, None) == 0, os.strerror(ctypes.get_errno())


def fill_up(record: Record) -> int:
    """Write transactions of three until the disk is full; return how many were acknowledged."""
    number = 0
    with pytest.raises(RecordFull, match="Make room"):
        for number in range(100_000):
            with record.writing() as transaction:
                parts = [an_entry(number, salt=f"part {part}") for part in range(3)]
                journal.append(transaction, parts)
    return number


def holds_exactly(record: Record, count: int) -> None:
    """Check that so many transactions of three are kept, whole, and that the database is sound."""
    with record.reading() as transaction:
        assert transaction.execute(text("PRAGMA integrity_check")).scalar() == "ok"
        kept = {one.id for one in journal.every_entry(transaction)}
    wanted = {an_entry(number, salt=f"part {part}").id for number in range(count) for part in range(3)}
    assert kept == wanted


def test_a_full_disk_is_told_and_nothing_is_half_written(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk") as disk, open_record(str(disk / "record.sqlite")) as record:
        ballast = disk / "ballast"
        ballast.write_bytes(bytes(1_000_000))
        count = fill_up(record)
        assert count > 10
        holds_exactly(record, count)
        with pytest.raises(RecordFull), record.writing() as transaction:
            keep_photo(record, transaction, b"\x89PNG\r\n\x1a\n" + bytes(2_000_000))
        with pytest.raises(RecordFull):
            back_up(record, disk / "backup.zip", START)
        assert not (disk / "backup.zip").exists()
        assert not [path for path in disk.rglob(".*") if path.is_file()], "something was left behind"
        ballast.unlink()
        with record.writing() as transaction:  # room was made
            journal.append(transaction, [an_entry(count, salt=f"part {part}") for part in range(3)])
        holds_exactly(record, count + 1)


def _under_a_limit(path: str, told: object) -> None:
    import signal

    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (700_000, resource.RLIM_INFINITY))
    with open_record(path) as record:
        count = fill_up(record)
        holds_exactly(record, count)
        resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
        with record.writing() as transaction:
            journal.append(transaction, [an_entry(count, salt=f"part {part}") for part in range(3)])
        holds_exactly(record, count + 1)
        told.put(count)  # type: ignore[attr-defined]


def test_a_limit_on_the_size_of_files_is_told_and_nothing_is_half_written(tmp_path: Path) -> None:
    context = multiprocessing.get_context("fork")
    told = context.Queue()
    child = context.Process(target=_under_a_limit, args=(str(tmp_path / "record.sqlite"), told))
    child.start()
    child.join(120)
    assert child.exitcode == 0
    assert told.get(timeout=5) > 10


def test_a_disk_that_may_only_be_read_is_told_and_left_as_it_was(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk", "8m") as disk:
        path = disk / "record.sqlite"
        with open_record(str(path)) as record, record.writing() as transaction:
            journal.append(transaction, [an_entry(1)])
        before = path.read_bytes()
        set_read_only(disk, True)
        with pytest.raises(RecordReadOnly, match="may only be read"), open_record(str(path)):
            pass
        assert path.read_bytes() == before
        with pytest.raises(RecordReadOnly), open_record(str(disk / "new" / "record.sqlite")):
            pass
        set_read_only(disk, False)
        with open_record(str(path)) as record, record.writing() as transaction:
            assert journal.append(transaction, [an_entry(1), an_entry(2)]).known == (an_entry(1).id,)


def test_a_writer_who_waits_too_long_is_told_and_may_send_again(tmp_path: Path) -> None:
    url = str(tmp_path / "record.sqlite")
    with open_record(url) as slow, open_record(url, patience=0.1) as record:
        with slow.writing() as held:
            journal.append(held, [an_entry(1)])
            with pytest.raises(RecordBusy), record.writing() as transaction:
                journal.append(transaction, [an_entry(2)])
        with record.writing() as transaction:
            journal.append(transaction, [an_entry(2)])
        with record.reading() as transaction:
            assert len(journal.entries(transaction, GARDEN)) == 2
