"""The record opens by path or address; what goes wrong is told in sentences and leaves nothing half-written."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import text

from mullbed.errors import (
    InputFault,
    MullbedError,
    RecordBusy,
    RecordDamaged,
    RecordError,
    RecordReadOnly,
    RecordUnreachable,
)
from mullbed.store import journal
from mullbed.store.database import default_url, open_record
from postgres_cluster import Cluster
from record_entries import an_entry


def test_a_path_is_a_sqlite_file_and_its_folder_is_made(tmp_path: Path) -> None:
    path = tmp_path / "new" / "folder" / "garden 1%.sqlite"
    with open_record(str(path)) as record:
        assert record.file == path
        assert record.photo_folder == path.with_name("garden 1%-photos")
    assert path.exists()


def test_every_connection_to_sqlite_is_set_up_to_lose_nothing(tmp_path: Path) -> None:
    with open_record(str(tmp_path / "record.sqlite")) as record:
        for use in (record.reading, record.writing):
            with use() as transaction:
                told = {
                    name: transaction.execute(text(f"PRAGMA {name}")).scalar()
                    for name in ("journal_mode", "foreign_keys", "synchronous", "busy_timeout")
                }
                assert told == {"journal_mode": "wal", "foreign_keys": 1, "synchronous": 2, "busy_timeout": 5000}


def test_without_an_address_the_record_is_in_the_users_own_folder(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    assert default_url().startswith("sqlite:///")
    assert default_url().endswith("mullbed/record.sqlite")
    with open_record() as record:
        assert record.file is not None
        assert tmp_path in record.file.parents


@pytest.mark.parametrize(
    "url", ["mysql://a@b/c", "oracle://x", "sqlite://", "sqlite:///:memory:", "://", "nonsense://x", "http://a/b"]
)
def test_an_address_of_another_kind_is_refused(url: str) -> None:
    with pytest.raises(InputFault, match="postgresql://"), open_record(url):
        pass


def test_a_database_that_does_not_answer_is_told_without_the_password(tmp_path: Path) -> None:
    url = f"postgresql://ada:geheim@/garden?host={tmp_path}&connect_timeout=2"
    with pytest.raises(RecordUnreachable, match="cannot be reached") as refused, open_record(url):
        pass
    assert "geheim" not in str(refused.value)


def test_a_folder_in_the_place_of_the_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(RecordUnreachable, match="folder"), open_record(str(tmp_path)):
        pass


def test_another_file_in_the_place_of_the_record_is_told_and_left(tmp_path: Path) -> None:
    path = tmp_path / "record.sqlite"
    path.write_text("dear diary " * 500)
    with pytest.raises(RecordDamaged), open_record(str(path)):
        pass
    assert path.read_text().startswith("dear diary")


def test_a_file_under_a_file_is_told(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("")
    with pytest.raises(RecordError), open_record(str(tmp_path / "a" / "record.sqlite")):
        pass


def test_a_locked_record_is_told_as_busy_and_nothing_is_written(tmp_path: Path) -> None:
    path = tmp_path / "record.sqlite"
    with open_record(str(path), patience=0.1) as record, closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(RecordBusy, match="Try again"), record.writing() as transaction:
            journal.append(transaction, [an_entry(1)])
        with record.reading() as transaction:  # reading goes on
            assert journal.count(transaction) == 0
        other.execute("ROLLBACK")
        with record.writing() as transaction:
            journal.append(transaction, [an_entry(1)])


def test_errors_of_the_record_are_of_our_tree_and_say_what_to_do() -> None:
    for kind in RecordError.__subclasses__():
        error = kind("garden.sqlite", "detail")
        assert isinstance(error, MullbedError)
        assert "garden.sqlite (detail)" in str(error)
        assert str(error).count(".") >= 3


def test_a_postgres_that_may_only_be_read_is_told(postgres: Cluster) -> None:
    url = postgres.new_database()
    with open_record(url) as record, record.writing() as transaction:
        journal.append(transaction, [an_entry(1)])
        name = transaction.execute(text("SELECT current_database()")).scalar()
        transaction.execute(text(f"ALTER DATABASE {name} SET default_transaction_read_only = on"))
    with open_record(url) as record:
        with pytest.raises(RecordReadOnly), record.writing() as transaction:
            journal.append(transaction, [an_entry(2)])
        with record.reading() as transaction:
            assert journal.count(transaction) == 1


def test_a_postgres_that_stops_is_told_and_comes_back(postgres: Cluster) -> None:
    url = postgres.new_database()
    with open_record(url) as record:
        with record.writing() as transaction:
            journal.append(transaction, [an_entry(1)])
        with pytest.raises(RecordUnreachable), record.writing() as transaction:
            journal.append(transaction, [an_entry(2)])
            postgres.stop("immediate")
        postgres.start()
        with record.writing() as transaction:
            assert journal.append(transaction, [an_entry(1), an_entry(2)]).new == (an_entry(2).id,)


def test_the_files_of_a_record_are_no_more_than_sqlite_needs(tmp_path: Path) -> None:
    with open_record(str(tmp_path / "record.sqlite")) as record, record.writing() as transaction:
        journal.append(transaction, [an_entry(1)])
    assert [path.name for path in tmp_path.iterdir()] == [
        "record.sqlite"
    ]  # the log ahead is folded in when the last one leaves
