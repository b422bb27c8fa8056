"""A run that goes on from a kept past gives the bits of a whole run, and only where nothing of that past changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from mullbed.simulate import past as pasts
from mullbed.simulate.case import BedCase, CropCover, DigIn, Lay, Pour, RakeOff
from mullbed.simulate.ensemble import draw_members
from mullbed.simulate.run import Outcome, simulate
from season_bed import LEAVES, STRAW, column, fresh, lift, showers, weather

DAYS, PAST, MEMBERS = 110, 60, 20
KEEP = ("thickness", "moisture", "leached", "soil_temperature")
BEFORE = (
    Lay(0, (lift(LEAVES, 0.4, free=1.0), fresh(0.5)), 3.0),
    RakeOff(20, 0.2),
    Lay(30, (fresh(0.6, 3.0), lift(STRAW, 0.3))),
)
DUG = (DigIn(45, 0.2), Lay(50, (fresh(0.4), lift(LEAVES, 0.2))))
AFTER = (Pour(70, 6.0), Lay(80, (fresh(0.3), lift(STRAW, 0.2))))


def case(*events: object) -> BedCase:
    sky = weather(DAYS, 2, 17, 3.0, showers(DAYS, 0.4, 8.0, 2))
    crop = CropCover(np.full(DAYS, 0.7), np.full(DAYS, 0.4), np.full(DAYS, 0.1))
    return BedCase("a season", sky, column(5.0), events, crop)  # type: ignore[arg-type]


def run(bed: BedCase, past: int = 0, members: int = MEMBERS, seed: int = 1, threads: int = 1) -> Outcome:
    return simulate(bed, draw_members(bed, members, seed), per_lift=True, keep=KEEP, past=past, threads=threads)


def same(found: Outcome, whole: Outcome) -> None:
    for name, values in whole.daily.items():
        assert np.array_equal(found.daily[name][:, PAST:], values[:, PAST:], equal_nan=True), name
    assert np.array_equal(found.ledgers, whole.ledgers)
    assert found.balance == whole.balance
    assert found.lifts is not None and whole.lifts is not None
    for name in ("thickness", "carbon_left", "moisture"):
        mine, theirs = getattr(found.lifts, name), getattr(whole.lifts, name)
        assert np.array_equal(mine[:, PAST:], theirs[:, PAST:], equal_nan=True), name


def went_on(found: Outcome) -> bool:
    return bool(np.isnan(found.daily["leached"][:, :PAST]).all())


@pytest.fixture(autouse=True)
def nothing_kept() -> Iterator[None]:
    pasts.forget()
    yield
    pasts.forget()


@pytest.mark.parametrize("before", [BEFORE, (*BEFORE, *DUG), ()], ids=["layers", "dug in", "bare"])
def test_going_on_gives_the_bits_of_a_whole_run(before: tuple[object, ...]):
    first = run(case(*before), PAST)
    assert not went_on(first)
    same(first, run(case(*before)))
    for after in ((), AFTER):
        again = run(case(*before, *after), PAST)
        assert went_on(again)
        same(again, run(case(*before, *after)))


def test_what_a_run_with_a_later_layer_kept_serves_one_without_it():
    run(case(*BEFORE, *AFTER), PAST)
    again = run(case(*BEFORE), PAST)
    assert went_on(again)
    same(again, run(case(*BEFORE)))


def test_two_threads_keep_and_take_up_the_same():
    run(case(*BEFORE), PAST, members=150, threads=2)
    again = run(case(*BEFORE), PAST, members=150, threads=2)
    assert went_on(again)
    same(again, run(case(*BEFORE), members=150))


def test_another_past_is_run_itself():
    plain = case(*BEFORE)
    run(plain, PAST)
    wetter = replace(plain.weather, rain=plain.weather.rain + (np.arange(DAYS) == 40))
    others = (
        case(*BEFORE, Pour(PAST - 1, 1.0)),
        case(*BEFORE[1:]),
        replace(plain, weather=wetter),
        replace(plain, soil=replace(plain.soil, clay=plain.soil.clay + 0.01)),
        replace(plain, cover=CropCover(np.full(DAYS, 0.7), np.full(DAYS, 0.4), np.full(DAYS, 0.11))),
    )
    for other in others:
        assert not went_on(run(other, PAST))
    assert not went_on(run(plain, PAST, seed=2)) and not went_on(run(plain, PAST - 1))
    later = replace(plain.weather, rain=plain.weather.rain + (np.arange(DAYS) == 90))
    assert went_on(run(replace(plain, weather=later), PAST))


def test_a_short_past_is_run_again_and_what_is_kept_is_bounded(monkeypatch: pytest.MonkeyPatch):
    bed = case(*BEFORE)
    for _ in range(2):
        assert not went_on(run(bed, pasts.LEAST_DAYS - 1))
    monkeypatch.setattr(pasts, "MOST_BYTES", 1000)
    for _ in range(2):
        assert not went_on(run(bed, PAST))
