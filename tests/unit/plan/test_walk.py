"""The walk of a day: each rule by itself, and the order of the beds."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from datetime import date, timedelta

import pytest

from mullbed.domain.bed import Bed, BedCrop, Soil
from mullbed.domain.layer import Layer, Lift
from mullbed.domain.observation import Observation
from mullbed.domain.season_plan import PlannedLayer
from mullbed.domain.spread import Evidence, Spread
from mullbed.domain.walk import Because, Job, LookFor
from mullbed.plan.walk import BedToday, GardenToday, heap_stops, ranked, visit

TODAY = date(2027, 6, 10)
NOW = GardenToday(TODAY, can_litres=10.0, dry_container=("sack", 100.0), dry_thing="leaf_municipal")
SOIL = Soil(0.4, 0.2, Spread(0.02, 0.03, 0.05, "1", Evidence.GUESS), "loam")


def lift(fresh: bool, thickness: float = 0.02) -> Lift:
    name = "grass_clip" if fresh else "leaf_municipal"
    return Lift(name, "bucket", 2.0, 300.0, 0.1, Evidence.GUESS, thickness, fresh, 1.0 if fresh else 0.0, 0.1)


def layer(days_ago: int, *fresh: bool) -> Layer:
    return Layer("Gate", TODAY - timedelta(days=days_ago), tuple(lift(one) for one in fresh), 2.0)


def bed(*layers: Layer, crops: tuple[BedCrop, ...] = (), under_cover: bool = False) -> Bed:
    return Bed("Gate", 8.0, SOIL, crops=crops, layers=layers, under_cover=under_cover)


def planned(days_ahead: int, *fresh: bool) -> PlannedLayer:
    zero = Spread(0.0, 0.0, 0.0, "g m-2", Evidence.WORKED_OUT)
    return PlannedLayer(
        layer(-days_ahead, *fresh), 1.0, 10.0, 25.0, 0.02, 0.0, zero, zero, zero, (None, None, None), (), ()
    )


def seen(what: str, word: str, days_ago: int = 1) -> Observation:
    return Observation(what, "Gate", TODAY - timedelta(days=days_ago), word=word)


def jobs(today: GardenToday, here: BedToday) -> list[Job]:
    return [stop.job for stop in visit(today, here).stops]


def test_a_bed_with_nothing_due_is_left_alone_until_the_weekly_look() -> None:
    found = visit(NOW, BedToday(bed(layer(30, True, False)), looked_last=TODAY - timedelta(days=2)))
    assert found.stops == ()
    assert found.next_day == TODAY + timedelta(days=5)  # known: seven days after the last look


@pytest.mark.parametrize(("days_ahead", "due"), [(3, False), (2, True), (0, True), (-14, True), (-15, False)])
def test_w5_a_planned_layer_is_due_from_two_days_before_to_two_weeks_after(days_ahead: int, due: bool) -> None:
    here = BedToday(bed(), (planned(days_ahead, True, False),))
    assert (Job.LAY in jobs(NOW, here)) is due


def test_w5_the_one_number_is_the_first_lift_in_its_container() -> None:
    (stop,) = visit(NOW, BedToday(bed(), (planned(0, True, False),))).stops
    assert (stop.amount, stop.unit, stop.thing) == (2.0, "bucket", "grass_clip")


def test_w5_some_rain_does_the_watering_and_much_rain_makes_a_soft_layer_wait() -> None:
    here = BedToday(bed(), (planned(0, True, False),))
    assert visit(replace(NOW, rain_expected="some"), here).stops[0].because is Because.RAIN_COMES
    waiting = visit(replace(NOW, rain_expected="much"), here).stops[0]
    assert (waiting.job, waiting.because) == (Job.WAIT, Because.HARD_RAIN_COMES)
    dry = BedToday(bed(), (planned(0, False),))
    assert visit(replace(NOW, rain_expected="much"), dry).stops[0].job is Job.LAY
    tunnel = BedToday(bed(under_cover=True), (planned(0, True, False),))
    assert visit(replace(NOW, rain_expected="much"), tunnel).stops[0].job is Job.LAY


def test_w5_before_an_absence_a_layer_is_laid_sooner() -> None:
    here = BedToday(bed(), (planned(6, True, False),))
    assert Job.LAY not in jobs(NOW, here)
    leaving = replace(NOW, away_from=TODAY + timedelta(days=5))
    assert visit(leaving, here).stops[0].because is Because.AWAY_SOON


@pytest.mark.parametrize("word", ["sour", "rotten egg", "putrid"])
def test_w3_a_foul_smell_comes_before_everything_else(word: str) -> None:
    here = BedToday(bed(layer(5, True, False)), (planned(0, True, False),), (seen("smell", word),))
    assert jobs(NOW, here)[0] is Job.AIR


def test_w3_a_smell_of_last_week_asks_for_nothing() -> None:
    assert Job.AIR not in jobs(NOW, BedToday(bed(layer(9, True, False)), (), (seen("smell", "sour", 4),)))


def test_w3_a_later_sound_smell_beats_an_earlier_foul_one() -> None:
    here = BedToday(bed(layer(5, True, False)), (), (seen("smell", "sour", 2), seen("smell", "earthy", 0)))
    assert Job.AIR not in jobs(NOW, here)


def test_w4_an_open_soft_layer_gets_a_cap_within_four_days() -> None:
    (stop, *_) = visit(NOW, BedToday(bed(layer(3, False, True)))).stops
    assert (stop.job, stop.because) == (Job.CAP, Because.NO_CAP)
    assert (stop.amount, stop.unit) == (2.0, "sack")  # known: 8 m2 x 2.5 cm = 200 L, two sacks of 100 L
    assert Job.CAP not in jobs(NOW, BedToday(bed(layer(5, False, True))))
    assert Job.CAP not in jobs(NOW, BedToday(bed(layer(3, True, False))))


def test_w4_ammonia_asks_for_a_cap_unless_it_was_laid_over_since() -> None:
    smelt = (seen("smell", "ammonia", 2),)
    assert visit(NOW, BedToday(bed(layer(5, True, False)), (), smelt)).stops[0].because is Because.SMELLS_OF_AMMONIA
    assert Job.CAP not in jobs(NOW, BedToday(bed(layer(5, True, False), layer(1, False)), (), smelt))


def test_w6_a_dry_cover_is_watered_in_cans_unless_rain_comes_or_it_was_watered() -> None:
    here = BedToday(bed(layer(20, True, False)), moisture=(0.2, 0.3, 0.35), looked_last=TODAY)
    (stop,) = visit(NOW, here).stops
    assert (stop.job, stop.because, stop.unit) == (Job.WATER, Because.DRY_BY_FORECAST, "can")
    assert stop.amount == 3.0  # known: 8 m2 x 4 mm = 32 L, three cans of 10 L to the half can
    assert Job.WATER not in jobs(replace(NOW, rain_expected="some"), here)
    assert Job.WATER not in jobs(NOW, replace(here, watered_last=TODAY - timedelta(days=3)))
    assert Job.WATER not in jobs(NOW, replace(here, moisture=(0.3, 0.5, 0.6)))


def test_w6_the_hand_beats_the_forecast() -> None:
    wet = BedToday(bed(layer(20, True, False)), (), (seen("squeeze", "a few drops"),), moisture=(0.2, 0.3, 0.35))
    assert Job.WATER not in jobs(NOW, wet)
    dry = replace(wet, seen=(seen("squeeze", "crackles"),), moisture=(0.5, 0.6, 0.7))
    assert visit(NOW, dry).stops[0].because is Because.DRY_TO_THE_HAND


def crop(planted: date, *, sown: bool = True) -> BedCrop:
    return BedCrop("radish", 0.5, planted, planted + timedelta(days=60), sown)


def test_w7_cover_is_drawn_back_once_two_to_four_weeks_before_seed() -> None:
    sowing = TODAY + timedelta(days=20)
    here = BedToday(bed(layer(40, False), crops=(crop(sowing),)), looked_last=TODAY)
    (stop,) = visit(NOW, here).stops
    assert (stop.job, stop.other_day) == (Job.DRAW_BACK, sowing)
    assert jobs(NOW, replace(here, drawn_back=TODAY)) == []
    assert jobs(NOW, replace(here, bed=bed(layer(40, False), crops=(crop(sowing, sown=False),)))) == []
    far = bed(layer(40, False), crops=(crop(TODAY + timedelta(days=29)),))
    assert jobs(NOW, replace(here, bed=far)) == []
    assert jobs(NOW, replace(here, thickness=(0.0, 0.004, 0.01))) == []


def test_w8_a_crop_is_sown_and_harvested_once() -> None:
    here = BedToday(bed(crops=(crop(TODAY),)))
    (stop,) = visit(NOW, here).stops
    assert (stop.job, stop.amount, stop.unit) == (Job.SOW, 4.0, "m2")
    assert jobs(NOW, replace(here, done_crops=frozenset({("sown", "radish")}))) == []
    later = replace(NOW, day=TODAY + timedelta(days=60))
    assert jobs(later, here) == [Job.HARVEST]
    assert jobs(later, replace(here, done_crops=frozenset({("harvest", "radish")}))) == []


def test_w9_a_fresh_layer_is_smelt_by_its_fourth_day() -> None:
    here = BedToday(bed(layer(3, True, False)))
    (stop,) = visit(NOW, here).stops
    assert (stop.because, stop.day) == (Because.FRESH_LAYER_TO_SMELL, TODAY + timedelta(days=1))
    assert jobs(NOW, replace(here, looked_last=TODAY - timedelta(days=1))) == []


def test_w10_a_bed_nobody_saw_for_a_week_is_looked_at_unless_something_else_is_due() -> None:
    here = BedToday(bed(layer(30, True, False)), looked_last=TODAY - timedelta(days=9))
    (stop,) = visit(NOW, here).stops
    assert (stop.because, stop.amount, stop.unit) == (Because.NOT_SEEN_LATELY, 9.0, "day")
    assert jobs(NOW, replace(here, planned=(planned(0, True, False),))) == [Job.LAY]


def test_w11_there_is_always_something_to_look_at() -> None:
    assert visit(NOW, BedToday(bed())).look == (LookFor.SPROUTS,)
    fresh = visit(NOW, BedToday(bed(layer(3, True, False))))
    assert LookFor.SMELL in fresh.look
    assert LookFor.SLUGS in fresh.look
    south = visit(replace(NOW, latitude=-35.0), BedToday(bed(layer(3, True, False))))
    assert LookFor.SLUGS not in south.look  # known: June is winter there


def test_the_most_urgent_bed_comes_first_and_equal_ones_by_name() -> None:
    foul = BedToday(replace(bed(layer(5, True, False)), name="Well"), (), (seen("smell", "sour"),))
    lay = BedToday(replace(bed(), name="Pear"), (planned(0, True, False),))
    idle, other = BedToday(replace(bed(), name="Yew")), BedToday(replace(bed(), name="Ash"))
    order = ranked(visit(NOW, one) for one in (idle, lay, other, foul))
    assert [one.bed for one in order] == ["Well", "Pear", "Ash", "Yew"]


def test_the_heap_tells_tests_to_read_first_and_what_will_not_keep() -> None:
    today = replace(
        NOW,
        tests_due=(("hay from the field", TODAY), ("straw", TODAY + timedelta(days=1))),
        spoiling=(("grass_clip", "bucket", 3.0, TODAY + timedelta(days=1)),),
    )
    test, spoiling = heap_stops(today)
    assert (test.job, test.thing) == (Job.READ_TEST, "hay from the field")
    assert (spoiling.job, spoiling.amount, spoiling.unit) == (Job.USE_UP, 3.0, "bucket")


def test_the_walk_needs_neither_the_compiler_nor_the_solver() -> None:
    script = "import mullbed.plan.walk, sys; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert not {"numba", "scipy", "highspy"} & set(done.stdout.split())
