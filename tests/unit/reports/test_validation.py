"""A validation as a table, a page, a document and charts."""

from __future__ import annotations

import json
from xml.etree import ElementTree

import numpy as np
import pytest

from mullbed.domain.validation import (
    CalibrationResult,
    Comparison,
    FittedNumber,
    FoldedSet,
    GroupScore,
    MissingSet,
    Score,
    SetResult,
    Validation,
    Yardstick,
)
from mullbed.reports.terminal_style import Style
from mullbed.reports.validation_charts import set_chart
from mullbed.reports.validation_document import validation_document
from mullbed.reports.validation_folds import calibration_document, calibration_text
from mullbed.reports.validation_report import report_files
from mullbed.reports.validation_table import validation_text
from mullbed.reports.validation_words import coverage_words, figure, set_sentence


def invented(points: int = 60, **scored: float) -> SetResult:
    chance = np.random.default_rng(3)
    seen = chance.random(points)
    groups = tuple("A<B" if number % 2 else "C" for number in range(points))
    compared = Comparison(
        "aridec_surface_green", "Invented & small", "fraction", "study", groups, np.arange(points) * 9.0, seen,
        seen + 0.1, np.clip(seen[:, None] + 0.3 * chance.standard_normal((points, 30)), 0, 1),
        {"rain, mm a year": chance.random(points) * 900},
    )  # fmt: skip
    score = Score(
        points,
        0.1,
        0.1,
        0.9,
        0.8,
        scored.get("held80", 0.8),
        scored.get("held90", 0.9),
        0.05,
        {"rmse_mean_study": 0.12},
    )
    sticks = (
        Yardstick("aridec_surface_green", "reference model", "mean curve", 0.2, 0.01, points, 1, "own"),
        Yardstick("aridec_surface_green", "cross-validated", "our fit", 0.12, 0.0, points, None, "own"),
        Yardstick("aridec_surface_green", "cross-validated reference", "two pools", 0.11, 0.0, points, 6, "own"),
    )
    return SetResult(compared, score, (GroupScore("A<B", score), GroupScore("C", score)), sticks)


def whole(**scored: float) -> Validation:
    return Validation((invented(**scored),), (MissingSet("rothc", "rothc_*_input.csv"),), "0123456789ab", 30, 1)


@pytest.mark.parametrize("plain", [False, True])
def test_every_line_of_the_table_keeps_its_width(plain: bool) -> None:
    text = validation_text(whole(), Style(plain=plain))
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "0123456789ab" in text
    assert "there is no rothc_*_input.csv" in " ".join(text.split())
    assert text.isascii() is plain


def test_a_score_is_held_against_like_with_like() -> None:
    told = set_sentence(invented())
    assert "better than 0.200 of the best reference model fitted on these data" in told
    assert "On places held out: ours 0.120, behind 0.110 of the reference model" in told


@pytest.mark.parametrize(
    ("held80", "held90", "words"),
    [(0.8, 0.9, "hold what they say"), (0.6, 0.7, "too narrow"), (0.97, 0.99, "wider than need be")],
)
def test_bands_are_judged_in_words(held80: float, held90: float, words: str) -> None:
    assert words in coverage_words(invented(held80=held80, held90=held90).score)


def test_the_document_holds_each_set_under_its_key_and_no_number_json_does_not_know() -> None:
    document = validation_document(whole())
    assert document["aridec_surface_green"]["yardsticks"][0]["ours"] == 0.1  # type: ignore[index]
    assert document["missing"] == [{"set": "rothc", "file": "rothc_*_input.csv"}]
    json.dumps(document, allow_nan=False)


@pytest.mark.parametrize("points", [60, 900])
def test_a_chart_is_well_formed_and_says_what_it_shows(points: int) -> None:
    root = ElementTree.fromstring(set_chart(invented(points)))
    texts = [one.text or "" for one in root.iter("{http://www.w3.org/2000/svg}text")]
    assert any("Predicted against seen" in one for one in texts)
    assert any("Values within the bands" in one for one in texts)
    assert any("rain, mm a year" in one for one in texts)
    assert root.find("{http://www.w3.org/2000/svg}desc") is not None


def test_a_report_holds_a_page_scores_and_a_chart_a_set() -> None:
    files = report_files(whole())
    assert set(files) == {"scores.json", "VALIDATION.md", "aridec_surface_green.svg"}
    page = files["VALIDATION.md"]
    assert "(aridec_surface_green.svg)" in page
    assert "| `aridec_surface_green` | 60 | 0.100 |" in page
    assert "- `rothc`: there is no rothc_*_input.csv." in page


@pytest.mark.parametrize(
    ("value", "words"),
    [(None, "–"), (0.1234, "0.123"), (-0.1234, "−0.123"), (8.04, "8.04"), (12.34, "12.3"), (2e-12, "2e-12")],
)  # fmt: skip
def test_figures_count_three_places(value: float | None, words: str) -> None:
    assert figure(value) == words


def test_a_fit_in_folds_shows_numbers_beside_those_in_use() -> None:
    one = invented()
    found = CalibrationResult(
        (FittedNumber("main_rate", 0.0572, 0.05, 0.04, 0.06), FittedNumber("factor of index", None, 0.9, 0.8, 1.0)),
        (FoldedSet(one.comparison, one.score, "two pools", 0.3, 0.31, 0.2),), 5, ("litter_lidet.csv",),
    )  # fmt: skip
    text = calibration_text(found)
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "there is no litter_lidet.csv" in text
    document = calibration_document(found)
    assert document["numbers"]["main_rate"]["in_use"] == 0.0572  # type: ignore[index]
    assert document["sets"]["aridec_surface_green"]["reference_crps"] == 0.2  # type: ignore[index]
