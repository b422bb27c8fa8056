"""The course of a litter: it follows the engine's closed form, the ensemble equals its members."""

from __future__ import annotations

import numpy as np
import pytest

from mullbed.evidence.doubt import draw_ensemble, fingerprint
from mullbed.evidence.litter import Chemistry, course, courses, driving, nitrogen_at_mass, steady
from mullbed.simulate import parameters as par

LEAVES = Chemistry(0.6, 15.0, 46.0)
STEADY = steady(np.ones(365))


@pytest.mark.parametrize(
    ("chemistry", "surface", "published"),
    [
        (Chemistry(4.0, 4.0, 44.0), True, (44.0, 58.2, 68.3, 80.2)),
        (Chemistry(4.0, 4.0, 44.0), False, (47.6, 58.9, 68.7, 80.3)),
        (LEAVES, True, (17.9, 36.3, 52.3, 69.3)),
    ],
)
def test_carbon_gone_is_that_of_checks_p6_p7_p10(chemistry: Chemistry, surface: bool, published: tuple) -> None:
    left = course(chemistry, STEADY, surface=surface).carbon[[27, 83, 167, 364]]
    assert 100.0 * (1.0 - left) == pytest.approx(published, abs=0.35)


def test_members_together_equal_each_alone() -> None:
    ensemble = draw_ensemble(5)
    rates = ensemble.rates("monthly", "here", "leaves")
    days = np.array([10, 200, 700])
    litters = np.tile(LEAVES.row(), (6, 1))
    together = courses(litters, ensemble.records, rates, STEADY, 30, days)
    for member in range(6):
        alone = course(LEAVES, steady(np.ones(700)), rate=rates[member], record=ensemble.records[member])
        assert together.carbon[member] == pytest.approx(alone.carbon[days - 1], abs=1e-12)


def test_a_drive_repeats_without_end() -> None:
    record, one = par.middle_record()[None, :], np.ones(1)
    litters = np.array([LEAVES.row()])
    short = courses(litters, record, one, steady(np.full(100, 0.5)), 40, np.array([500]))
    whole = courses(litters, record, one, steady(np.full(600, 0.5)), 40, np.array([500]))
    assert short.carbon[0, 0] == whole.carbon[0, 0]


def test_nitrogen_at_the_mass_of_a_day_is_that_of_the_day() -> None:
    record, one, litters = par.middle_record()[None, :], np.ones(1), np.array([LEAVES.row()])
    followed = course(LEAVES, STEADY)
    days = [300, 50, 120]
    found = nitrogen_at_mass(litters, record, one, STEADY, 0, followed.carbon[days])
    assert found[0] == pytest.approx(followed.nitrogen[days], abs=1e-9)


def test_nitrogen_at_the_whole_mass_is_all_of_it() -> None:
    record, one, litters = par.middle_record()[None, :], np.ones(1), np.array([LEAVES.row()])
    assert nitrogen_at_mass(litters, record, one, STEADY, 0, np.array([1.0, 1.2]))[0] == pytest.approx([1, 1])


def test_rain_washes_out_dried_tissue_faster_than_fresh_and_nothing_dug_in() -> None:
    moist = np.full(60, 0.3)
    rain, none = steady(moist, np.full(60, 5.0)), steady(moist)
    greens = Chemistry(4.0, 4.0, 44.0)
    fresh = Chemistry(4.0, 4.0, 44.0, openness=0.5)
    dried = course(greens, rain).carbon[-1]
    assert dried < course(fresh, rain).carbon[-1] < course(greens, none).carbon[-1]
    dug = [course(greens, drive, surface=False).carbon[-1] for drive in (rain, none)]
    assert dug[0] == dug[1]


def test_rain_on_moist_rich_residue_hastens_its_decomposers_on_the_surface_alone() -> None:
    often, never, record = np.full(120, 0.4), np.zeros(120), par.middle_record()
    record[par.REWETTING_STRENGTH] = 0.3
    wetted, dry = (driving(np.ones(120), never, one, np.ones(120)) for one in (often, never))
    greens = Chemistry(4.0, 4.0, 44.0)
    rained, left = (course(greens, drive, record=record) for drive in (wetted, dry))
    assert rained.carbon[-1] < left.carbon[-1] - 0.02
    assert rained.nitrogen[-1] < left.nitrogen[-1] - 0.02
    for poor_or_dug in ((LEAVES, True), (greens, False)):
        same = [course(poor_or_dug[0], drive, surface=poor_or_dug[1], record=record) for drive in (wetted, dry)]
        assert same[0].carbon[-1] == same[1].carbon[-1]


def test_measured_soluble_matter_changes_the_pools() -> None:
    measured = Chemistry(0.6, 15.0, 46.0, water_soluble=0.5, ethanol_soluble=0.1)
    assert course(measured, STEADY).carbon[-1] != course(LEAVES, STEADY).carbon[-1]


def test_the_hash_of_the_numbers_is_short_and_steady() -> None:
    assert fingerprint() == fingerprint()
    assert len(fingerprint()) == 12
