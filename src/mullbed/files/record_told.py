"""What the record tells a forecast: what was done, read and seen, and what was forecast before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from mullbed.domain.doings import Doings
from mullbed.domain.honesty import KeptForecast
from mullbed.domain.observation import Observation
from mullbed.domain.record import Entry
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_seen import WeatherDay
from mullbed.files.kept_forecast import kept_forecasts, observations_in
from mullbed.files.record_garden import doings_in, weather_in

#: Kinds of entries that are read for it.
TOLD_KINDS = (
    Kind.BATCH,
    Kind.BATCH_DECISION,
    Kind.WEIGHING,
    Kind.LAYER,
    Kind.DRAWN_BACK,
    Kind.WATER,
    Kind.FED,
    Kind.DUG_IN,
    Kind.SEEN,
    Kind.SOIL_TEST,
    Kind.WEATHER,
    Kind.SOWN,
    Kind.HARVEST,
    Kind.FORECAST,
    Kind.CARRIED_OVER,
)


@dataclass(frozen=True, slots=True)
class Told:
    """What the record tells."""

    doings: Doings
    weather: tuple[tuple[date, WeatherDay], ...]
    observations: tuple[Observation, ...]
    forecasts: tuple[KeptForecast, ...]


def told_in(entries: Sequence[Entry]) -> Told:
    """Return what standing entries tell; work counts from the day after the last season was carried over."""
    carried = max((entry.day for entry in entries if entry.kind == Kind.CARRIED_OVER), default=None)
    return Told(doings_in(entries, carried), weather_in(entries), observations_in(entries), kept_forecasts(entries))
