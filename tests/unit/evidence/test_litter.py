"""The course of a litter: it follows the engine's closed form, the ensemble equals its members."""

from __future__ import annotations

import numpy as np
import pytest

from mullbed.evidence.doubt import draw_ensemble, fingerprint
from mullbed.evidence.litter import Chemistry, course, courses, nitrogen_at_mass
from mullbed.simulate import parameters as par

LEAVES = Chemistry(0.6, 15.0, 46.0)
STEADY, NONE = np.ones(365), np.zeros(365)


@pytest.mark.parametrize(
    ("chemistry", "surface", "published"),
    [
        (Chemistry(4.0, 4.0, 44.0), True, (44.0, 58.2, 68.3, 80.2)),
        (Chemistry(4.0, 4.0, 44.0), False, (47.6, 58.9, 68.7, 80.3)),
        (LEAVES, True, (17.9, 36.3, 52.3, 69.3)),
    ],
)
def test_carbon_gone_is_that_of_checks_p6_p7_p10(chemistry: Chemistry, surface: bool, published: tuple) -> None:
    left = course(chemistry, STEADY, NONE, surface=surface).carbon[[27, 83, 167, 364]]
    assert 100.0 * (1.0 - left) == pytest.approx(published, abs=0.35)


def test_members_together_equal_each_alone() -> None:
    ensemble = draw_ensemble(5)
    rates = ensemble.rates("monthly", "here", "leaves")
    days = np.array([10, 200, 700])
    litters = np.tile(LEAVES.row(), (6, 1))
    together = courses(litters, ensemble.records, rates, STEADY, NONE, 30, days)
    for member in range(6):
        alone = course(LEAVES, np.ones(700), np.zeros(700), rate=rates[member], record=ensemble.records[member])
        assert together.carbon[member] == pytest.approx(alone.carbon[days - 1], abs=1e-12)


def test_a_drive_repeats_without_end() -> None:
    half = np.full(100, 0.5)
    record, one = par.middle_record()[None, :], np.ones(1)
    litters = np.array([LEAVES.row()])
    short = courses(litters, record, one, half, np.zeros(100), 40, np.array([500]))
    whole = courses(litters, record, one, np.full(600, 0.5), np.zeros(600), 40, np.array([500]))
    assert short.carbon[0, 0] == whole.carbon[0, 0]


def test_nitrogen_at_the_mass_of_a_day_is_that_of_the_day() -> None:
    record, one, litters = par.middle_record()[None, :], np.ones(1), np.array([LEAVES.row()])
    followed = course(LEAVES, STEADY, NONE)
    days = [300, 50, 120]
    found = nitrogen_at_mass(litters, record, one, STEADY, NONE, 0, followed.carbon[days])
    assert found[0] == pytest.approx(followed.nitrogen[days], abs=1e-9)


def test_nitrogen_at_the_whole_mass_is_all_of_it() -> None:
    record, one, litters = par.middle_record()[None, :], np.ones(1), np.array([LEAVES.row()])
    assert nitrogen_at_mass(litters, record, one, STEADY, NONE, 0, np.array([1.0, 1.2]))[0] == pytest.approx([1, 1])


def test_rain_washes_out_dried_tissue_faster_than_fresh_and_nothing_dug_in() -> None:
    rain = np.full(60, 5.0)
    greens = Chemistry(4.0, 4.0, 44.0)
    fresh = Chemistry(4.0, 4.0, 44.0, openness=0.5)
    driven = np.full(60, 0.3)
    dried = course(greens, driven, rain).carbon[-1]
    assert dried < course(fresh, driven, rain).carbon[-1] < course(greens, driven, np.zeros(60)).carbon[-1]
    dug = [course(greens, driven, water, surface=False).carbon[-1] for water in (rain, np.zeros(60))]
    assert dug[0] == dug[1]


def test_measured_soluble_matter_changes_the_pools() -> None:
    measured = Chemistry(0.6, 15.0, 46.0, water_soluble=0.5, ethanol_soluble=0.1)
    assert course(measured, STEADY, NONE).carbon[-1] != course(LEAVES, STEADY, NONE).carbon[-1]


def test_the_hash_of_the_numbers_is_short_and_steady() -> None:
    assert fingerprint() == fingerprint()
    assert len(fingerprint()) == 12
