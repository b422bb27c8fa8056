"""Remedies: amounts for this bed, the smallest dose, or waiting for what comes by itself."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from mullbed.diagnose.causes import all_causes
from mullbed.diagnose.remedies import (
    LEAST_DOSE,
    MOST_AT_ONCE,
    DryStuff,
    is_worth_waiting,
    nitrogen_account,
    quick_doses,
    remedy,
)
from mullbed.domain.forecast import Band, BedForecast, RelativeBalance
from mullbed.domain.spread import Evidence, Spread

DAY = date(2027, 6, 10)
BUCKETS = DryStuff("bucket", Spread(10.0, 14.0, 19.0, "L", Evidence.GUESS))


def level(value: float, days: int = 60) -> Band:
    mid = np.full(days, value)
    return Band(0.8 * mid, mid, 1.2 * mid)


def forecast(store: float, weekly: float, want: float, later: float | None = None) -> BedForecast:
    flow = level(weekly)
    if later is not None:
        for one in (flow.p10, flow.p50, flow.p90):
            one[6:] = later
    series = {"mineral_nitrogen": level(store), "weekly_nitrogen": flow}
    return BedForecast("Low", DAY, series, (), np.full(60, want), RelativeBalance(0.0, 0.0, 0.0), {})


def test_dry_cover_is_area_times_thickness_in_the_growers_containers() -> None:
    doing = remedy(all_causes()["ammonia_lost"], area=7.0, day=DAY, dry=BUCKETS)
    assert doing.container_litres is not None
    assert doing.container_litres.mid == pytest.approx(175.0)  # known: 7 m2 of 25 mm
    assert doing.containers == 12.5  # known: 175 of 14 L
    twice = remedy(all_causes()["ammonia_lost"], area=14.0, day=DAY, dry=BUCKETS)
    assert twice.containers == 25.0


def test_water_and_waits_are_sized_for_the_bed_and_dated() -> None:
    doing = remedy(all_causes()["gone_sour"], area=4.0, day=DAY, dry=BUCKETS)
    assert doing.water_litres == pytest.approx(20.0)  # known: 5 mm on 4 m2
    assert doing.wait_until == (date(2027, 6, 11), date(2027, 6, 13))
    assert (doing.expect_from, doing.expect_until) == (date(2027, 6, 11), date(2027, 6, 13))


def test_resowing_waits_from_the_last_soft_layer_and_never_into_the_past() -> None:
    cause = all_causes()["damping_off"]
    doing = remedy(cause, area=4.0, day=DAY, dry=BUCKETS, last_soft=date(2027, 5, 25))
    assert doing.wait_until == (date(2027, 6, 15), date(2027, 6, 29))
    old = remedy(cause, area=4.0, day=DAY, dry=BUCKETS, last_soft=date(2027, 4, 1))
    assert old.wait_until == (DAY, DAY)


def test_the_account_of_nitrogen_is_as_worked_by_hand() -> None:
    account = nitrogen_account(forecast(store=2.0, weekly=0.7, want=0.3), DAY)
    assert account is not None
    assert account.want == pytest.approx(6.3)  # known: 21 days of 0.3
    assert account.coming.mid == pytest.approx(1.0 + 2.1)  # known: 2 less 1 out of reach, and 3 weeks of 0.7
    assert account.shortage.mid == pytest.approx(3.2)
    assert account.shortage.low < account.shortage.mid < account.shortage.high
    assert account.enough_from is None


def test_a_strip_replaces_the_models_store() -> None:
    account = nitrogen_account(forecast(store=2.0, weekly=0.0, want=0.3), DAY, strip=25.0)
    assert account is not None
    assert account.coming.mid == pytest.approx(9.75 - 1.0)  # published: 25 mg/kg in 30 cm at 1.3 is 9.8 g m-2
    assert account.shortage.mid == 0.0


def test_no_crop_or_a_day_outside_makes_no_account() -> None:
    assert nitrogen_account(forecast(2.0, 0.7, 0.0), DAY) is None
    assert nitrogen_account(forecast(2.0, 0.7, 0.3), date(2026, 1, 1)) is None
    assert nitrogen_account(forecast(2.0, 0.7, 0.3), date(2028, 1, 1)) is None


def test_the_dose_covers_the_shortage_and_no_more() -> None:
    shortage = Spread(2.0, 3.2, 4.0, "g m-2", Evidence.WORKED_OUT)
    for dose, nitrogen, used, spoon in zip(
        quick_doses(shortage, 5.0), (0.212, 0.12), (0.9, 0.6), (15.0, 9.0), strict=True
    ):
        assert dose.grams.mid * nitrogen * used == pytest.approx(3.2 * 5.0)
        assert 0.0 <= dose.tablespoons * spoon - dose.grams.mid < 0.5 * spoon + 1e-9
    much = quick_doses(Spread(8.0, 12.0, 20.0, "g m-2", Evidence.WORKED_OUT), 1.0)[0]
    assert much.grams.mid * 0.212 * 0.9 == pytest.approx(MOST_AT_ONCE)


def test_a_crop_short_of_nitrogen_gets_a_dose_or_is_told_to_wait() -> None:
    cause = all_causes()["nitrogen_short"]
    short = nitrogen_account(forecast(1.0, 0.3, 0.3), DAY)
    fed = remedy(cause, area=5.0, day=DAY, dry=BUCKETS, account=short)
    assert fed.doses
    assert fed.heading == cause.heading
    plenty = nitrogen_account(forecast(12.0, 1.0, 0.3), DAY)
    waiting = remedy(cause, area=5.0, day=DAY, dry=BUCKETS, account=plenty)
    assert not waiting.doses
    assert waiting.heading.startswith("Wait")


def test_nitrogen_that_comes_within_ten_days_is_waited_for() -> None:
    soon = nitrogen_account(forecast(1.5, 0.1, 0.3, later=2.2), DAY)
    assert soon is not None
    assert soon.enough_from == date(2027, 6, 16)
    assert soon.shortage.mid > LEAST_DOSE
    assert is_worth_waiting(soon, DAY)
    never = nitrogen_account(forecast(1.5, 0.1, 0.3), DAY)
    assert never is not None
    assert not is_worth_waiting(never, DAY)
