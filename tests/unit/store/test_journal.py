"""The journal keeps what was acknowledged, once, and answers with what holds; on SQLite and on PostgreSQL alike."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from sqlalchemy import text

from mullbed.domain.bed import Bed
from mullbed.domain.record import Entry, correction, withdrawal
from mullbed.domain.record_ground import BedTold
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import KeptVerbatim
from mullbed.domain.record_seen import Observed
from mullbed.domain.record_standing import standing
from mullbed.domain.record_work import Watered
from mullbed.errors import EntryConflict, InputFault, NotFound
from mullbed.store import journal
from mullbed.store.database import Record, open_record
from record_entries import FIRST_DAY, GARDEN, SOIL, START, an_entry, id_of, some_facts


@pytest.fixture
def record(record_url: str) -> Iterator[Record]:
    with open_record(record_url) as opened:
        yield opened


def keep(record: Record, *sent: Entry) -> journal.Appended:
    with record.writing() as transaction:
        return journal.append(transaction, sent)


def corrected(of: Entry, number: int, word: str = "crackles", **more: object) -> Entry:
    moment = START + timedelta(seconds=number)
    made = correction(of, Observed("squeeze", word), id=id_of(number), written_at=moment, author="Ada")
    return replace(made, **more)  # type: ignore[arg-type]


def taken_back(of: Entry, number: int) -> Entry:
    return withdrawal(of, id=id_of(number), written_at=START + timedelta(seconds=number), author="Ada")


def test_what_was_kept_is_read_word_for_word(record: Record) -> None:
    chance = np.random.default_rng(20260302)
    sent = []
    for number in range(60):
        kind, facts, bed, batch = some_facts(chance)
        sent.append(an_entry(number, facts, kind=kind, bed=bed, batch=batch, subject=id_of(5)))
    assert keep(record, *sent) == journal.Appended(tuple(one.id for one in sent), ())
    with record.reading() as transaction:
        assert tuple(journal.every_entry(transaction, GARDEN)) == tuple(sent)
        assert journal.entries(transaction, GARDEN) == standing(sent)
        assert journal.entry(transaction, sent[7].id) == sent[7]
        assert journal.entry(transaction, id_of(999)) is None


def test_sent_twice_is_kept_once(record: Record) -> None:
    first, second = an_entry(1), an_entry(2)
    keep(record, first)
    assert keep(record, first, second, second) == journal.Appended((second.id,), (first.id, second.id))
    with record.reading() as transaction:
        assert journal.count(transaction) == 2


def test_other_words_under_a_taken_id_are_refused_and_nothing_is_kept(record: Record) -> None:
    keep(record, an_entry(1))
    with pytest.raises(EntryConflict, match=id_of(1)):
        keep(record, an_entry(2), an_entry(1, author="Bo"))
    with record.reading() as transaction:
        assert tuple(journal.every_entry(transaction)) == (an_entry(1),)


def test_other_words_under_one_id_in_one_sending_are_refused(record: Record) -> None:
    with pytest.raises(EntryConflict):
        keep(record, an_entry(1), an_entry(1, author="Bo"))


def test_a_correction_of_nothing_is_refused(record: Record) -> None:
    with pytest.raises(NotFound, match=id_of(1)):
        keep(record, corrected(an_entry(1), 2))


def test_a_correction_may_come_together_with_what_it_corrects(record: Record) -> None:
    first = an_entry(1)
    second = corrected(first, 2)
    keep(record, first, second, taken_back(second, 3))
    with record.reading() as transaction:
        assert journal.entries(transaction, GARDEN) == (first,)
        assert [one.id for one in journal.history(transaction, second.id)] == [id_of(1), id_of(2), id_of(3)]


def test_a_correction_of_another_kind_or_garden_is_refused(record: Record) -> None:
    keep(record, an_entry(1))
    other_kind = an_entry(2, Watered(3.0), kind=Kind.WATER, corrects=id_of(1))
    with pytest.raises(InputFault, match="the same kind"):
        keep(record, other_kind)
    with pytest.raises(InputFault, match="garden"):
        keep(record, corrected(an_entry(1), 2, garden="elsewhere"))
    with pytest.raises(InputFault, match="garden"):
        keep(record, replace(taken_back(an_entry(1), 2), garden="elsewhere"))


def test_the_database_itself_refuses_changes(record: Record) -> None:
    keep(record, an_entry(1))
    for change in ("UPDATE entries SET author = 'Bo'", "DELETE FROM entries"):
        with pytest.raises(Exception, match="never changed"), record.writing() as transaction:
            transaction.execute(text(change))
    with record.reading() as transaction:
        assert journal.entry(transaction, id_of(1)) == an_entry(1)


def test_gardens_do_not_see_each_other(record: Record) -> None:
    keep(record, an_entry(1), an_entry(2, garden="elsewhere"))
    with record.reading() as transaction:
        assert journal.entries(transaction, GARDEN) == (an_entry(1),)
        assert journal.gardens(transaction) == ("elsewhere", GARDEN)
        assert [one.id for one in journal.every_entry(transaction, "elsewhere")] == [id_of(2)]


def test_every_way_of_asking_agrees_with_a_look_at_all_entries(record: Record) -> None:
    chance = np.random.default_rng(20260303)
    sent: list[Entry] = []
    for number in range(150):
        drawn = chance.random()
        target = sent[int(chance.integers(len(sent)))] if sent else None
        if target is not None and drawn < 0.15:
            sent.append(taken_back(target, number))
        elif target is not None and drawn < 0.4 and target.withdraws is None:
            moved = target.day + timedelta(days=int(chance.integers(-9, 9)))
            made = correction(
                target,
                target.facts,
                id=id_of(number),
                written_at=START + timedelta(seconds=number),
                author="Bo",
                day=moved,
            )
            sent.append(replace(made, bed="bed 1") if made.bed and chance.random() < 0.3 else made)
        else:
            kind, facts, bed, batch = some_facts(chance)
            day = FIRST_DAY + timedelta(days=int(chance.integers(0, 40)))
            sent.append(an_entry(number, facts, kind=kind, bed=bed, batch=batch, day=day, subject=id_of(number % 3)))
    keep(record, *sent)
    hold = standing(sent)
    kinds = sorted({one.kind for one in sent})
    first, last = FIRST_DAY + timedelta(days=10), FIRST_DAY + timedelta(days=25)
    with record.reading() as transaction:

        def asked(**how: object) -> tuple[Entry, ...]:
            return journal.entries(transaction, GARDEN, **how)  # type: ignore[arg-type]

        assert asked() == hold
        assert asked(kinds=("layer", "water")) == tuple(one for one in hold if one.kind in ("layer", "water"))
        assert asked(bed="bed 1") == tuple(one for one in hold if one.bed == "bed 1")
        assert asked(batch="hay 2") == tuple(one for one in hold if one.batch == "hay 2")
        assert asked(subject=id_of(1)) == tuple(one for one in hold if one.subject == id_of(1))
        assert asked(first_day=first, last_day=last) == tuple(one for one in hold if first <= one.day <= last)
        assert asked(newest=5) == hold[-5:]
        assert asked(newest=1000) == hold
        assert (
            asked(kinds=("seen",), bed="bed 1", newest=2)
            == tuple(one for one in hold if (one.kind, one.bed) == ("seen", "bed 1"))[-2:]
        )
        beds = [f"bed {number}" for number in range(1, 7)]
        wanted = {(one.bed, one.kind): one for one in hold if one.bed is not None}
        assert journal.latest_by_bed(transaction, GARDEN, kinds, beds) == wanted
        for kind in kinds:
            of_kind = [one for one in hold if one.kind == kind]
            assert journal.latest(transaction, GARDEN, kind) == (of_kind[-1] if of_kind else None)


def test_beds_are_those_that_were_told_of(record: Record) -> None:
    keep(record, an_entry(1, BedTold.of(Bed("South", 2.0, SOIL)), kind=Kind.BED, bed="South"), an_entry(2))
    with record.reading() as transaction:
        assert journal.beds(transaction, GARDEN) == ("South",)
        assert set(journal.latest_by_bed(transaction, GARDEN, [Kind.BED, Kind.SEEN])) == {("South", Kind.BED)}


def test_what_was_written_since_counts_withdrawals_with_their_kind(record: Record) -> None:
    water = an_entry(1, Watered(3.0), kind=Kind.WATER)
    seen = an_entry(2)
    keep(record, water, seen, taken_back(water, 10), corrected(seen, 11))
    with record.reading() as transaction:
        moment = START + timedelta(seconds=5)
        assert journal.written_since(transaction, GARDEN, moment) == 2
        assert journal.written_since(transaction, GARDEN, moment, (Kind.WATER,)) == 1
        assert journal.written_since(transaction, GARDEN, START, (Kind.WATER,)) == 2
        assert journal.written_since(transaction, GARDEN, START + timedelta(seconds=11)) == 0


def test_what_a_newer_program_wrote_is_carried_along(record: Record) -> None:
    unknown = an_entry(1, KeptVerbatim(4, '{"b":[1,2.50],"a":"ü"}'), kind="moon phase")
    newer = an_entry(2, KeptVerbatim(99, '{"grip":"left"}'))
    keep(record, unknown, newer)
    with record.reading() as transaction:
        assert tuple(journal.every_entry(transaction)) == (unknown, newer)


def test_a_thousand_entries_go_in_at_once(record: Record) -> None:
    sent = [an_entry(number) for number in range(1200)]
    keep(record, *sent)
    assert keep(record, *sent).new == ()
    with record.reading() as transaction:
        assert journal.count(transaction) == 1200
        assert [one.id for one in journal.every_entry(transaction)] == [one.id for one in sent]


def test_an_error_in_a_use_case_keeps_nothing(record: Record) -> None:
    with pytest.raises(RuntimeError), record.writing() as transaction:
        journal.append(transaction, [an_entry(1)])
        raise RuntimeError
    with record.reading() as transaction:
        assert journal.count(transaction) == 0


def test_a_reader_sees_one_state_while_others_write(record: Record) -> None:
    keep(record, an_entry(1))
    with record.reading() as transaction:
        assert journal.count(transaction) == 1
        keep(record, an_entry(2))
        assert journal.count(transaction) == 1
    with record.reading() as transaction:
        assert journal.count(transaction) == 2
