"""Daily weather from an xarray dataset of one place, and back into the text of a station file.

xarray is loaded only here, when it is asked for.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from mullbed.domain.daily_weather import DailyWeather, Series
from mullbed.domain.spread import Evidence
from mullbed.errors import Fault, InputFault

if TYPE_CHECKING:
    import xarray


@dataclass(frozen=True, slots=True)
class Wanted:
    """One series of daily weather: what others call it, and how their units become ours."""

    names: tuple[str, ...]
    """Names in files and CF standard names; the first that is found is taken."""
    units: Mapping[str, tuple[float, float]]
    """Factor and offset by unit."""
    column: str
    """Its column in a station file."""
    needed: bool = False


_DEGREES = {"degc": (1.0, 0.0), "°c": (1.0, 0.0), "celsius": (1.0, 0.0), "c": (1.0, 0.0), "k": (1.0, -273.15),
            "kelvin": (1.0, -273.15), "degf": (5.0 / 9.0, -160.0 / 9.0)}  # fmt: skip
_DEPTH = {"mm": (1.0, 0.0), "mmd-1": (1.0, 0.0), "mm/d": (1.0, 0.0), "mm/day": (1.0, 0.0), "mmday-1": (1.0, 0.0),
          "kgm-2": (1.0, 0.0), "kgm-2d-1": (1.0, 0.0), "kgm-2s-1": (86400.0, 0.0), "m": (1000.0, 0.0)}  # fmt: skip
WANTED: Mapping[str, Wanted] = {
    "low": Wanted(("low", "tmin_c", "tmin", "tasmin", "minimum_air_temperature"), _DEGREES, "tmin_c", True),
    "high": Wanted(("high", "tmax_c", "tmax", "tasmax", "maximum_air_temperature"), _DEGREES, "tmax_c", True),
    "rain": Wanted(
        ("rain", "precip_mm", "pr", "precipitation_amount", "precipitation_flux"), _DEPTH, "precip_mm", True
    ),
    "radiation": Wanted(
        ("radiation", "srad", "rsds", "surface_downwelling_shortwave_flux_in_air"),
        {
            "mjm-2d-1": (1.0, 0.0),
            "mj/m2/d": (1.0, 0.0),
            "mj/m2": (1.0, 0.0),
            "wm-2": (0.0864, 0.0),
            "w/m2": (0.0864, 0.0),
        },
        "srad",
    ),
    "humidity": Wanted(("humidity", "hurs", "relative_humidity"), {"%": (1.0, 0.0), "1": (100.0, 0.0)}, "humidity"),
    "wind": Wanted(("wind", "wind_2m"), {"ms-1": (1.0, 0.0), "m/s": (1.0, 0.0)}, "wind"),
    "reference_evaporation": Wanted(("reference_evaporation", "et0"), _DEPTH, "et0"),
}
"""By field of DailyWeather. Wind is wanted at 2 m, so the usual 10 m winds are not taken for it."""


def weather_of_dataset(
    dataset: xarray.Dataset, *, names: Mapping[str, str] | None = None, source: str = ""
) -> DailyWeather:
    """Return the daily weather of one place.

    Parameters
    ----------
    dataset : xarray.Dataset
        With a dimension "time" of whole days alone; choose a place of a grid first. Units are read from the attribute
        "units"; days that are left out become missing days.
    names : mapping, optional
        Name of a variable for each of low, high, rain, radiation, humidity, wind and reference_evaporation that is
        called otherwise than usual.
    source : str
        Where it is from; the dataset's own words where left out.

    Raises
    ------
    InputFault
        With everything that is missing or in units that are not known.
    """
    faults: list[Fault] = []
    days = _days(dataset, faults)
    found: dict[str, Series | None] = {}
    for field, wanted in WANTED.items():
        named = _named(dataset, wanted, (names or {}).get(field))
        if named is None:
            found[field] = None
            if wanted.needed:
                allowed = ", ".join(wanted.names)
                faults.append(Fault("dataset", f"no {field}", allowed, f'Name it: names={{"{field}": "..."}}.'))
            continue
        found[field] = _in_our_units(dataset, named, wanted, faults)
    if faults:
        raise InputFault(faults)
    first, length = days[0], (days[-1] - days[0]).days + 1
    at = np.array([(day - first).days for day in days])
    whole: dict[str, Series | None] = {}
    for field, values in found.items():
        spread = np.full(length, np.nan) if values is not None else None
        if spread is not None and values is not None:
            spread[at] = values
        whole[field] = spread
    low, high, rain = whole["low"], whole["high"], whole["rain"]
    if low is None or high is None or rain is None:
        raise AssertionError("what is needed was found")
    absent = np.isnan(low) | np.isnan(high) | np.isnan(rain)
    told = source or str(dataset.attrs.get("source") or dataset.attrs.get("title") or "a dataset")
    return DailyWeather(
        first,
        low,
        high,
        rain,
        whole["radiation"],
        whole["humidity"],
        whole["wind"],
        whole["reference_evaporation"],
        told,
        Evidence.MEASURED,
        tuple(first + timedelta(days=int(number)) for number in np.flatnonzero(absent)),
    )


def _days(dataset: xarray.Dataset, faults: list[Fault]) -> list[date]:
    """Return the days of a dataset, in order."""
    if "time" not in dataset.coords:
        raise InputFault([Fault("dataset", "no coordinate time", "one of whole days", "Rename the one it has.")])
    times = dataset["time"].values.astype("datetime64[D]")
    days = [date.fromisoformat(str(one)) for one in times]
    if not days or any(after <= before for before, after in pairwise(days)):
        told = "no day" if not days else "days that repeat or go back"
        raise InputFault([Fault("time", told, "each day once, in order", "Sort it and take daily values.")])
    wide = [str(name) for name, size in dataset.sizes.items() if name != "time" and size > 1]
    if wide:
        faults.append(
            Fault("dataset", f"more than one place: {', '.join(wide)}", "one place", "Choose one: .sel(...).")
        )
    return days


def _named(dataset: xarray.Dataset, wanted: Wanted, told: str | None) -> str | None:
    """Return the variable that is a series; by its name, else by its standard name."""
    if told is not None:
        return told if told in dataset.data_vars else None
    for name in wanted.names:
        if name in dataset.data_vars:
            return name
    standard = {str(one.attrs.get("standard_name")): str(name) for name, one in dataset.data_vars.items()}
    return next((standard[name] for name in wanted.names if name in standard), None)


def _in_our_units(dataset: xarray.Dataset, name: str, wanted: Wanted, faults: list[Fault]) -> Series | None:
    variable = dataset[name]
    unit = str(variable.attrs.get("units", "")).strip()
    known = wanted.units.get(unit.replace(" ", "").replace("**", "").replace("^", "").casefold())
    if known is None:
        allowed = ", ".join(wanted.units)
        faults.append(Fault(name, f"units '{unit}'", allowed, f'Say them: dataset["{name}"].attrs["units"] = "...".'))
        return None
    if dataset.sizes["time"] != variable.size:
        return None  # told already: more than one place
    factor, offset = known
    values: Series = np.asarray(variable.values, dtype=float).reshape(-1) * factor + offset
    return values


def station_text(weather: DailyWeather) -> str:
    """Return daily weather as the text of a station file, which a garden file may name; a missing value stays empty."""
    columns = {
        wanted.column: getattr(weather, field)
        for field, wanted in WANTED.items()
        if getattr(weather, field) is not None
    }
    lines = [f"# source: {' '.join(weather.source.split())}", ",".join(["date", *columns])]
    for number in range(weather.rain.size):
        cells = ["" if np.isnan(values[number]) else f"{values[number]:.4g}" for values in columns.values()]
        lines.append(",".join([(weather.first_day + timedelta(days=number)).isoformat(), *cells]))
    return "\n".join(lines) + "\n"
