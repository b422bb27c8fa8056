"""Forecasts and observations as the record keeps them: JSON of a forecast's bands, thinned; entries turned back."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import date, timedelta
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.forecast import Band
from mullbed.domain.honesty import KeptForecast
from mullbed.domain.observation import Observation
from mullbed.domain.record import Entry
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import Document
from mullbed.domain.record_seen import Observed
from mullbed.errors import Fault, InputFault

#: Series that are kept: those something can be held against later.
KEPT_SERIES = ("thickness", "moisture", "layer_temperature", "soil_temperature", "mineral_nitrogen", "cover")
#: One day in so many is kept; between them it is even. [d]
EVERY = 3
PERCENTILES = ("p10", "p50", "p90")


def forecast_content(forecast: KeptForecast) -> str:
    """Return a forecast as JSON, from the day it was made on."""
    first = max(0, (forecast.made_on - forecast.first_day).days)
    series = {
        name: {key: _thinned(getattr(band, key)[first:]) for key in PERCENTILES}
        for name, band in forecast.series.items()
        if name in KEPT_SERIES
    }
    return json.dumps(
        {
            "bed": forecast.bed,
            "made_on": forecast.made_on.isoformat(),
            "first_day": (forecast.first_day + timedelta(days=first)).isoformat(),
            "every_days": EVERY,
            "widening": forecast.widening,
            "series": series,
        },
        separators=(",", ":"),
    )


def read_forecast(content: str) -> KeptForecast:
    """Return a kept forecast by day.

    Raises
    ------
    InputFault
        When it is none.
    """
    try:
        told = json.loads(content)
        every = int(told["every_days"])
        series = {
            str(name): Band(*(_daily(percentiles[key], every) for key in PERCENTILES))
            for name, percentiles in told["series"].items()
        }
        made_on, first_day = (date.fromisoformat(told[key]) for key in ("made_on", "first_day"))
        return KeptForecast(str(told["bed"]), made_on, first_day, series, float(told.get("widening", 1.0)))
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        remedy = "Take the entry back; a new forecast is kept the next time."
        raise InputFault([Fault("a kept forecast", f"{error}"[:80], "bands by day as JSON", remedy)]) from error


def kept_forecasts(entries: Iterable[Entry]) -> tuple[KeptForecast, ...]:
    """Return the forecasts among entries; what another program wrote there is left out."""
    found = []
    for entry in entries:
        if entry.kind == Kind.FORECAST and isinstance(entry.facts, Document):
            try:
                found.append(read_forecast(entry.facts.content))
            except InputFault:
                continue
    return tuple(found)


def observations_in(entries: Iterable[Entry]) -> tuple[Observation, ...]:
    """Return what was seen among entries; what was seen on a plot alone is left out, it is not the bed's."""
    return tuple(
        entry.facts.observation(entry.bed, entry.day, entry.id)
        for entry in entries
        if isinstance(entry.facts, Observed) and entry.bed is not None and entry.facts.plot is None
    )


def _thinned(values: NDArray[np.float64]) -> list[float | None]:
    return [float(f"{value:.4g}") if isfinite(value) else None for value in (float(one) for one in values[::EVERY])]


def _daily(values: list[float | None], every: int) -> NDArray[np.float64]:
    known = np.array([np.nan if value is None else float(value) for value in values])
    if not known.size:
        return known
    days = np.arange((known.size - 1) * every + 1)
    return np.asarray(np.interp(days, every * np.arange(known.size), known), dtype=np.float64)
