"""The documents: the schema beside the page holds them, a missing number is null."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from season_sample import BALANCE, CHECK, FIRST, GARDEN, PLAN, PLANNED

from mullbed.domain.forecast import Band
from mullbed.domain.spread import Evidence, Spread
from mullbed.reports.json_documents import check_document, forecast_document, layer_document, plan_document, rendered

jsonschema = pytest.importorskip("jsonschema")
SCHEMAS = Path(__file__).parents[3] / "docs" / "reference"
RATIO = Spread(18.0, 24.0, 31.0, "1", Evidence.WORKED_OUT)

DOCUMENTS: dict[str, Any] = {
    "check": lambda: check_document(CHECK),
    "layer": lambda: layer_document(PLANNED[0], carbon_to_nitrogen=RATIO, traded=["a"], cautions_on=FIRST),
    "forecast": lambda: forecast_document(PLAN.forecasts, BALANCE),
    "plan": lambda: plan_document(PLAN, GARDEN),
}


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_document_keeps_to_its_schema(name: str) -> None:
    schema = json.loads((SCHEMAS / f"{name}.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    document = json.loads(rendered(DOCUMENTS[name]()))
    jsonschema.Draft202012Validator(schema).validate(document)
    document.pop(next(iter(document)))
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(schema).validate(document)


def test_missing_numbers_are_null_and_never_nan() -> None:
    wall = PLAN.forecasts["Wall"]
    holes = np.full(wall.crop_want.size, np.nan)
    broken = replace(wall, series={**wall.series, "moisture": Band(holes, holes, holes)})
    text = rendered(forecast_document({"Wall": broken}, BALANCE))
    assert "NaN" not in text
    assert json.loads(text)["beds"]["Wall"]["moisture"]["p50"][0] is None


def test_a_layer_is_as_thick_as_its_lifts_together() -> None:
    for layer in plan_document(PLAN, GARDEN)["layers"]:  # type: ignore[attr-defined]
        assert layer["thickness_mm"] == sum(lift["thickness_mm"] for lift in layer["lifts"])


def test_lifts_are_listed_from_the_soil_up_and_every_layer_says_why() -> None:
    layers = plan_document(PLAN, GARDEN)["layers"]
    assert [lift["residue"] for lift in layers[0]["lifts"]] == ["grass_clip", "leaf_shredded"]  # type: ignore[index]
    assert all(layer["why"] for layer in layers)  # type: ignore[attr-defined]


def test_a_season_is_given_in_kilograms_a_hectare() -> None:
    season = check_document(CHECK)["season"]
    assert season["nitrogen_kg_ha"]["mid"] == pytest.approx(7360.0)  # type: ignore[index]  # known: 736 g m-2


def test_shares_at_the_top_are_the_mean_over_beds() -> None:
    document = forecast_document(PLAN.forecasts, BALANCE)
    assert document["spread_by"]["weather"] == pytest.approx(0.35)  # type: ignore[index]
