"""Published field cases of soft residue on soil: what the model predicts for each, by the shared moisture driver."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mullbed.evidence.forcing import Climate, daily_weather, drive, half_range_of_latitude
from mullbed.evidence.litter import Chemistry, course
from mullbed.evidence.open_tables import Row, value

SEEDS = range(1, 7)
CROP, CROP_COVER = 0.6, 0.5


@dataclass(frozen=True, slots=True)
class FieldCase:
    """One value seen and the model's."""

    case: str
    source: str
    quantity: str
    seen: float
    low: float | None
    """The value is at or above this where only a bound was published."""
    high: float | None
    predicted: float
    nitrogen: float
    day: int

    @property
    def error(self) -> float:
        """Predicted less seen; zero inside a bound that is kept."""
        if self.low is None and self.high == self.seen:
            return max(0.0, self.predicted - self.seen)
        if self.high is None and self.low == self.seen:
            return min(0.0, self.predicted - self.seen)
        return self.predicted - self.seen


def field_cases(rows: list[Row], record: NDArray[np.float64] | None = None) -> list[FieldCase]:
    """Return the surface cases of mass and nitrogen left, predicted with middle parameters or a given record."""
    cases = []
    for row in rows:
        seen, nitrogen, day = value(row, "value"), value(row, "n_pct"), value(row, "day")
        if row["placement"] != "surface" or row["quantity"] not in ("mass_remaining", "n_remaining"):
            continue
        if seen is None or day is None:
            continue
        ratio = value(row, "cn")
        nitrogen = nitrogen if nitrogen is not None else 43.0 / (ratio or 20.0)
        lignin = value(row, "lignin_pct")
        chemistry = Chemistry(
            nitrogen, lignin if lignin is not None else (5.0 if nitrogen >= 2.0 else 8.0), 43.0,
            openness=0.5 if row["fresh_or_dried"] == "fresh" else 1.0,
        )
        found = [_predict(row, chemistry, int(day), seed, record) for seed in SEEDS]
        cases.append(FieldCase(
            row["case_id"], row["source_key"], row["quantity"], seen, value(row, "low"), value(row, "high"),
            float(np.mean(found)), nitrogen, int(day),
        ))
    return cases


def _predict(row: Row, chemistry: Chemistry, day: int, seed: int, record: NDArray[np.float64] | None) -> float:
    latitude = value(row, "lat")
    latitude = 20.0 if latitude is None else latitude
    temperature = value(row, "mean_temp_c")
    rain = value(row, "rain_mm")
    climate = Climate(
        20.0 if temperature is None else temperature, half_range_of_latitude(latitude) if day > 300 else 0.0,
        3.5 if rain is None else rain / day, latitude,
    )
    driven = drive(daily_weather(climate, seed), CROP, CROP_COVER)
    month = value(row, "start_month")
    month = (5.0 if latitude >= 0 else 11.0) if month is None else month
    days = (round((month - 1) * 365.0 / 12.0 + 14) + np.arange(day)) % 365
    left = course(chemistry, driven.surface[days], driven.passing[days], record=record)
    return float((left.carbon if row["quantity"] == "mass_remaining" else left.nitrogen)[-1])
