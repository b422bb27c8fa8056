"""Published field cases of soft residue on soil: what the model predicts for each, by the shared moisture driver."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.validation import Comparison
from mullbed.evidence.doubt import Ensemble, draw_ensemble
from mullbed.evidence.forcing import Climate, daily_weather, drive, half_range_of_latitude
from mullbed.evidence.gathering import side_by_side
from mullbed.evidence.litter import LIGNIN, NITROGEN, Chemistry
from mullbed.evidence.open_tables import Row, needed, value
from mullbed.evidence.series import LitterSeries

Array = NDArray[np.float64]

FILE = "field_green_mulch.csv"
SEEDS = range(1, 7)
CROP, CROP_COVER = 0.6, 0.5
#: Doubt of chemistry that was recalled or assumed, as log-sd. [@mullbed_model] section 10
NITROGEN_LOG_SD, LIGNIN_LOG_SD = 0.25, 0.4
#: Openness of tissue laid fresh. [@mullbed_model] eq. 7
FRESH = 0.5


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
    members: Array
    """Shape (members,)."""

    @property
    def error(self) -> float:
        """Predicted less seen; zero inside a bound that is kept."""
        if self.low is None and self.high == self.seen:
            return max(0.0, self.predicted - self.seen)
        if self.high is None and self.low == self.seen:
            return min(0.0, self.predicted - self.seen)
        return self.predicted - self.seen


def compare_field(rows: list[Row], ensemble: Ensemble) -> list[Comparison]:
    """Return mass and nitrogen left of soft residue on the surface; a bound that is kept counts as no error."""
    cases = field_cases(rows, ensemble)
    compared = Comparison(
        key="field_green_mulch",
        title="Soft residue on the soil in the field, mass and nitrogen left",
        unit="fraction of what was laid",
        grouped_by="source",
        groups=tuple(case.source for case in cases),
        days=np.array([float(case.day) for case in cases]),
        seen=np.array([case.seen for case in cases]),
        predicted=np.array([case.predicted for case in cases]),
        members=ensemble.noisy(np.array([case.members for case in cases]), "field", "field_green_mulch"),
        drivers={"nitrogen of the residue, %": np.array([case.nitrogen for case in cases])},
        counts_bounds=True,
        errors=np.array([case.error for case in cases]),
    )
    for quantity, name in (("mass_remaining", "mass"), ("n_remaining", "nitrogen")):
        errors = np.array([case.error for case in cases if case.quantity == quantity])
        compared.further[f"n_{name}"] = float(errors.size)
        if errors.size:
            compared.further[f"rmse_{name}"] = float(np.sqrt(np.mean(errors**2)))
            compared.further[f"bias_{name}"] = float(np.mean(errors))
    return [compared]


def field_cases(rows: list[Row], ensemble: Ensemble | None = None) -> list[FieldCase]:
    """Return the surface cases of mass and nitrogen left, with middle parameters and with members if given."""
    drawn = draw_ensemble(0) if ensemble is None else ensemble
    used = _used(rows)

    def predict(pair: tuple[Row, LitterSeries]) -> FieldCase:
        row, series = pair
        left = series.left(drawn)
        found = (left.carbon if row["quantity"] == "mass_remaining" else left.nitrogen)[:, 0]
        return FieldCase(
            row["case_id"],
            row["source_key"],
            row["quantity"],
            float(series.seen[0]),
            value(row, "low"),
            value(row, "high"),
            float(found[0]),
            series.chemistry.nitrogen,
            int(series.days[0]),
            found[1:],
        )

    return side_by_side(predict, list(zip(used, field_series(used), strict=True)))


def field_series(rows: list[Row]) -> list[LitterSeries]:
    """Return each case as a series of one value, six draws of its weather; nitrogen cases carry it as nitrogen."""
    return side_by_side(_series, _used(rows))


def _used(rows: list[Row]) -> list[Row]:
    return [
        row
        for row in rows
        if row["placement"] == "surface"
        and row["quantity"] in ("mass_remaining", "n_remaining")
        and value(row, "value") is not None
        and value(row, "day")
    ]


def _series(row: Row) -> LitterSeries:
    nitrogen, day = value(row, "n_pct"), round(needed(row, "day"))
    nitrogen = nitrogen if nitrogen is not None else 43.0 / (value(row, "cn") or 20.0)
    lignin = value(row, "lignin_pct")
    latitude = value(row, "lat")
    latitude = 20.0 if latitude is None else latitude
    temperature = value(row, "mean_temp_c")
    rain = value(row, "rain_mm")
    climate = Climate(
        20.0 if temperature is None else temperature,
        half_range_of_latitude(latitude) if day > 300 else 0.0,
        3.5 if rain is None else rain / day,
        latitude,
    )
    driven = [drive(daily_weather(climate, seed, 3), CROP, CROP_COVER) for seed in SEEDS]
    month = value(row, "start_month")
    month = (5.0 if latitude >= 0 else 11.0) if month is None else month
    seen = np.array([needed(row, "value")])
    unsure = ((NITROGEN, NITROGEN_LOG_SD),) if lignin is not None else (
        (NITROGEN, NITROGEN_LOG_SD), (LIGNIN, LIGNIN_LOG_SD),
    )  # fmt: skip
    return LitterSeries(
        name=row["case_id"],
        group=row["source_key"],
        place=f"field {row['source_key']}",
        litter=f"{row['source_key']} {row['residue']}",
        chemistry=Chemistry(
            nitrogen,
            lignin if lignin is not None else (5.0 if nitrogen >= 2.0 else 8.0),
            43.0,
            openness=FRESH if row["fresh_or_dried"] == "fresh" else 1.0,
        ),
        drive=driven[0].on_surface(),
        start=round((month - 1) * 365.0 / 12.0 + 14),
        days=np.array([day]),
        seen=seen,
        known="field",
        nitrogen_seen=seen if row["quantity"] == "n_remaining" else None,
        unsure=unsure,
        further=tuple(one.on_surface() for one in driven[1:]),
    )
