"""Run what lies on a garden's beds forward over the ensemble.

Reads the garden file and its weather, writes nothing. Raises InputFault when either is at fault.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from mullbed.domain.forecast import BedForecast, RelativeBalance
from mullbed.domain.garden import Garden
from mullbed.errors import Fault, InputFault
from mullbed.files.garden_file import read_garden
from mullbed.plan.bed_forecast import after, forecast_of
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.simulate.bed_case import bed_case
from mullbed.simulate.ensemble import draw_members
from mullbed.weather.place_weather import place_weather


@dataclass(frozen=True, slots=True)
class GardenForecast:
    """Forecasts by bed."""

    garden: Garden
    forecasts: dict[str, BedForecast]
    balance: RelativeBalance
    weather: str


def forecast_garden(
    path: Path,
    *,
    bed: str | None = None,
    seed: int = 1,
    members: int = 200,
    progress: Callable[[str], None] = lambda sentence: None,
) -> GardenForecast:
    """Return bands by bed and day from the first to the last day of the garden's season.

    Existing layers are run from the day they were laid.

    Raises
    ------
    InputFault
        When the garden or its weather is at fault, or no bed is called so.
    """
    garden = read_garden(path, needs_supplies=False)
    beds = garden.beds
    if bed is not None:
        found = garden.bed(bed)
        if found is None:
            names = ", ".join(one.name for one in garden.beds)
            raise InputFault([Fault("--bed", f"no bed is called '{bed}'", names, "Choose one of these beds.")])
        beds = (found,)
    oldest = min((layer.day for one in beds for layer in one.layers), default=garden.first_day)
    first = max(min(oldest, garden.first_day), garden.first_day - timedelta(days=730))
    weather = place_weather(garden.site, first, garden.last_day, seed)
    crops, residues = all_crops(), all_residues()
    forecasts: dict[str, BedForecast] = {}
    worst = RelativeBalance(0.0, 0.0, 0.0)
    for number, one in enumerate(beds, start=1):
        progress(f"Running {one.name}, bed {number} of {len(beds)}, {members} times.")
        case = bed_case(one, weather, crops, residues)
        layers = [layer for layer in one.layers if first <= layer.day <= garden.last_day]
        drawn = draw_members(case, members, seed)
        forecast, _ = forecast_of(case, layers, drawn, seed, shares=max(24, members // 4))
        forecasts[one.name] = after(forecast, (garden.first_day - first).days)
        worst = RelativeBalance(
            max(worst.carbon, forecast.balance.carbon),
            max(worst.nitrogen, forecast.balance.nitrogen),
            max(worst.water, forecast.balance.water),
        )
    return GardenForecast(garden, forecasts, worst, weather.source)
