"""Fitting in folds from a folder: numbers beside those in use, scores of what was held out, nothing changed."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from mullbed.errors import InputFault
from mullbed.simulate.parameters import middle_record
from mullbed.usecases.calibrate_model import calibrate_model


def test_a_fit_shows_numbers_and_held_out_scores_and_changes_nothing(shared_data: Path, tmp_path: Path) -> None:
    before = middle_record().copy()
    for name in ("nitrogen_rye_residue.csv", "field_green_mulch.csv"):
        shutil.copy(shared_data / name, tmp_path)
    found = calibrate_model(tmp_path, folds=2)
    assert (middle_record() == before).all()
    assert [one.comparison.key for one in found.sets] == [
        "field_green_mulch mass", "field_green_mulch nitrogen", "nitrogen_mineralisation",
    ]  # fmt: skip
    assert [one.score.n for one in found.sets] == [30, 17, 48]
    assert all(one.score.rmse is not None and one.score.rmse < 0.3 for one in found.sets)
    numbers = {one.name: one for one in found.numbers}
    assert numbers["main_rate"].in_use == 0.0572
    assert numbers["main_rate"].lowest < numbers["main_rate"].highest
    assert "litter_lidet.csv" in found.missing


def test_a_folder_with_too_little_is_refused(shared_data: Path, tmp_path: Path) -> None:
    with pytest.raises(InputFault, match="too few"):
        calibrate_model(tmp_path)
    with pytest.raises(InputFault, match="no folder"):
        calibrate_model(tmp_path / "nowhere")
