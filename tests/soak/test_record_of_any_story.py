"""Whatever is done to a record in whatever order, it answers as a plain list of entries would."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    consumes,
    invariant,
    multiple,
    rule,
    run_state_machine_as_test,
)

from mullbed.domain.record import Entry, correction, withdrawal
from mullbed.domain.record_standing import standing
from mullbed.errors import EntryConflict, NotFound
from mullbed.store import journal
from mullbed.store.backup import back_up
from mullbed.store.database import Record, open_record
from mullbed.store.restore import restore
from record_entries import FIRST_DAY, START, an_entry, id_of, some_facts

pytestmark = pytest.mark.soak

GARDENS = count()
BEDS = tuple(f"bed {number}" for number in range(1, 7))


def story_in(record: Record) -> type[RuleBasedStateMachine]:
    """Return the machine that tells stories in an open record, each in a garden of its own."""

    class Story(RuleBasedStateMachine):
        """Entries are written, sent again, corrected, taken back and asked for."""

        kept = Bundle("kept")
        queued = Bundle("queued")

        def __init__(self) -> None:
            super().__init__()
            self.garden = f"story {os.getpid()} {next(GARDENS)}"
            self.numbers = count()
            self.model: list[Entry] = []

        def made(self, seed: int) -> Entry:
            kind, facts, bed, batch = some_facts(np.random.default_rng(seed))
            number = next(self.numbers)
            day = FIRST_DAY + timedelta(days=seed % 30)
            return an_entry(
                number, facts, kind=kind, bed=bed, batch=batch, day=day, garden=self.garden, salt=self.garden
            )

        def stamp(self) -> dict[str, object]:
            number = next(self.numbers)
            return {"id": id_of(number, self.garden), "written_at": START + timedelta(seconds=number), "author": "Bo"}

        def send(self, *entries: Entry) -> journal.Appended:
            with record.writing() as transaction:
                return journal.append(transaction, entries)

        @rule(target=kept, seed=st.integers(0, 10_000))
        def write(self, seed: int) -> Entry:
            entry = self.made(seed)
            assert self.send(entry).new == (entry.id,)
            self.model.append(entry)
            return entry

        @rule(target=kept, seeds=st.lists(st.integers(0, 10_000), min_size=2, max_size=5))
        def write_some_at_once(self, seeds: list[int]) -> object:
            entries = [self.made(seed) for seed in seeds]
            assert len(self.send(*entries).new) == len(entries)
            self.model += entries
            return multiple(*entries)

        @rule(target=queued, seed=st.integers(0, 10_000))
        def write_without_signal(self, seed: int) -> Entry:
            return self.made(seed)

        @rule(target=kept, entry=consumes(queued), times=st.integers(1, 3))
        def signal_comes_back(self, entry: Entry, times: int) -> Entry:
            told = [self.send(entry) for _ in range(times)]
            assert [len(one.new) for one in told] == [1] + [0] * (times - 1)
            self.model.append(entry)
            return entry

        @rule(entry=kept)
        def send_again(self, entry: Entry) -> None:
            assert self.send(entry).known == (entry.id,)

        @rule(target=kept, entry=kept, seed=st.integers(0, 30))
        def correct(self, entry: Entry, seed: int) -> object:
            if entry.withdraws is not None:
                return multiple()
            new = correction(entry, entry.facts, day=FIRST_DAY + timedelta(days=seed), **self.stamp())  # type: ignore[arg-type]
            self.send(new)
            self.model.append(new)
            return new

        @rule(target=kept, entry=kept)
        def take_back(self, entry: Entry) -> Entry:
            new = withdrawal(entry, **self.stamp())  # type: ignore[arg-type]
            self.send(new)
            self.model.append(new)
            return new

        @rule(entry=kept, seed=st.integers(0, 10_000))
        def say_something_else_under_a_taken_id(self, entry: Entry, seed: int) -> None:
            other = self.made(seed)
            fake = replace(other, id=entry.id)
            with pytest.raises(EntryConflict):
                self.send(other, fake)

        @rule(entry=queued)
        def correct_what_never_came(self, entry: Entry) -> None:
            with pytest.raises(NotFound):
                self.send(self.made(3), correction(entry, entry.facts, **self.stamp()))  # type: ignore[arg-type]

        @rule(bed=st.sampled_from(BEDS), kind=st.sampled_from(("layer", "seen", "water")), newest=st.integers(1, 4))
        def ask_for_the_newest(self, bed: str, kind: str, newest: int) -> None:
            wanted = tuple(one for one in standing(self.model) if (one.bed, one.kind) == (bed, kind))[-newest:]
            with record.reading() as transaction:
                found = journal.entries(transaction, self.garden, kinds=(kind,), bed=bed, newest=newest)
                last = journal.latest_by_bed(transaction, self.garden, (kind,), (bed,))
            assert found == wanted
            assert last == ({(bed, kind): wanted[-1]} if wanted else {})

        @rule(first=st.integers(0, 30), length=st.integers(0, 10))
        def ask_for_some_days(self, first: int, length: int) -> None:
            start = FIRST_DAY + timedelta(days=first)
            end = start + timedelta(days=length)
            with record.reading() as transaction:
                found = journal.entries(transaction, self.garden, first_day=start, last_day=end)
            assert found == tuple(one for one in standing(self.model) if start <= one.day <= end)

        @rule(entry=kept)
        def ask_for_a_history(self, entry: Entry) -> None:
            with record.reading() as transaction:
                found = journal.history(transaction, entry.id)
            assert entry in found
            assert found == tuple(one for one in self.model if one in found)

        @invariant()
        def all_that_was_kept_is_there_once(self) -> None:
            with record.reading() as transaction:
                assert list(journal.every_entry(transaction, self.garden)) == self.model
                assert journal.entries(transaction, self.garden) == standing(self.model)

    return Story


def test_any_story_reads_as_a_plain_list_would(
    soak_times: Callable[[int], int], record_url: str, tmp_path: Path
) -> None:
    with open_record(record_url) as record:
        run_state_machine_as_test(  # type: ignore[no-untyped-call]
            story_in(record),
            settings=settings(
                max_examples=soak_times(400),
                stateful_step_count=20,
                deadline=None,
                derandomize=True,
                suppress_health_check=list(HealthCheck),
            ),
        )
        with record.reading() as transaction:
            told = list(journal.every_entry(transaction))
        with TemporaryDirectory(dir=tmp_path) as folder, open_record(f"{folder}/other.sqlite") as other:
            back_up(record, Path(folder) / "all.zip", START)
            restore(Path(folder) / "all.zip", other)
            with other.reading() as transaction:
                assert list(journal.every_entry(transaction)) == told
        assert told
