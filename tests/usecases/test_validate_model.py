"""The model against open data: every set runs, its figures are near the documented ones, nothing is fitted."""

from __future__ import annotations

import csv
import json
import shutil
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from mullbed.domain.validation import Validation
from mullbed.errors import InputFault
from mullbed.usecases.validate_model import validate_model

KEYS = (
    "lidet_mass", "lidet_mass_2y", "lidet_mass_weather", "lidet_nitrogen", "lidet_nitrogen_free", "cidet_mass",
    "eurodeco_mass", "aridec_mass", "aridec_surface_green", "aridec_surface_farm", "aridec_buried",
    "field_green_mulch", "nitrogen_mineralisation", "incubation_q10", "soil_temperature", "soil_water", "rothc",
    "learning",
)  # fmt: skip

#: Our documented cross-validated figures and points ([@mullbed_model] section 6.1, reference table).
DOCUMENTED = {
    "lidet_mass": (0.169, 649),
    "lidet_mass_2y": (0.155, 237),
    "lidet_mass_weather": (0.216, 649),
    "lidet_nitrogen": (0.278, 635),
    "cidet_mass": (0.119, 540),
    "eurodeco_mass": (0.079, 341),
    "aridec_surface_green": (0.250, 508),
    "aridec_surface_farm": (0.211, 383),
    "aridec_buried": (0.200, 456),
    "nitrogen_mineralisation": (9.3, 48),
}
#: Held out this set reaches its figure (0.249, yardsticks); with the numbers in use, which the published closed forms
#: hold where they are, it stays this far behind (docs/decisions/0008). May fall, never rise.
BEHIND_IN_USE = {"aridec_surface_green": 1.04}
#: The column that holds what was seen, by file.
SEEN = {
    "litter_lidet.csv": ("mass_remaining", "n_remaining"),
    "litter_cidet.csv": ("mass_remaining",),
    "litter_eurodeco.csv": ("mass_remaining",),
    "litter_aridec.csv": ("remaining",),
    "field_green_mulch.csv": ("value",),
    "nitrogen_rye_residue.csv": ("net_n_pct_of_added",),
}


@pytest.fixture(scope="module")
def found(shared_data: Path) -> Validation:
    return validate_model(shared_data)


def test_every_set_runs_with_one_set_of_numbers(found: Validation) -> None:
    assert tuple(one.key for one in found.sets) == KEYS
    assert not found.missing
    assert len(found.fingerprint) == 12


@pytest.mark.parametrize("key", DOCUMENTED)
def test_a_score_is_as_good_as_the_documented_one(found: Validation, key: str) -> None:
    result = found.result(key)
    assert result is not None
    error, points = DOCUMENTED[key]
    assert result.score.n == points
    assert result.score.rmse is not None
    assert 0.75 * error < result.score.rmse < BEHIND_IN_USE.get(key, 1.02) * error


def test_dry_lands_are_as_good_as_documented_on_the_mean_over_studies(found: Validation) -> None:
    result = found.result("aridec_mass")
    assert result is not None
    assert result.score.further["n_study"] == 45
    assert result.score.further["rmse_mean_study"] < 0.188
    assert result.score.further["rmse_median_study"] < 0.195


def test_field_cases_of_soft_residue_are_as_good_as_documented(found: Validation) -> None:
    result = found.result("field_green_mulch")
    assert result is not None
    assert (result.score.further["n_mass"], result.score.further["n_nitrogen"]) == (30, 17)
    assert result.score.further["rmse_mass"] < 0.169
    assert result.score.further["rmse_nitrogen"] < 0.152


def test_rye_gives_and_takes_on_the_right_days(found: Validation) -> None:
    result = found.result("nitrogen_mineralisation")
    assert result is not None
    assert result.score.further["sign_asked"] == 16
    assert result.score.further["sign_right"] == 1.0


def test_the_soil_pools_are_those_of_the_reference_run(found: Validation) -> None:
    result = found.result("rothc")
    assert result is not None
    assert result.score.further["max_abs_difference"] < 0.001


def test_two_values_seen_make_the_rest_better_known(found: Validation) -> None:
    result = found.result("learning")
    assert result is not None
    assert result.score.further["ratio"] < 0.88
    assert result.score.rmse == pytest.approx(result.score.further["ratio"] * result.score.further["rmse_without"])


def test_soil_temperature_keeps_the_limits_of_check_p41(found: Validation) -> None:
    result = found.result("soil_temperature")
    assert result is not None
    for depth, most in (("5cm", 1.4), ("10cm", 1.35), ("20cm", 1.15)):
        assert result.score.further[f"rmse_{depth}"] <= most


BANDED = [key for key in KEYS if key not in ("rothc", "nitrogen_mineralisation")]


@pytest.mark.parametrize("key", BANDED)
def test_bands_hold_what_they_say(found: Validation, key: str) -> None:
    """Aim: bands of 80 % hold 72-88 %, of 90 % hold 83-96 %. Rye is wider, and says so."""
    result = found.result(key)
    assert result is not None
    assert result.score.coverage80 is not None
    assert result.score.coverage90 is not None
    assert 0.72 <= result.score.coverage80 <= 0.88
    assert 0.825 <= result.score.coverage90 <= 0.96


def test_bands_score_better_than_reference_models_with_their_own_spread(found: Validation) -> None:
    compared = 0
    for result in found.sets:
        for stick in result.yardsticks:
            if stick.figure == "crps" and stick.rmse is not None and result.score.crps is not None:
                assert result.score.crps < stick.rmse, result.key
                compared += 1
    assert compared == 9


def test_the_same_seed_gives_the_same_scores_and_another_moves_only_the_bands(
    found: Validation, shared_data: Path
) -> None:
    again = validate_model(shared_data, only="cidet_mass").sets[0].score
    assert again == found.result("cidet_mass").score  # type: ignore[union-attr]
    other = validate_model(shared_data, only="cidet_mass", seed=2).sets[0].score
    assert other.rmse == again.rmse
    assert other.crps != again.crps


@pytest.fixture(scope="module")
def shuffled(shared_data: Path, tmp_path_factory: pytest.TempPathFactory) -> Validation:
    """A copy of the data in which what was seen stands in another order."""
    folder = tmp_path_factory.mktemp("shuffled")
    chance = np.random.default_rng(20)
    for name, columns in SEEN.items():
        text = (shared_data / name).read_text(encoding="utf-8").splitlines()
        rows = list(csv.DictReader(line for line in text if not line.startswith("#")))
        told = list(range(len(rows)))
        if name == "field_green_mulch.csv":
            told = [at for at, row in enumerate(rows) if row["quantity"] in ("mass_remaining", "n_remaining")]
        for column in columns:
            values = [rows[at][column] for at in told]
            for at, place in zip(told, chance.permutation(len(told)), strict=True):
                rows[at][column] = values[place]
        with (folder / name).open("w", encoding="utf-8", newline="") as stream:
            writer = csv.DictWriter(stream, list(rows[0]))
            writer.writeheader()
            writer.writerows(rows)
    shutil.copy(shared_data / "litter_aridec_series.csv", folder)
    return validate_model(folder, members=20)


@pytest.mark.parametrize("key", ["lidet_mass", "lidet_mass_weather", "lidet_nitrogen", "cidet_mass", "eurodeco_mass",
                                 "aridec_mass", "aridec_buried"])  # fmt: skip
def test_shuffled_values_leave_nothing_to_explain(shuffled: Validation, key: str) -> None:
    result = shuffled.result(key)
    assert result is not None
    assert result.score.r2 is not None
    assert result.score.r2 < 0.03
    assert result.score.efficiency is not None
    assert result.score.efficiency < 0.05


def test_nothing_is_learnt_from_shuffled_values(shuffled: Validation) -> None:
    result = shuffled.result("learning")
    assert result is not None
    assert result.score.r2 is not None
    assert result.score.r2 < 0.1  # sets are shuffled one by one, so their means still differ
    assert result.score.efficiency is not None
    assert result.score.efficiency < 0.0


def test_files_that_are_not_there_are_named_and_skipped(shuffled: Validation) -> None:
    assert {one.key: one.file for one in shuffled.missing} == {
        "incubation_q10": "incubation_sidb_series.csv",
        "soil_temperature": "soil_uscrn_*.csv",
        "soil_water": "soil_uscrn_*.csv",
        "rothc": "rothc_*_input.csv",
    }


def test_part_of_the_sites_can_be_run_alone(shared_data: Path, tmp_path: Path) -> None:
    lines = (shared_data / "litter_lidet.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    kept = [line for line in lines if line.startswith(("#", "series_id")) or ",KBS," in line or ",BCI," in line]
    (tmp_path / "litter_lidet.csv").write_text("".join(kept), encoding="utf-8")
    result = validate_model(tmp_path, only="lidet_mass").sets[0]
    assert {one.group for one in result.groups} == {"BCI", "KBS"}


def test_a_set_nobody_knows_and_a_folder_that_is_not_there_are_both_told(tmp_path: Path) -> None:
    with pytest.raises(InputFault) as told:
        validate_model(tmp_path / "nowhere", only="moon_dust")
    assert {fault.place for fault in told.value.faults} == {"--data", "--set"}


def test_a_table_without_a_number_it_needs_is_refused(shared_data: Path, tmp_path: Path) -> None:
    text = (
        (shared_data / "nitrogen_rye_residue.csv").read_text(encoding="utf-8").replace("10,10,4.11,1,24", "10,10,,1,24")
    )
    (tmp_path / "nitrogen_rye_residue.csv").write_text(text, encoding="utf-8")
    with pytest.raises(InputFault, match="n_pct_dry"):
        validate_model(tmp_path, only="nitrogen_mineralisation")


def test_a_table_without_a_column_is_refused_and_the_column_named(shared_data: Path, tmp_path: Path) -> None:
    text = (shared_data / "litter_cidet.csv").read_text(encoding="utf-8").replace("series_id,site,", "series_id,place,")
    (tmp_path / "litter_cidet.csv").write_text(text, encoding="utf-8")
    with pytest.raises(InputFault, match=r"no column 'site'"):
        validate_model(tmp_path, only="cidet_mass")


@pytest.mark.parametrize("name", ["litter_lidet.csv", "litter_cidet.csv", "litter_aridec_series.csv",
                                  "field_green_mulch.csv", "nitrogen_rye_residue.csv"])  # fmt: skip
def test_a_table_without_rows_is_told_to_hold_nothing(shared_data: Path, tmp_path: Path, name: str) -> None:
    for one in {name, "litter_aridec.csv"} if "aridec" in name else {name}:
        lines = (shared_data / one).read_text(encoding="utf-8").splitlines()
        head = next(line for line in lines if not line.startswith("#"))
        (tmp_path / one).write_text(head + "\n", encoding="utf-8")
    found = validate_model(tmp_path, members=20)
    assert not found.sets
    assert any(one.there for one in found.missing)


def test_a_litter_without_lignin_is_given_that_of_leaves(shared_data: Path, tmp_path: Path) -> None:
    lines = (shared_data / "litter_lidet.csv").read_text(encoding="utf-8").splitlines()
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    with (tmp_path / "litter_lidet.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows({**row, "lignin_pct0": ""} for row in rows[:60])
    assert validate_model(tmp_path, only="lidet_mass", members=20).sets[0].score.n == 60


def test_the_command_prints_scores_and_writes_only_under_its_report(
    shared_data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    command: Callable[[], None]
    from mullbed.cli.main import run as command

    monkeypatch.chdir(tmp_path)
    words = ["mullbed", "validate", "--data", str(shared_data), "--set", "nitrogen_mineralisation", "--json"]
    monkeypatch.setattr("sys.argv", [*words, "--report", "scores"])
    with pytest.raises(SystemExit) as ended:
        command()
    assert ended.value.code in (0, None)
    document = json.loads(capsys.readouterr().out)
    entry = document["nitrogen_mineralisation"]
    assert {"n", "rmse", "bias", "r2", "coverage80", "coverage90", "crps", "sign_right"} <= set(entry)
    assert entry["n"] == 48
    assert [path.name for path in tmp_path.iterdir()] == ["scores"]
    assert {path.name for path in (tmp_path / "scores").iterdir()} == {
        "VALIDATION.md", "nitrogen_mineralisation.svg", "scores.json",
    }  # fmt: skip
    assert json.loads((tmp_path / "scores" / "scores.json").read_text(encoding="utf-8")) == document
