"""Fitting in folds: the fit finds what made the data, whole places are held out, nothing starts from the answer."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from mullbed.evidence.calibrate import (
    FREE,
    SET_FACTORS,
    calibrate,
    errors_of,
    fit,
    folds_of,
    numbers_of,
    predicted,
    record_of,
)
from mullbed.evidence.calibration_targets import Target, absent_files, targets
from mullbed.evidence.folded_sets import folded_sets
from mullbed.evidence.least_squares import fitted
from mullbed.evidence.litter import Chemistry, steady
from mullbed.evidence.reference_models import MODELS, held_out
from mullbed.evidence.series import LitterSeries
from mullbed.simulate import parameters as par


def made_up(sites: int = 6, noise: float = 0.0) -> list[Target]:
    """Invented litters at invented places, their mass that of the model with its own numbers."""
    chance = np.random.default_rng(4)
    record, found = par.middle_record(), []
    for site in range(sites):
        rainy = np.arange(365) % 3 == 0
        drive = steady(np.full(365, 0.3 + 0.2 * site), np.where(rainy, 2.0 + site, 0.0))
        for nitrogen, lignin in ((0.5, 20.0), (1.2, 10.0), (3.0, 5.0)):
            days = np.array([30, 90, 200, 365, 730, 1400])
            series = LitterSeries(
                f"{site} {nitrogen}", f"S{site}", f"place {site}", f"{nitrogen}", Chemistry(nitrogen, lignin, 45.0),
                drive, 0, days, np.zeros(6), "monthly",
                drivers={"mean warmth, °C": 5.0 + 3.0 * site, "rain, mm a year": 300.0 + 200.0 * site},
            )  # fmt: skip
            whole = np.ones(6, dtype=bool)
            target = Target("cidet_mass", series, f"cidet S{site}", "mass", np.zeros(6), np.full(6, 7.0), whole)
            seen = predicted(target, record, {"index": 1.0, "eurodeco": 1.0}) + noise * chance.standard_normal(6)
            found.append(replace(target, seen=seen, series=replace(series, seen=seen)))
    return found


def test_least_squares_finds_the_numbers_that_made_a_curve() -> None:
    """Known: y = 2 exp(-0.7 x)."""
    x = np.linspace(0.0, 5.0, 30)
    found = fitted(lambda at: at[0] * np.exp(-np.exp(at[1]) * x) - 2.0 * np.exp(-0.7 * x), np.array([1.0, 0.5]))
    assert found.values[0] == pytest.approx(2.0, abs=1e-4)
    assert np.exp(found.values[1]) == pytest.approx(0.7, abs=1e-4)
    assert found.cost < 1e-8


def test_a_fit_from_neutral_starts_predicts_what_the_model_made() -> None:
    used = made_up()
    start = [np.abs(errors_of(one, predicted(one, *record_of(np.zeros(len(FREE) + 2))))).max() for one in used]
    record, factors = record_of(fit(used).values)
    left = [np.abs(errors_of(one, predicted(one, record, factors))).max() for one in used]
    assert max(start) > 0.05
    assert max(left) < 0.03


def test_no_number_starts_from_the_one_in_use() -> None:
    begins = numbers_of(np.zeros(len(FREE) + len(SET_FACTORS)))
    for one, begin in zip(FREE, begins, strict=False):
        if one.log:
            assert begin != pytest.approx(par.PARAMETERS[par.COLUMN[one.name]].middle, rel=0.05)


def test_whole_places_are_dealt_to_folds_of_even_size() -> None:
    used = made_up(10)
    dealt = folds_of(used, 5)
    assert sorted(np.bincount(list(dealt.values())).tolist()) == [2, 2, 2, 2, 2]
    assert len(dealt) == 10


def test_what_is_held_out_is_predicted_without_its_own_values() -> None:
    """A place whose values are moved changes the fits of the other folds, never its own prediction."""
    used = made_up(4)
    moved = [
        replace(one, seen=one.seen * 0.5) if one.fold_unit == "cidet S1" else one for one in used
    ]  # fmt: skip
    first, second = (calibrate(one, folds=2, free=FREE[:2]) for one in (used, moved))
    place = [number for number, one in enumerate(used) if one.fold_unit == "cidet S1"]
    other = [
        number for number, one in enumerate(used)
        if first.fold_of[one.fold_unit] != first.fold_of["cidet S1"]
    ]  # fmt: skip
    for number in place:
        assert first.sets[0].predicted[number] == pytest.approx(second.sets[0].predicted[number], abs=1e-9)
    assert any(
        not np.allclose(first.sets[0].predicted[number], second.sets[0].predicted[number], atol=1e-6)
        for number in other
    )


def test_reference_models_are_fitted_in_the_same_folds() -> None:
    used = made_up(6, noise=0.02)
    dealt = folds_of(used, 3)
    errors = []
    for model in MODELS:
        said, spread = held_out(model, used, dealt, 3)
        errors.append(np.sqrt(np.mean(np.concatenate([a - b.seen for a, b in zip(said, used, strict=True)]) ** 2)))
        assert all(np.all(one > 0.0) for one in spread)
    assert errors[2] < errors[0]


def test_sets_of_a_fit_hold_every_point_once() -> None:
    used = made_up(4)
    sets = folded_sets(calibrate(used, folds=2, free=FREE[:2]))
    assert [one.comparison.key for one in sets] == ["cidet_mass"]
    assert sets[0].score.n == sum(one.seen.size for one in used)
    assert sets[0].rival is not None


def test_targets_are_the_points_the_scores_are_told_of(shared_data: Path) -> None:
    counts: dict[str, int] = {}
    for one in targets(shared_data):
        counts[one.key] = counts.get(one.key, 0) + one.seen.size
    assert counts == {
        "lidet_mass": 649, "lidet_mass_weather": 649, "lidet_nitrogen": 635, "cidet_mass": 540, "eurodeco_mass": 341,
        "aridec": 2574, "field_green_mulch": 47, "nitrogen_mineralisation": 48,
    }  # fmt: skip


def test_files_that_are_not_there_are_named(tmp_path: Path) -> None:
    assert "litter_lidet.csv" in absent_files(tmp_path)
    assert targets(tmp_path) == []
