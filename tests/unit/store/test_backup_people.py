"""A backup holds the people of a shared garden, from either database to either; sessions and invitations end."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path
from zipfile import ZipFile

import pytest
from sqlalchemy import insert

from mullbed.domain.people import Person, Role
from mullbed.store import journal, people
from mullbed.store.backup import LIST, ROWS, back_up
from mullbed.store.database import open_record
from mullbed.store.restore import restore
from mullbed.store.tables import accounts
from postgres_cluster import Cluster
from record_entries import START, an_entry

BO = Person("bo", "Bo", "", Role.HELPER, frozenset({"Wall Bed"}))
ADA = Person("ada", "Ada", "", Role.LEAD, None)


def fill(url: str) -> None:
    with open_record(url) as record, record.writing() as transaction:
        journal.append(transaction, [an_entry(1)])
        for one in (ADA, BO):
            people.add_account(transaction, one.account, one.name, f"hash of {one.name}", START)
            people.set_membership(transaction, one)
        people.open_session(transaction, "token", "bo", START, START + timedelta(days=9))


def told(url: str) -> tuple[tuple[Person, ...], tuple[str, str] | None]:
    with open_record(url) as record, record.reading() as transaction:
        return people.people(transaction, ""), people.phrase_of(transaction, "bo")


def new(to: str, tmp_path: Path, request: pytest.FixtureRequest) -> str:
    if to == "sqlite":
        return str(tmp_path / "other" / "record.sqlite")
    cluster: Cluster = request.getfixturevalue("postgres")
    return cluster.new_database()


@pytest.mark.parametrize("to", ["sqlite", "postgresql"])
@pytest.mark.parametrize("replace", [False, True])
def test_people_come_back_with_what_they_may_do(
    record_url: str, to: str, replace: bool, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    fill(record_url)
    with open_record(record_url) as record:
        back_up(record, tmp_path / "kept.zip", START)
    url = new(to, tmp_path, request)
    if replace:
        with open_record(url) as record, record.writing() as transaction:
            journal.append(transaction, [an_entry(7)])
            people.add_account(transaction, "cy", "Cy", "hash of Cy", START)
    with open_record(url) as record:
        restore(tmp_path / "kept.zip", record, replace=replace)
    assert told(url) == ((ADA, BO), ("bo", "hash of Bo"))


def test_no_session_and_no_token_is_in_a_backup_of_postgresql(postgres: Cluster, tmp_path: Path) -> None:
    url = postgres.new_database()
    fill(url)
    with open_record(url) as record:
        back_up(record, tmp_path / "kept.zip", START)
    with ZipFile(tmp_path / "kept.zip") as archive:
        names = {next(iter(json.loads(line))) for line in archive.read(ROWS).decode().splitlines()}
    assert names == {"garden", "entry", "account", "membership"}


def test_an_earlier_backup_without_people_leaves_those_who_are_there(postgres: Cluster, tmp_path: Path) -> None:
    url = postgres.new_database()
    with open_record(url) as record, record.writing() as transaction:
        journal.append(transaction, [an_entry(1)])
    with open_record(url) as record:
        back_up(record, tmp_path / "now.zip", START)
    with ZipFile(tmp_path / "now.zip") as archive, ZipFile(tmp_path / "earlier.zip", "w") as made:
        listed = json.loads(archive.read(LIST)) | {"form_version": 1}
        made.writestr(LIST, json.dumps(listed))
        made.writestr(ROWS, archive.read(ROWS))
    other = postgres.new_database()
    fill(other)
    with open_record(other) as record:
        restore(tmp_path / "earlier.zip", record, replace=True)
    assert told(other) == ((ADA, BO), ("bo", "hash of Bo"))


def test_more_people_than_are_told_at_once_all_come_back(record_url: str, tmp_path: Path) -> None:
    with open_record(record_url) as record, record.writing() as transaction:
        row = {"phrase": "x", "made_at": START}
        rows = [row | {"id": f"p{number}", "name": f"P{number}", "folded": f"p{number}"} for number in range(2300)]
        transaction.execute(insert(accounts), rows)
        for number in range(2300):
            people.set_membership(transaction, Person(f"p{number}", f"P{number}", "", Role.VIEWER, None))
    with open_record(record_url) as record:
        back_up(record, tmp_path / "kept.zip", START)
    url = str(tmp_path / "other.sqlite")
    with open_record(url) as record:
        restore(tmp_path / "kept.zip", record)
    assert len(told(url)[0]) == 2300
