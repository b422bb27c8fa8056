"""Three seasons of an invented trial: sized, drawn, locked, read with a lost plot, analysed, verdict told."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from mullbed.cli import main

TRIAL = """
name = "Layers or bare, beans"
question = "Do thin layers give more beans than bare soil with the same nitrogen?"
arrangement = "paired strips"
fairness = "same nitrogen laid"
blocks = 8
control = "B"
worthwhile = 0.2
seed = 12
seasons = 3
beds = ["North 1", "North 2", "North 3", "North 4", "South 1", "South 2", "South 3", "South 4"]

[[treatments]]
code = "A"
way = "layers as planned"

[[treatments]]
code = "B"
way = "bare with the same nitrogen"

[[measures]]
key = "harvest"

[[measures]]
key = "worms"
"""


def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, *words: str) -> tuple[int, str, str]:
    """Run the command line in this process."""
    monkeypatch.setattr("sys.argv", ["mullbed", *words])
    with pytest.raises(SystemExit) as ended:
        main.run()
    shown = capsys.readouterr()
    return int(ended.value.code or 0), shown.out, shown.err


@pytest.fixture
def mullbed(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Callable[..., tuple[int, str, str]]:
    """Return a function that runs the command line."""
    return lambda *words: run(capsys, monkeypatch, *words)


def fill_in(folder: Path, effect: float) -> Path:
    """Write three seasons of readings, two pickings a plot and one lost plot, as the table of plots asks for them."""
    plan = json.loads((folder / "trial.json").read_text(encoding="utf-8"))["plan"]
    generator = np.random.default_rng(8)
    ground = {plot["block"]: generator.normal(scale=0.15) for plot in plan["plots"]}
    own = {plot["code"]: generator.normal(scale=0.08) for plot in plan["plots"]}
    path = folder / "readings.csv"
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, delimiter=";")
        writer.writerow(["Parcel", "measure", "season", "value"])
        for season, level in (("2027", 2.0), ("2028", 2.4), ("2029", 1.7)):
            for plot in plan["plots"]:
                if (plot["code"], season) == ("P05", "2028"):
                    writer.writerow([plot["code"], "harvest", season, "lost"])
                    continue
                mean = level * (
                    1 + (effect if plot["treatment"] == "A" else 0) + ground[plot["block"]] + own[plot["code"]]
                )
                for _ in range(2):
                    value = mean * (1 + generator.normal(scale=0.05))
                    writer.writerow([plot["code"], "harvest", season, f"{value:.3f}".replace(".", ",")])
    return path


def test_a_trial_of_three_seasons_from_question_to_verdict(
    tmp_path: Path, mullbed: Callable[..., tuple[int, str, str]]
):
    written = tmp_path / "trial.toml"
    written.write_text(TRIAL, encoding="utf-8")
    folder = tmp_path / "drawn"
    code, out, _ = mullbed("trial", "lay-out", str(written), "--out", str(folder))
    assert code == 0
    assert "Eight pairs show" in out
    assert "Not locked yet" in out
    drawn = folder / "trial.json"
    assert (folder / "sheets.pdf").read_bytes().startswith(b"%PDF")
    with (folder / "plots.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert len(rows) == 32  # known: 16 plots, two measures
    assert "layers" not in (folder / "plots.csv").read_text(encoding="utf-8")  # blind

    code, out, err = mullbed("trial", "note", str(drawn), "--what", "watered pair 3", "--why", "a hose burst")
    assert code == 2 and "open plan" in err

    assert mullbed("trial", "lock", str(drawn))[0] == 0
    code, _, err = mullbed("trial", "lock", str(drawn))
    assert code == 2 and "locked on" in err
    assert (
        mullbed(
            "trial", "note", str(drawn), "--what", "watered pair 3", "--why", "a hose burst", "--day", "2028-06-02"
        )[0]
        == 0
    )

    readings = fill_in(folder, effect=0.35)
    page = tmp_path / "report.html"
    code, out, _ = mullbed("trial", "analyse", str(drawn), str(readings), "--column", "plot=Parcel", "--out", str(page))
    assert code == 0
    assert out.startswith("A real difference")
    assert "Changed after locking, on 2 June: watered pair 3, because a hose burst." in out.replace("\n", " ")
    assert "P05, 2028" in out
    assert "3 seasons with a random plot effect" in " ".join(out.split())
    assert "<svg" in page.read_text(encoding="utf-8")

    code, out, _ = mullbed("trial", "analyse", str(drawn), str(readings), "--column", "plot=Parcel", "--json")
    found = json.loads(out)
    contrast = found["measures"][0]["contrasts"][0]
    assert found["verdict"] == "a real difference"
    assert found["locked"] and found["seal_holds"]
    assert contrast["degrees_of_freedom"] == 7  # pairs less one, not readings
    assert contrast["relative_interval"][0] < 0.35 < contrast["relative_interval"][1]
    assert contrast["p_permutation"] >= contrast["p_permutation_floor"]
    assert [one["measure"] for one in found["measures"]] == ["harvest"]  # worms were not read

    tampered = json.loads(drawn.read_text(encoding="utf-8"))
    tampered["plan"]["worthwhile"] = 0.05
    drawn.write_text(json.dumps(tampered), encoding="utf-8")
    _, out, _ = mullbed("trial", "analyse", str(drawn), str(readings), "--column", "plot=Parcel")
    assert "is not what was locked" in out


def test_faults_of_a_trial_file_and_of_readings_are_told_at_once(
    tmp_path: Path, mullbed: Callable[..., tuple[int, str, str]]
):
    bad = tmp_path / "bad.toml"
    bad.write_text('name = "x"\narrangement = "rows"\nblocks = 1\n[[measures]]\nkey = "shine"\n', encoding="utf-8")
    code, _, err = mullbed("trial", "lay-out", str(bad))
    assert code == 2
    assert all(word in err for word in ("question", "rows", "blocks", "control", "worthwhile", "shine", "fairness"))

    good = tmp_path / "trial.toml"
    good.write_text(TRIAL, encoding="utf-8")
    folder = tmp_path / "drawn"
    mullbed("trial", "lay-out", str(good), "--out", str(folder))
    table = tmp_path / "readings.csv"
    table.write_text("plot,measure,value\nP99,harvest,2\nP01,harvest,much\n", encoding="utf-8")
    code, _, err = mullbed("trial", "analyse", str(folder / "trial.json"), str(table))
    assert code == 2 and "much" in err
    table.write_text("plot,measure,value\nP99,harvest,2\n", encoding="utf-8")
    code, _, err = mullbed("trial", "analyse", str(folder / "trial.json"), str(table))
    assert code == 2 and "P99" in err


def test_a_spreadsheet_reads_as_the_same_table(tmp_path: Path, mullbed: Callable[..., tuple[int, str, str]]):
    from openpyxl import Workbook

    written = tmp_path / "trial.toml"
    written.write_text(TRIAL, encoding="utf-8")
    folder = tmp_path / "drawn"
    mullbed("trial", "lay-out", str(written), "--out", str(folder))
    table = fill_in(folder, effect=0.1)
    book = Workbook()
    with table.open(encoding="utf-8", newline="") as stream:
        for row in csv.reader(stream, delimiter=";"):
            book.active.append([float(cell.replace(",", ".")) if "," in cell else cell for cell in row])
    book.save(folder / "readings.xlsx")
    words = ("trial", "analyse", str(folder / "trial.json"))
    by_text = mullbed(*words, str(table), "--column", "plot=Parcel", "--json")[1]
    by_sheet = mullbed(*words, str(folder / "readings.xlsx"), "--column", "plot=Parcel", "--json")[1]
    assert json.loads(by_text) == json.loads(by_sheet)


def test_the_size_of_a_trial_is_told_as_fractions(mullbed: Callable[..., tuple[int, str, str]]):
    code, out, _ = mullbed("trial", "power", "--pairs", "4", "--cv", "20%", "--json")
    assert code == 0
    found = json.loads(out)
    assert found["detectable"] == pytest.approx(0.50, abs=0.006)  # derived table of pairs
    assert (found["power"], found["alpha"]) == (pytest.approx(0.8, abs=1e-6), 0.05)
    code, out, _ = mullbed("trial", "power", "--pairs", "8", "--cv", "20", "--correlation", "1.5")
    assert code == 2


def test_field_checks_are_scored_from_the_command_line(mullbed: Callable[..., tuple[int, str, str]]):
    code, out, _ = mullbed("ground", "infiltration", "--bore", "6 in", "180", "180", "180", "--json")
    assert code == 0 and json.loads(out)["value"] == pytest.approx(20.0)
    code, out, _ = mullbed("ground", "nitrate", "50", "--strip", "nitrate", "--json")
    assert json.loads(out)["value"] == pytest.approx(11.3)
    assert mullbed("ground", "nitrate", "50")[0] == 2
    code, out, _ = mullbed("ground")
    assert "worms" in out
