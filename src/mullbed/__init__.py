"""Mullbed: build garden soil in place with thin layers of soft fresh and dry residues.

The names below are all of the public interface; docs/howto/use-from-python.md shows them at work. Each is loaded when
it is first asked for, so that importing the package costs next to nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mullbed.domain.daily_weather import DailyWeather
    from mullbed.domain.diagnosis import Diagnosis
    from mullbed.domain.forecast import BedForecast
    from mullbed.domain.garden import Garden
    from mullbed.domain.mix import MixCheck
    from mullbed.domain.season_plan import SeasonPlan
    from mullbed.domain.signing import Signature, Where
    from mullbed.domain.spread import Evidence, Spread
    from mullbed.errors import Fault, InputFault, MullbedError, NoPlan, NotFound
    from mullbed.files.demo_garden import demo_garden
    from mullbed.files.garden_file import read_garden
    from mullbed.reports.forecast_dataset import dataset_of_forecasts
    from mullbed.usecases.check_mix import check_mix
    from mullbed.usecases.create_garden import create_garden
    from mullbed.usecases.diagnose_bed import diagnose_bed
    from mullbed.usecases.forecast_garden import GardenForecast, forecast_garden
    from mullbed.usecases.list_cautions import list_cautions
    from mullbed.usecases.list_crops import list_crops
    from mullbed.usecases.list_in_hand import list_in_hand
    from mullbed.usecases.list_residues import list_residues
    from mullbed.usecases.make_season_plan import MadePlan, make_season_plan
    from mullbed.usecases.preview_layer import preview_layer
    from mullbed.usecases.show_bed import show_bed
    from mullbed.usecases.walk_round import walk_round
    from mullbed.weather.daily_file import read_daily_weather
    from mullbed.weather.weather_dataset import station_text, weather_of_dataset

__all__ = [
    "BedForecast",
    "DailyWeather",
    "Diagnosis",
    "Evidence",
    "Fault",
    "Garden",
    "GardenForecast",
    "InputFault",
    "MadePlan",
    "MixCheck",
    "MullbedError",
    "NoPlan",
    "NotFound",
    "SeasonPlan",
    "Signature",
    "Spread",
    "Where",
    "check_mix",
    "create_garden",
    "dataset_of_forecasts",
    "demo_garden",
    "diagnose_bed",
    "forecast_garden",
    "list_cautions",
    "list_crops",
    "list_in_hand",
    "list_residues",
    "make_season_plan",
    "preview_layer",
    "read_daily_weather",
    "read_garden",
    "show_bed",
    "station_text",
    "walk_round",
    "weather_of_dataset",
]

_PLACES = {
    "BedForecast": "mullbed.domain.forecast",
    "DailyWeather": "mullbed.domain.daily_weather",
    "Diagnosis": "mullbed.domain.diagnosis",
    "Evidence": "mullbed.domain.spread",
    "Fault": "mullbed.errors",
    "Garden": "mullbed.domain.garden",
    "GardenForecast": "mullbed.usecases.forecast_garden",
    "InputFault": "mullbed.errors",
    "MadePlan": "mullbed.usecases.make_season_plan",
    "MixCheck": "mullbed.domain.mix",
    "MullbedError": "mullbed.errors",
    "NoPlan": "mullbed.errors",
    "NotFound": "mullbed.errors",
    "SeasonPlan": "mullbed.domain.season_plan",
    "Signature": "mullbed.domain.signing",
    "Spread": "mullbed.domain.spread",
    "Where": "mullbed.domain.signing",
    "check_mix": "mullbed.usecases.check_mix",
    "create_garden": "mullbed.usecases.create_garden",
    "dataset_of_forecasts": "mullbed.reports.forecast_dataset",
    "demo_garden": "mullbed.files.demo_garden",
    "diagnose_bed": "mullbed.usecases.diagnose_bed",
    "forecast_garden": "mullbed.usecases.forecast_garden",
    "list_cautions": "mullbed.usecases.list_cautions",
    "list_crops": "mullbed.usecases.list_crops",
    "list_in_hand": "mullbed.usecases.list_in_hand",
    "list_residues": "mullbed.usecases.list_residues",
    "make_season_plan": "mullbed.usecases.make_season_plan",
    "preview_layer": "mullbed.usecases.preview_layer",
    "read_daily_weather": "mullbed.weather.daily_file",
    "read_garden": "mullbed.files.garden_file",
    "show_bed": "mullbed.usecases.show_bed",
    "station_text": "mullbed.weather.weather_dataset",
    "walk_round": "mullbed.usecases.walk_round",
    "weather_of_dataset": "mullbed.weather.weather_dataset",
}


def __getattr__(name: str) -> object:
    """Load a public name when it is first asked for."""
    if name not in _PLACES:
        raise AttributeError(f"module 'mullbed' has no attribute {name!r}")
    from importlib import import_module

    found: object = getattr(import_module(_PLACES[name]), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    """Return the public names."""
    return sorted(__all__)
