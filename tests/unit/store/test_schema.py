"""The steps between schemas agree with the tables and lose nothing, up and down, on a filled database."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, inspect, text

from mullbed.domain.record import Entry, correction, withdrawal
from mullbed.domain.record_seen import Observed
from mullbed.domain.record_standing import standing
from mullbed.errors import RecordNewer
from mullbed.store import journal
from mullbed.store.database import bring_to, open_record
from mullbed.store.photos import keep_photo
from mullbed.store.schema import NEWEST, REVISIONS, alembic_config, revision_of
from mullbed.store.tables import metadata
from record_entries import GARDEN, START, an_entry, id_of

PICTURE = b"\x89PNG\r\n\x1a\n" + bytes(200)


def some_entries() -> list[Entry]:
    """Return entries with chains of corrections four deep, and withdrawals of withdrawals."""
    made = [an_entry(number) for number in range(40)]
    for number in range(100, 160):
        target = made[(number * 7) % len(made)]
        moment = START + timedelta(seconds=number)
        if target.withdraws is not None or number % 4 == 0:
            made.append(withdrawal(target, id=id_of(number), written_at=moment, author="Bo"))
        else:
            facts = Observed("squeeze", "crackles", words=str(number))
            made.append(correction(target, facts, id=id_of(number), written_at=moment, author="Bo"))
    return made


def rows(connection: Connection, without: Sequence[str] = ()) -> list[dict[str, Any]]:
    """Return the rows of the journal as the database tells them."""
    found = connection.execute(text("SELECT * FROM entries ORDER BY number")).mappings()
    return [{name: value for name, value in row.items() if name not in without} for row in found]


def test_the_steps_end_at_the_tables(record_url: str) -> None:
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    with open_record(record_url) as record, record.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []
        assert revision_of(connection) == NEWEST


def test_every_constraint_and_index_has_the_name_the_tables_give(record_url: str) -> None:
    with open_record(record_url) as record, record.engine.connect() as connection:
        look = inspect(connection)
        for table in metadata.tables.values():
            assert {one["name"] for one in look.get_indexes(table.name)} >= {str(one.name) for one in table.indexes}
            named = {str(one.name) for one in table.constraints if str(one.name).startswith(("fk_", "uq_"))}
            found = {one["name"] for one in look.get_foreign_keys(table.name)}
            found |= {one["name"] for one in look.get_unique_constraints(table.name)}
            assert found == named


def test_the_list_of_schemas_is_that_of_the_steps(record_url: str) -> None:
    from alembic.script import ScriptDirectory

    with open_record(record_url) as record, record.engine.connect() as connection:
        steps = ScriptDirectory.from_config(alembic_config(connection)).walk_revisions()
        assert tuple(reversed([step.revision for step in steps])) == REVISIONS


@pytest.mark.parametrize("earlier", REVISIONS[:-1])
def test_a_filled_record_of_an_earlier_schema_opens_and_holds_the_same(record_url: str, earlier: str) -> None:
    sent = some_entries()
    with open_record(record_url) as record:
        with record.writing() as transaction:
            journal.append(transaction, sent)
        with record.reading() as transaction:
            before = rows(transaction)
        bring_to(record, earlier)
        with record.reading() as transaction:
            assert revision_of(transaction) == earlier
            kept = rows(transaction)
            assert kept == [{name: row[name] for name in kept[0]} for row in before]
            assert ("thread" in kept[0]) == (earlier != "0001")
    with open_record(record_url) as record:  # takes the steps by itself
        with record.reading() as transaction:
            assert revision_of(transaction) == NEWEST
            assert rows(transaction) == before
            assert journal.entries(transaction, GARDEN) == standing(sent)
        with record.writing() as transaction:  # numbers go on, rules hold
            assert journal.append(transaction, [an_entry(500), sent[3]]).known == (sent[3].id,)
        with pytest.raises(Exception, match="never changed"), record.writing() as transaction:
            transaction.execute(text("DELETE FROM entries"))


def test_all_the_way_down_and_up_again(record_url: str) -> None:
    sent = some_entries()
    with open_record(record_url) as record:
        with record.writing() as transaction:
            journal.append(transaction, sent)
            keep_photo(record, transaction, PICTURE)
        for revision in (*reversed(REVISIONS), *REVISIONS):
            bring_to(record, revision)
        with record.reading() as transaction:
            assert journal.entries(transaction, GARDEN) == standing(sent)
            assert tuple(journal.every_entry(transaction)) == tuple(sent)


def test_a_step_that_fails_leaves_the_record_as_it_was(record_url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    sent = some_entries()
    with open_record(record_url) as record:
        with record.writing() as transaction:
            journal.append(transaction, sent)
        bring_to(record, "0001")
        from alembic import op

        def broken(*_: object, **__: object) -> None:
            raise RuntimeError("the power went")

        with monkeypatch.context() as patched, pytest.raises(RuntimeError, match="power"):
            patched.setattr(op, "create_index", broken)
            bring_to(record)
        with record.reading() as transaction:
            assert revision_of(transaction) == "0001"
            assert "thread" not in rows(transaction)[0]
        bring_to(record)
        with record.reading() as transaction:
            assert tuple(journal.every_entry(transaction)) == tuple(sent)


def test_a_record_of_a_newer_program_is_refused_and_left_alone(record_url: str) -> None:
    with open_record(record_url) as record, record.writing() as transaction:
        journal.append(transaction, [an_entry(1)])
        transaction.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(RecordNewer, match="schema 9999"), open_record(record_url):
        pass
    with open_record(record_url, migrate=False) as record, record.reading() as transaction:
        assert journal.count(transaction) == 1


def test_a_record_at_the_newest_schema_opens_without_the_library_of_steps(tmp_path: Path) -> None:
    import subprocess
    import sys

    path = tmp_path / "record.sqlite"
    with open_record(str(path)):
        pass
    code = (
        "import sys; from mullbed.store.database import open_record\n"
        f"with open_record({str(path)!r}) as record, record.reading() as transaction: pass\n"
        "assert 'alembic' not in sys.modules and 'numpy.random' not in sys.modules, sorted(sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
