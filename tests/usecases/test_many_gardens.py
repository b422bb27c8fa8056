"""Many gardens as blocks of one trial, joined from files that name nobody; and a trial kept in the record."""

from __future__ import annotations

import json
import os
from dataclasses import replace
from datetime import UTC, date, datetime
from importlib.resources import files
from pathlib import Path

import jsonschema
import numpy as np
import pytest

from mullbed.cli import main
from mullbed.domain.signing import Signature, Where
from mullbed.errors import InputFault
from mullbed.usecases import keep_trial as trials
from mullbed.usecases.create_garden import create_garden
from mullbed.usecases.join_trials import join_trials
from mullbed.usecases.log_line import Line, log_hours

SCHEMA = Path(__file__).resolve().parents[2] / "docs" / "reference" / "trial.schema.json"
WAYS = ("layers as planned", "bare with the same nitrogen")


def signed(day: date = date(2027, 3, 1), author: str = "Ada Thornapple") -> Signature:
    moment = datetime(day.year, day.month, day.day, 8, tzinfo=UTC)
    return Signature(author, moment, day, lambda: os.urandom(10))


@pytest.fixture(scope="module")
def garden(tmp_path_factory: pytest.TempPathFactory) -> Where:
    """Return a record that holds the demo garden and one trial, read with a lost plot."""
    where = Where(str(tmp_path_factory.mktemp("many") / "record.sqlite"))
    demo = Path(str(files("mullbed.files").joinpath("demo/garden.toml")))
    create_garden(demo, where, replace(signed(), now=datetime(2026, 3, 1, tzinfo=UTC)))
    design = trials.plan_ahead(
        "Our beans", "More beans?", WAYS, WAYS[1], "same nitrogen laid", 4, ["harvest", "worms"], 0.2, 7,
        beds=["Gate Bed", "Garlic Bed"],
    )  # fmt: skip
    trials.keep_plan(where, signed(), design.plan)
    trials.lock_kept(where, signed(), "Our beans")
    plots = {plot.code: "2.9" if plot.treatment == "A" else "2.0" for plot in design.plan.plots}
    plots["P01"] = "lost"
    plots["P02"] = plots["P02"] + " 2.2"
    trials.keep_readings(where, signed(date(2027, 7, 1)), "Our beans", "harvest", plots)
    log_hours(Line(where, signed(date(2027, 7, 2))), "weeding", 90.0, bed="Gate Bed")
    return where


def other_garden(path: Path, own: str, number: int, control: float, layers: float, **more: object) -> Path:
    """Write another garden's file like ours, with its own means."""
    plain = json.loads(own)
    plain["values"] = [
        {"measure": "harvest", "season": f"{2025 + number % 3}", "treatment": code, "mean": mean, "plots": 1}
        for code, mean in (("A", layers), ("B", control))
    ]
    target = path / f"garden-{number}.json"
    target.write_text(json.dumps(plain | more), encoding="utf-8")
    return target


def test_what_is_passed_on_names_nobody_and_nothing(garden: Where):
    text = trials.passed_on(garden, "Our beans")
    for word in ("Ada", "Thornapple", "Gate", "Garlic", "Our beans", "2027-0", "P01"):
        assert word not in text, word
    plain = json.loads(text)
    assert plain["locked"] and plain["seal_held"] and plain["hours"] == 1.5
    means = {one["treatment"]: one["mean"] for one in plain["values"]}
    assert set(means) == {"A", "B"} and means["A"] > means["B"]


def test_gardens_are_blocks_and_agree_with_students_paired_t(garden: Where, tmp_path: Path):
    from scipy.stats import ttest_rel

    generator = np.random.default_rng(11)
    level = generator.normal(2.0, 0.5, size=8)
    control, layers = level + generator.normal(0, 0.15, 8), level + 0.5 + generator.normal(0, 0.15, 8)
    own = trials.passed_on(garden, "Our beans")
    paths = [other_garden(tmp_path, own, k, float(control[k]), float(layers[k])) for k in range(8)]
    strange = json.loads(own) | {"fairness": "same residues at the start"}
    odd = tmp_path / "odd.json"
    odd.write_text(json.dumps(strange), encoding="utf-8")
    found = join_trials([*paths, odd])
    oracle = ttest_rel(layers, control)
    contrast = found.outcome.result.primary.contrasts[0]
    assert found.gardens == 8
    assert contrast.degrees == 7  # gardens less one, whatever each repeated at home
    assert contrast.statistic == pytest.approx(oracle.statistic)
    assert contrast.chance == pytest.approx(oracle.pvalue)
    assert found.left_out == ("I: fair means there: same residues at the start",)
    assert len(found.work) == 8 and found.work[0].hours == 1.5
    assert found.outcome.locked


def test_a_garden_that_did_not_lock_is_told_and_a_file_that_is_none_is_refused(garden: Where, tmp_path: Path):
    own = trials.passed_on(garden, "Our beans")
    paths = [other_garden(tmp_path, own, k, 2.0 + 0.1 * k, 2.6 + 0.12 * k) for k in range(3)]
    paths.append(other_garden(tmp_path, own, 3, 2.2, 2.9, locked=False, changed=2))
    found = join_trials(paths)
    assert not found.outcome.locked
    assert any("1 of 4 gardens did not lock" in one for one in found.outcome.seen)
    bad = tmp_path / "bad.json"
    bad.write_text('{"format": "other"}', encoding="utf-8")
    worse = tmp_path / "worse.json"
    worse.write_text("not JSON", encoding="utf-8")
    with pytest.raises(InputFault) as told:
        join_trials([*paths, bad, worse])
    assert "bad.json" in str(told.value) and "worse.json" in str(told.value)
    with pytest.raises(InputFault, match="fit together"):
        join_trials(paths[:1])


def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, *words: str) -> tuple[int, str, str]:
    monkeypatch.setattr("sys.argv", ["mullbed", *words])
    with pytest.raises(SystemExit) as ended:
        main.run()
    shown = capsys.readouterr()
    return int(ended.value.code or 0), shown.out, shown.err


def test_a_kept_trial_is_read_judged_passed_on_and_joined_from_the_command_line(
    garden: Where, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    def mullbed(*words: str) -> tuple[int, str, str]:
        return run(capsys, monkeypatch, *words)

    monkeypatch.setenv("MULLBED_RECORD", str(garden.record))
    assert "Our beans" in mullbed("trial", "kept")[1]
    code, out, err = mullbed("trial", "read", "Our beans", "harvest", "P99=2", "P02")
    assert code == 2 and "P02" in err
    code, out, err = mullbed("trial", "read", "Our beans", "harvest", "P99=2")
    assert code == 2 and "P99" in err
    code, out, _ = mullbed("trial", "kept", "Our beans", "--out", str(tmp_path / "ours.pdf"), "--json")
    assert code == 0 and json.loads(out)["measures"][0]["lost"] == ["P01"]
    assert (tmp_path / "ours.pdf").read_bytes().startswith(b"%PDF")
    assert mullbed("trial", "kept", "Our beans", "--changed", "hoed pair 2")[0] == 2  # why is missing
    code, out, _ = mullbed("trial", "kept", "Our beans", "--changed", "hoed pair 2", "--because", "a visitor", "--json")
    assert json.loads(out)["deviations"][0]["why"] == "a visitor"
    ours = tmp_path / "ours.json"
    assert mullbed("trial", "pass-on", "Our beans", "--out", str(ours))[0] == 0
    own = ours.read_text(encoding="utf-8")
    rest = [other_garden(tmp_path, own, k, 2.0 + 0.1 * k, 2.8 + 0.11 * k) for k in range(5)]
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    for words in (("kept", "Our beans"), ("join", str(ours), *map(str, rest))):
        jsonschema.validate(json.loads(mullbed("trial", *words, "--json")[1]), schema)
    code, out, _ = mullbed("trial", "join", str(ours), *map(str, rest), "--out", str(tmp_path / "many.html"))
    assert code == 0 and out.startswith("Six gardens joined, each as one block")
    assert "Hours and kilograms" in (tmp_path / "many.html").read_text(encoding="utf-8")
    code, out, _ = mullbed("show", "before-after", "Gate Bed", "--out", str(tmp_path / "sheets"), "--json")
    assert code == 0 and json.loads(out)["hours"] == 1.5
    assert (tmp_path / "sheets" / "before-after.pdf").read_bytes().startswith(b"%PDF")


def test_three_seasons_kept_in_the_record_from_tables_end_in_a_verdict(garden: Where, tmp_path: Path):
    design = trials.plan_ahead(
        "Three years", "More beans?", WAYS, WAYS[1], "same nitrogen laid", 6, ["harvest"], 0.2, 21, seasons=3
    )
    trials.keep_plan(garden, signed(), design.plan)
    table = tmp_path / "readings.csv"
    generator = np.random.default_rng(5)
    own = {plot.code: generator.normal(scale=0.1) for plot in design.plan.plots}
    ground = {plot.block: generator.normal(scale=0.2) for plot in design.plan.plots}
    lines = ["Parcel;value;season;day"]
    for year, level in (("2027", 2.0), ("2028", 2.6), ("2029", 1.6)):
        for plot in design.plan.plots:
            mean = level * (1 + (0.4 if plot.treatment == "A" else 0.0) + ground[plot.block] + own[plot.code])
            values = [mean * (1 + generator.normal(scale=0.05)) for _ in range(2)]
            if (plot.code, year) == ("P04", "2028"):
                lines.append(f"{plot.code};lost;{year};{year}-07-01")
                continue
            for day, value in enumerate(values, start=1):
                lines.append(f"{plot.code};{value:.3f};{year};{year}-07-0{day}".replace(".", ","))
    table.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(InputFault, match="not locked"):
        trials.keep_table(garden, signed(), "Three years", table, columns={"plot": "Parcel"}, measure="harvest")
    trials.lock_kept(garden, signed(), "Three years")
    late = signed(date(2029, 8, 1))
    kept = trials.keep_table(garden, late, "Three years", table, columns={"plot": "Parcel"}, measure="harvest")
    assert len(kept) == 71  # known: 12 plots, 3 seasons, 2 days, less the second day of the lost plot
    assert not trials.keep_table(garden, late, "Three years", table, columns={"plot": "Parcel"}, measure="harvest")
    trials.note_on_kept(garden, late, "Three years", "watered pair 3", "a hose burst", date(2028, 6, 2))
    outcome = trials.show_trial(garden, "Three years").outcome
    assert outcome is not None and outcome.locked and outcome.seal_holds
    primary = outcome.result.primary
    assert primary.lost == ("P04, 2028",)
    assert primary.contrasts[0].degrees == 5  # pairs less one, whatever the seasons
    assert primary.verdict.value == "a real difference"
    assert primary.season_chance is not None
    assert 3.2 < primary.contrasts[0].control_mean < 5.2  # two pickings a season, added up
    assert [one.what for one in outcome.result.deviations] == ["watered pair 3"]
    assert not any("seasons" in one for one in outcome.seen)
    bad = tmp_path / "bad.csv"
    bad.write_text("plot,measure,value\nP99,harvest,2\nP01,shine,2\n", encoding="utf-8")
    with pytest.raises(InputFault) as told:
        trials.keep_table(garden, late, "Three years", bad)
    assert "P99" in str(told.value) and "shine" in str(told.value)
