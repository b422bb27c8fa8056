"""Daily weather of a place from two open data services: the address to ask, and who is to be named for the answer.

Forms of the addresses and the terms are those of the services' public documentation [from memory, November 2026]; both
change, so look at them before you publish anything.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Any
from urllib.parse import urlencode

from mullbed.errors import Fault, InputFault
from mullbed.weather.service_days import station_rows

LONGEST_YEARS = 90
LATEST = {"nasa-power": 7, "open-meteo": 6}
"""Days a service is behind; later days would come back empty. From memory. [d]"""
FARTHEST = 1.0
"""Middle of a grid cell from the place that was asked for; farther is another place. [degrees] Judgement."""


class Service(StrEnum):
    """An open data service."""

    NASA_POWER = "nasa-power"
    OPEN_METEO = "open-meteo"


@dataclass(frozen=True, slots=True)
class Terms:
    """A service: its address, its first day, and what it asks of whoever uses its data."""

    name: str
    address: str
    first_day: date
    attribution: str
    terms: str
    grid: str


TERMS: Mapping[Service, Terms] = {
    Service.NASA_POWER: Terms(
        "NASA POWER",
        "https://power.larc.nasa.gov/api/temporal/daily/point",
        date(1981, 1, 1),
        "Data from the NASA Langley Research Center POWER Project, funded through the NASA Earth Science Directorate "
        "Applied Science Program.",
        "free for any use; the project asks to be named",
        "about half a degree for temperature and rain, one degree for radiation",
    ),
    Service.OPEN_METEO: Terms(
        "Open-Meteo",
        "https://archive-api.open-meteo.com/v1/archive",
        date(1940, 1, 1),
        "Weather data by Open-Meteo.com (CC BY 4.0), from ERA5 of the Copernicus Climate Change Service / ECMWF.",
        "CC BY 4.0; the free address is for non-commercial use and a limited number of calls",
        "9 to 25 km",
    ),
}
_POWER = ("T2M_MIN", "T2M_MAX", "PRECTOTCORR", "ALLSKY_SFC_SW_DWN", "RH2M", "WS2M")
_METEO = (
    "temperature_2m_min", "temperature_2m_max", "precipitation_sum", "shortwave_radiation_sum",
    "relative_humidity_2m_mean", "wind_speed_10m_mean", "et0_fao_evapotranspiration",
)  # fmt: skip


def service_address(
    service: Service, latitude: float, longitude: float, first_day: date, last_day: date, base: str | None = None
) -> str:
    """Return the address that asks for the days of a place; coordinates to a hundredth of a degree, about a kilometre.

    Raises
    ------
    InputFault
        With everything that cannot be asked.
    """
    terms = TERMS[service]
    faults = []
    if not -90.0 <= latitude <= 90.0:
        faults.append(Fault("latitude", f"{latitude:g}", "-90 to 90 degrees", "North is positive."))
    if not -180.0 <= longitude <= 180.0:
        faults.append(Fault("longitude", f"{longitude:g}", "-180 to 180 degrees", "East is positive."))
    if last_day < first_day:
        faults.append(Fault("days", f"{first_day} to {last_day}", "the first day first", "Swap the two days."))
    if first_day < terms.first_day:
        remedy = "Begin later."
        faults.append(Fault("first day", str(first_day), f"{terms.first_day} or later with {terms.name}", remedy))
    if (last_day - first_day).days > LONGEST_YEARS * 366:
        faults.append(Fault("days", f"{first_day} to {last_day}", f"at most {LONGEST_YEARS} years", "Ask for fewer."))
    if faults:
        raise InputFault(faults)
    if service is Service.NASA_POWER:
        asked = {
            "parameters": ",".join(_POWER), "community": "AG", "latitude": f"{latitude:.2f}",
            "longitude": f"{longitude:.2f}", "start": f"{first_day:%Y%m%d}", "end": f"{last_day:%Y%m%d}",
            "format": "JSON",
        }  # fmt: skip
    else:
        asked = {
            "latitude": f"{latitude:.2f}", "longitude": f"{longitude:.2f}", "start_date": str(first_day),
            "end_date": str(last_day), "daily": ",".join(_METEO), "timezone": "auto", "wind_speed_unit": "ms",
        }  # fmt: skip
    return f"{(base or terms.address).rstrip('?')}?{urlencode(asked, safe=',')}"


def latest_day(service: Service, today: date) -> date:
    """Return the last day a service can be expected to have."""
    return today - timedelta(days=LATEST[service])


@dataclass(frozen=True, slots=True)
class AnswerPlace:
    """Where an answer is for."""

    latitude: float | None
    longitude: float | None
    elevation: float | None
    """[m]"""


def answer_place(text: str) -> AnswerPlace:
    """Return the middle of the grid cell an answer tells; None for what it does not tell."""
    answer: Any = json.loads(text)
    geometry = answer.get("geometry") if isinstance(answer, dict) else None
    if isinstance(geometry, dict) and isinstance(geometry.get("coordinates"), list):
        numbers = [_number(one) for one in geometry["coordinates"]] + [None] * 3
        return AnswerPlace(numbers[1], numbers[0], numbers[2])
    if isinstance(answer, dict):
        return AnswerPlace(*(_number(answer.get(key)) for key in ("latitude", "longitude", "elevation")))
    return AnswerPlace(None, None, None)


def _number(value: Any) -> float | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def check_answer(text: str, place: str, latitude: float, longitude: float) -> None:
    """Refuse an answer that cannot be read, or is for another place.

    Raises
    ------
    InputFault
        With what is wrong.
    """
    station_rows(text, place)
    told = answer_place(text)
    if told.latitude is None or told.longitude is None:
        return
    east = abs((told.longitude - longitude + 180.0) % 360.0 - 180.0)
    if abs(told.latitude - latitude) > FARTHEST or east > FARTHEST:
        found = f"the answer is for {told.latitude:g}, {told.longitude:g}"
        allowed = f"near {latitude:g}, {longitude:g}"
        raise InputFault([Fault(place, found, allowed, "Ask again, or look at what stands between you and it.")])
