"""A forecast as an open table: one row a bed and day, low, middle and high of every series."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from datetime import timedelta
from io import StringIO
from math import isfinite

from mullbed.domain.forecast import BedForecast

_UNITS = {
    "thickness": "m", "moisture": "1", "layer_temperature": "Cel", "soil_temperature": "Cel",
    "mineral_nitrogen": "g/m2", "net_nitrogen": "g/m2", "ammonia_lost": "g/m2", "leached": "g/m2",
    "cover": "1", "soil_nitrogen": "g/m2", "weekly_nitrogen": "g/m2",
}  # fmt: skip


def forecast_csv(forecasts: Mapping[str, BedForecast]) -> str:
    """Return every series by bed and day; an empty cell is a missing number."""
    text = StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    names = list(dict.fromkeys(name for forecast in forecasts.values() for name in forecast.series))
    header = [f"{name}_{part} [{_UNITS.get(name, '1')}]" for name in names for part in ("p10", "p50", "p90")]
    writer.writerow(["bed", "date", *header])
    for bed, forecast in forecasts.items():
        count = next(iter(forecast.series.values())).p50.size
        for day in range(count):
            row = [bed, (forecast.first_day + timedelta(days=day)).isoformat()]
            for name in names:
                band = forecast.series.get(name)
                values = (band.p10, band.p50, band.p90) if band is not None else ((), (), ())
                row += [f"{float(one[day]):.5g}" if len(one) and isfinite(float(one[day])) else "" for one in values]
            writer.writerow(row)
    return text.getvalue()
