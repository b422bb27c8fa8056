"""An entry is dated, signed and sound, or it is none; corrections and withdrawals fold to what holds."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mullbed.domain.record import Entry, correction, entry_id, is_entry_id, withdrawal
from mullbed.domain.record_batches import BeanTestSetUp
from mullbed.domain.record_kinds import FORMS, Kind
from mullbed.domain.record_papers import Document, KeptVerbatim, PhotoTaken, RuleOverridden, TakenBack
from mullbed.domain.record_seen import FieldChecked, Observed, WeatherDay
from mullbed.domain.record_work import Cost, CoverDrawnBack, LayerLaid, LiftLaid, Watered
from mullbed.errors import InputFault
from record_entries import GARDEN, START, a_lift, an_entry, id_of


def test_an_id_is_26_digits_that_sort_by_the_moment() -> None:
    moments = [START + timedelta(milliseconds=step) for step in (0, 1, 999, 86_400_000)]
    ids = [entry_id(moment, bytes([255 - place] * 10)) for place, moment in enumerate(moments)]
    assert ids == sorted(ids)
    assert all(is_entry_id(one) and len(one) == 26 for one in ids)


def test_an_id_of_a_known_moment_is_known() -> None:
    # known: 2001-09-09T01:46:40Z is 1 000 000 000 000 ms, by hand 29.3.10.10.10.4.0.0 in base 32
    number = (1_000_000_000_000 << 80) | int.from_bytes(bytes(range(10)), "big")
    digits = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
    wanted = ""
    for _ in range(26):
        number, place = divmod(number, 32)
        wanted = digits[place] + wanted
    assert entry_id(datetime(2001, 9, 9, 1, 46, 40, tzinfo=UTC), bytes(range(10))) == wanted
    assert wanted.startswith("00X3AAA400")


@pytest.mark.parametrize("text", ["", "X" * 26, "0" * 25, "I" * 26, "8" + "0" * 25, "G" * 32, "A" * 32, "a" * 31])
def test_other_texts_are_no_ids(text: str) -> None:
    assert not is_entry_id(text)


def test_128_random_bits_are_an_id_too() -> None:
    assert is_entry_id("0123456789abcdef" * 2)


@pytest.mark.parametrize("chance", [b"", b"123456789", b"12345678901"])
def test_an_id_wants_ten_random_bytes(chance: bytes) -> None:
    with pytest.raises(ValueError, match="ten random bytes"):
        entry_id(START, chance)


def test_every_fault_of_an_entry_is_told_at_once() -> None:
    with pytest.raises(InputFault) as refused:
        Entry("x", " ", Kind.LAYER, date(2026, 5, 1), datetime(2026, 5, 1), "", WeatherDay(1.0))  # noqa: DTZ001
    places = {fault.place for fault in refused.value.faults}
    assert places == {"id", "garden", "author", "facts", "bed", "written_at"}


def test_a_moment_of_another_zone_is_refused() -> None:
    with pytest.raises(InputFault, match="UTC"):
        an_entry(1, written_at=START.astimezone(timezone(timedelta(hours=2))))


def test_only_a_withdrawal_withdraws() -> None:
    with pytest.raises(InputFault, match="withdraws"):
        an_entry(2, withdraws=id_of(1))
    with pytest.raises(InputFault, match="withdraws"):
        an_entry(2, TakenBack(), kind=Kind.TAKEN_BACK)


def test_an_entry_cannot_point_at_itself() -> None:
    with pytest.raises(InputFault, match="another id"):
        an_entry(1, corrects=id_of(1))


def test_an_unknown_kind_must_be_kept_verbatim() -> None:
    with pytest.raises(InputFault, match="kind"):
        an_entry(1, kind="moon phase")
    assert not an_entry(1, KeptVerbatim(3, '{"a":1}'), kind="moon phase").known


def test_every_kind_has_a_form() -> None:
    assert set(FORMS) == set(Kind)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Watered(-1.0),
        lambda: Watered(float("nan")),
        lambda: CoverDrawnBack(1.5),
        lambda: LayerLaid(()),
        lambda: LiftLaid(a_lift(-1.0), "minus one bucket"),
        lambda: WeatherDay(low=10.0, high=2.0),
        lambda: WeatherDay(filled=("wind",)),
        lambda: Cost("straw", "12,50", "EUR"),
        lambda: Cost("straw", "NaN", "EUR"),
        lambda: Cost("straw", "12.50", "euro"),
        lambda: Document("plan", 0, "{}"),
        lambda: Document("plan", 1, "{"),
        lambda: PhotoTaken("A" * 64, "image/png", 3),
        lambda: RuleOverridden("manure wait", "  ", "Ada"),
        lambda: BeanTestSetUp(3, 3, 3, ()),
        lambda: BeanTestSetUp(3, 3, 3, (date(2026, 5, 9), date(2026, 5, 2))),
        lambda: FieldChecked("slake", "1", ()),
    ],
)
def test_facts_that_cannot_be_are_refused(make: object) -> None:
    assert callable(make)
    with pytest.raises(ValueError, match=r"\w"):
        make()


def test_an_observation_that_cannot_be_made_is_refused() -> None:
    with pytest.raises(InputFault, match="squeeze"):
        Observed("squeeze", "soggy")


def test_a_correction_keeps_what_it_is_about() -> None:
    first = an_entry(1)
    second = correction(
        first, Observed("squeeze", "crackles"), id=id_of(2), written_at=START, author="Bo", day=date(2026, 4, 4)
    )
    assert (second.garden, second.kind, second.bed, second.corrects) == (GARDEN, first.kind, first.bed, first.id)
    assert second.day == date(2026, 4, 4)
    assert second.author == "Bo"


def test_a_withdrawal_names_what_it_takes_back() -> None:
    back = withdrawal(an_entry(1), id=id_of(2), written_at=START, author="Bo", reason="wrong bed")
    assert (back.withdraws, back.facts) == (id_of(1), TakenBack("wrong bed"))


@given(st.integers(0, 250_000_000_000), st.binary(min_size=10, max_size=10))
def test_whatever_the_moment_an_id_is_one(seconds: int, chance: bytes) -> None:
    moment = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds)
    assert is_entry_id(entry_id(moment, chance))
