"""Daily weather of two open data services, as their JSON answers tell it, rewritten as a station file's rows.

NASA POWER (daily, point) and Open-Meteo (daily). The forms are those their public documentation describes [from
memory]; units are read from the answer and turned into ours, never guessed. What a service calls missing stays missing.
Wind told at 10 m is brought down to 2 m [@allen1998 eq. 47]. The rows then pass every check a station file passes.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from mullbed.errors import Fault, InputFault
from mullbed.processes.evapotranspiration import wind_at_two_metres


@dataclass(frozen=True, slots=True)
class _Told:
    """A column of ours and where a service tells it, the first that is there counting."""

    column: str
    keys: tuple[str, ...]


_POWER = (
    _Told("tmin_c", ("T2M_MIN",)),
    _Told("tmax_c", ("T2M_MAX",)),
    _Told("precip_mm", ("PRECTOTCORR", "PRECTOT")),
    _Told("srad", ("ALLSKY_SFC_SW_DWN",)),
    _Told("humidity", ("RH2M",)),
    _Told("wind", ("WS2M", "WS10M")),
)
_OPEN_METEO = (
    _Told("tmin_c", ("temperature_2m_min",)),
    _Told("tmax_c", ("temperature_2m_max",)),
    _Told("precip_mm", ("precipitation_sum",)),
    _Told("srad", ("shortwave_radiation_sum",)),
    _Told("humidity", ("relative_humidity_2m_mean",)),
    _Told("wind", ("wind_speed_10m_mean", "windspeed_10m_mean")),
    _Told("et0", ("et0_fao_evapotranspiration",)),
)


def _fahrenheit(value: float) -> float:
    return (value - 32.0) / 1.8


#: How a unit as a service writes it becomes ours, by column; letters, digits and signs only, in small letters.
_UNITS: Mapping[str, Mapping[str, Callable[[float], float]]] = {
    "temperature": {"c": float, "°c": float, "degc": float, "f": _fahrenheit, "°f": _fahrenheit},
    "precip_mm": {"mm": float, "mm/day": float, "inch": lambda value: value * 25.4, "in": lambda value: value * 25.4},
    "srad": {
        "mj/m^2/day": float, "mj/m²": float, "mj/m^2": float,
        "kw-hr/m^2/day": lambda value: value * 3.6, "kwh/m²": lambda value: value * 3.6,
        "w/m^2": lambda value: value * 0.0864,
    },
    "humidity": {"%": float},
    "wind": {
        "m/s": float, "km/h": lambda value: value / 3.6, "mp/h": lambda value: value * 0.44704,
        "mph": lambda value: value * 0.44704, "kn": lambda value: value * 0.514444,
    },
    "et0": {"mm": float, "inch": lambda value: value * 25.4},
}  # fmt: skip


def is_service_answer(text: str, place: str) -> bool:
    """Say whether a text is a service's answer rather than the rows of a station file."""
    if not text.lstrip("\ufeff \t\r\n").startswith("{"):
        return False
    return place.casefold().endswith(".json") or any(sign in text for sign in ('"daily_units"', '"parameter"'))


def station_rows(text: str, place: str) -> str:
    """Return a service's answer as the text of a station file; ``place`` is the file's name in faults.

    Raises
    ------
    InputFault
        With everything in the answer that cannot be read.
    """
    try:
        answer = json.loads(text)
    except (ValueError, RecursionError) as error:
        remedy = "Save the answer of the service again, whole."
        raise InputFault([Fault(place, f"no JSON ({str(error)[:60]})", "a service's whole answer", remedy)]) from error
    if isinstance(answer, dict) and answer.get("error") is True:
        found = f"the service refused: {str(answer.get('reason', ''))[:80]}"
        raise InputFault([Fault(place, found, "daily values", "Ask the service again with other days or columns.")])
    tables = _power(answer, place) or _open_meteo(answer, place)
    if tables is None:
        allowed = "properties.parameter (NASA POWER) or daily (Open-Meteo)"
        raise InputFault([Fault(place, "neither form is there", allowed, "Ask for daily values as JSON.")])
    source, days, columns = tables
    lines = [f"# source: {source}", ",".join(("date", *columns))]
    for number, day in enumerate(days):
        lines.append(",".join((day, *(_cell(values[number]) for values in columns.values()))))
    return "\n".join(lines) + "\n"


_Tables = tuple[str, list[str], dict[str, list[float]]]


def _power(answer: Any, place: str) -> _Tables | None:
    """Return source, days and columns of an answer of NASA POWER; None where it is none."""
    properties = answer.get("properties") if isinstance(answer, dict) else None
    told = properties.get("parameter") if isinstance(properties, dict) else None
    if not isinstance(told, dict) or not all(isinstance(one, dict) for one in told.values()):
        return None
    header = answer.get("header") if isinstance(answer.get("header"), dict) else {}
    missing = header.get("fill_value", -999.0)
    described = answer.get("parameters") if isinstance(answer.get("parameters"), dict) else {}
    written = sorted({day for one in told.values() for day in one})
    faults = [
        Fault(f"{place}, {day[:20]}", "not a day", "yyyymmdd", "Ask for daily values.")
        for day in written
        if len(day) != 8 or not day.isdigit()
    ][:6]
    if faults:
        raise InputFault(faults)
    units = {key: str(one.get("units", "")) for key, one in described.items() if isinstance(one, dict)}
    series = {key: [one.get(day) for day in written] for key, one in told.items()}
    days = [f"{day[:4]}-{day[4:6]}-{day[6:]}" for day in written]
    return "NASA POWER daily", days, _columns(_POWER, series, units, missing, place)


def _open_meteo(answer: Any, place: str) -> _Tables | None:
    """Return source, days and columns of an answer of Open-Meteo; None where it is none."""
    daily = answer.get("daily") if isinstance(answer, dict) else None
    if not isinstance(daily, dict) or not isinstance(daily.get("time"), list):
        return None
    days = [str(one) for one in daily["time"]]
    faults = [
        Fault(f"{place}, time", f"'{day[:20]}'", "a date", "Ask for daily values.") for day in days if not _is(day)
    ]
    series = {key: list(one) for key, one in daily.items() if key != "time" and isinstance(one, list)}
    faults += [
        Fault(f"{place}, {key[:40]}", f"{len(one)} values for {len(days)} days", "one a day", "Save the answer again.")
        for key, one in series.items()
        if len(one) != len(days)
    ]
    if faults:
        raise InputFault(faults[:6])
    units = {key: str(one) for key, one in (answer.get("daily_units") or {}).items()}
    return "Open-Meteo daily", days, _columns(_OPEN_METEO, series, units, None, place)


def _is(day: str) -> bool:
    try:
        date.fromisoformat(day)
    except ValueError:
        return False
    return True


def _columns(
    wanted: Sequence[_Told], series: Mapping[str, list[Any]], units: Mapping[str, str], missing: Any, place: str
) -> dict[str, list[float]]:
    """Return the columns that are told, in our units; a missing value is NaN."""
    faults: list[Fault] = []
    found: dict[str, list[float]] = {}
    for one in wanted:
        key = next((key for key in one.keys if key in series), None)
        if key is None:
            continue
        convert = _converter(one.column, key, units, place, faults)
        values = [_number(value, missing, f"{place}, {key}", faults) for value in series[key]]
        if convert is not None:
            found[one.column] = [value if math.isnan(value) else convert(value) for value in values]
    absent = [one for one in wanted[:3] if one.column not in found and not any(key in series for key in one.keys)]
    faults += [
        Fault(place, f"{one.keys[0]} is not in the answer", "lowest, highest and rain", "Ask for it, too.")
        for one in absent
    ]
    if faults:
        raise InputFault(faults[:12])
    return found


def _converter(
    column: str, key: str, units: Mapping[str, str], place: str, faults: list[Fault]
) -> Callable[[float], float] | None:
    """Return how a series becomes ours; None, and a fault, where its unit is not told or not known."""
    known = _UNITS["temperature" if column in ("tmin_c", "tmax_c") else column]
    written = units.get(key, "")
    convert = known.get(written.strip().lower().replace(" ", ""))
    if convert is None:
        found = f"unit '{written[:20]}'" if written else "no unit"
        faults.append(Fault(f"{place}, {key}", found, ", ".join(known), "Save the answer whole, its units included."))
        return None
    if column == "wind" and "10m" in key.lower():
        return lambda value: wind_at_two_metres(convert(value), 10.0)
    return convert


def _number(value: Any, missing: Any, where: str, faults: list[Fault]) -> float:
    if value is None or value == missing:
        return math.nan
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        if len(faults) < 12:
            faults.append(Fault(where, f"'{str(value)[:20]}'", "a number", "Save the answer again."))
        return math.nan
    return float(value)


def _cell(value: float) -> str:
    return "" if math.isnan(value) else f"{value:.6g}"
