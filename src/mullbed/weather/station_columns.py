"""Which column of a station's table is what, and in which unit: guessed from names and values, told with its reason.

Nothing that is guessed is used before somebody has seen it: each finding says how it was come by, and whoever calls
decides whether that is enough. What the user tells beats every guess.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from mullbed.domain.weather_record import HeadingLeftOut, How
from mullbed.errors import Fault, InputFault
from mullbed.weather.daily_columns import COLUMNS
from mullbed.weather.station_table import StationTable
from mullbed.weather.told_units import Unit, unit_named, units_of


@dataclass(frozen=True, slots=True)
class Found:
    """One of our columns in a station's table."""

    column: str
    sources: tuple[str, ...]
    """Headings; two are averaged, as lowest and highest humidity."""
    unit: Unit | None
    how: How
    low: float
    """Smallest value, in our unit."""
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class Understood:
    """All that was found out about a table's columns."""

    found: tuple[Found, ...]
    left_out: tuple[HeadingLeftOut, ...]


DEW_POINT = "dew_point"
"""Not a column of ours: it tells humidity better than a mean of two humidities does."""

_NAMES: Mapping[str, str] = {
    "tmin_c": "tmin tn mint mintemp tempmin minimumtemperature airtempmin temperaturemin tasmin tmn lowtemp templow "
    "low minairtemp airtmin minimumairtemperature t2mmin tnk temperature2mmin dailymin mintemperature",
    "tmax_c": "tmax tx maxt maxtemp tempmax maximumtemperature airtempmax temperaturemax tasmax tmx hightemp temphigh "
    "high maxairtemp airtmax maximumairtemperature t2mmax txk temperature2mmax dailymax maxtemperature",
    "precip_mm": "precip rain prcp precipitation rainfall rr pr ppt rsk raintotal totalrain precipitationsum "
    "preciptotal prectotcorr dailyrain niederschlag pluie lluvia rainfallamount",
    "srad": "srad rs solrad solarrad solar radiation solarradiation globalradiation rsds ssrd swrad radn globalrad "
    "shortwaveradiationsum solarrg allskysfcswdwn",
    "humidity": "rh humidity rhmean rhavg hum relativehumidity hurs rhum avgrh meanrh rh2m meanrelativehumidity rhave",
    "wind": "wind windspeed ws u2 wspd awnd windmean meanwind avgwind windavg ws2m uz wnd windrun fm avgwindspeed "
    "meanwindspeed",
    "dew_point": "tdew dewpoint td dewpt tdmean dewpointmean meandewpoint dewpointtemperature dewp t2mdew dew",
    "et0": "et0 eto refet et0reference referenceet et0faoevapotranspiration etos referenceevapotranspiration etoref",
}
_HUMIDITY_ENDS = (
    "rhmin minrh humiditymin minhumidity rhmn relativehumiditymin minrelativehumidity",
    "rhmax maxrh humiditymax maxhumidity rhmx relativehumiditymax maxrelativehumidity",
)
_NOT_OURS = {
    "etr": "tall (alfalfa) reference evapotranspiration is not that of short grass, and is not taken for it",
    "etrs": "tall (alfalfa) reference evapotranspiration is not that of short grass, and is not taken for it",
    "pan": "evaporation of a pan is not reference evapotranspiration",
    "tmean": "a day's mean is worked out from lowest and highest",
    "tavg": "a day's mean is worked out from lowest and highest",
    "tas": "a day's mean is worked out from lowest and highest",
}
_BRACKET = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")
_HEIGHT = re.compile(r"(?<![\d.])(2|3|5|10)\s*_?m(?![a-z/])")


def parted(heading: str) -> tuple[str, str]:
    """Return name and unit of a heading: "TMAX (°F)", "rh_min_pct" or "wind m/s"; an empty unit where none is told."""
    bracket = _BRACKET.search(heading)
    if bracket is not None:
        return _plain(heading[: bracket.start()] + heading[bracket.end() :]), bracket[1]
    tokens = [one for one in re.split(r"[\s_.,;-]+", heading.strip()) if one]
    for count in (3, 2, 1):
        if len(tokens) > count:
            tail = "/".join(tokens[-count:]), "".join(tokens[-count:])
            for column in _NAMES:
                if any(unit_named(column, one) for one in tail):
                    return _plain("".join(tokens[:-count])), tail[0]
    return _plain(heading), ""


def _plain(text: str) -> str:
    return re.sub(r"[^a-z0-9]", "", text.casefold())


def understood(table: StationTable, told: Mapping[str, tuple[tuple[str, ...], str]] | None = None) -> Understood:
    """Return what each of our columns is in a table.

    Parameters
    ----------
    table : StationTable
    told : mapping, optional
        Our column to the headings it comes from and its unit, as the user told them; no headings leaves it out, an
        empty unit leaves the unit to be found.

    Raises
    ------
    InputFault
        When a heading or a unit that was told is not known, or lowest, highest or rain cannot be found.
    """
    told = told or {}
    faults: list[Fault] = []
    found: list[Found] = []
    used: set[str] = set(table.date_headings)
    for column in (*(one.name for one in COLUMNS), DEW_POINT):
        if column in told:
            headings, unit = told[column]
            used.update(headings)
            one = _told(table, column, headings, unit, faults)
        else:
            one = _guessed(table, column, used)
        if one is not None:
            found.append(one)
            used.update(one.sources)
    needed = {one.name for one in COLUMNS if one.required}
    missing = [name for name in sorted(needed) if name not in {one.column for one in found}]
    if not faults:
        for name in missing:
            remedy = f"Say which it is: --column {name}=HEADING:UNIT."
            faults.append(Fault(table.place, f"no column is known as {name}", ", ".join(table.headings)[:160], remedy))
    if faults:
        raise InputFault(faults)
    return Understood(tuple(found), tuple(_left_out(heading) for heading in table.headings if heading not in used))


def _told(table: StationTable, column: str, headings: Sequence[str], unit: str, faults: list[Fault]) -> Found | None:
    """Return a column as the user told it."""
    if not headings:
        return None
    unknown = [one for one in headings if one not in table.headings]
    for one in unknown:
        allowed = ", ".join(table.headings)[:160]
        faults.append(Fault(f"column {column}", f"no heading '{one}'", allowed, "Write a heading of the table."))
    if unknown:
        return None
    values = _values(table, headings)
    known = unit_named(column, unit) if unit else None
    if unit and known is None:
        allowed = ", ".join(one.name for one in units_of(column))
        faults.append(Fault(f"column {column}", f"unit '{unit[:20]}'", allowed, "Choose one of these units."))
        return None
    if known is not None:
        return _found(column, headings, known, How.TOLD, values)
    known, how = _unit(column, headings, table, values)
    return _found(column, headings, known, how, values)


def _guessed(table: StationTable, column: str, used: set[str]) -> Found | None:
    """Return a column found by its name; None where no heading is called so."""
    names = set(_NAMES[column].split())
    free = [heading for heading in table.headings if heading not in used]
    headings = [heading for heading in free if parted(heading)[0] in names]
    if not headings:
        headings = [heading for heading in free if _without_height(heading) in names]
    if not headings and column == "humidity":
        ends = [[h for h in free if parted(h)[0] in set(end.split())] for end in _HUMIDITY_ENDS]
        headings = [ends[0][0], ends[1][0]] if ends[0] and ends[1] else []
    else:
        headings = headings[:1]
    if not headings:
        return None
    values = _values(table, headings)
    if np.isnan(values).all():
        return None
    unit, how = _unit(column, headings, table, values)
    return _found(column, headings, unit, how, values)


def _without_height(heading: str) -> str:
    return _plain(_HEIGHT.sub("", parted(heading)[0]))


def _unit(column: str, headings: Sequence[str], table: StationTable, values: np.ndarray) -> tuple[Unit | None, How]:
    """Return the unit of a column and how it was found: from heading or units row, else from its values."""
    for heading in headings:
        for text in (parted(heading)[1], table.units.get(heading, "")):
            unit = unit_named(column, text) if text else None
            if unit is not None:
                return unit, How.HEADER
    unit = unit_by_values(column, values)
    return unit, How.NAME if unit is not None else How.UNKNOWN


def unit_by_values(column: str, values: np.ndarray) -> Unit | None:
    """Return the one unit in which the values are plausible, ours first; None where none is, or they are few.

    Plausible is a judgement: the middle day between -30 and 38 °C, at most 45 °C for nine days in ten; a wet day's mean
    of 2 to 25 mm; radiation's middle of 3 to 28 MJ; humidity's of 15 to 100 %; wind's of 0.3 to 9 m/s.
    """
    known = values[~np.isnan(values)]
    if known.size < 10:
        return None
    for unit in units_of(column):
        ours = unit.factor * known + unit.offset
        if _plausible(column, ours):
            return unit
    return None


def _plausible(column: str, ours: np.ndarray) -> bool:
    middle, top = float(np.median(ours)), float(np.quantile(ours, 0.9))
    if column in ("tmin_c", "tmax_c", DEW_POINT):
        return -30.0 <= middle <= 38.0 and top <= 45.0 and float(np.quantile(ours, 0.1)) >= -60.0
    if column == "precip_mm":
        wet = ours[ours > 0.0]
        return wet.size > 0 and 2.0 <= float(wet.mean()) <= 25.0 and float(ours.min()) >= 0.0
    if column == "srad":
        return 3.0 <= middle <= 28.0 and float(ours.max()) <= 45.0
    if column == "humidity":
        return 15.0 <= middle <= 100.0 and float(ours.max()) <= 110.0
    if column == "wind":
        return 0.3 <= middle <= 9.0
    return 0.3 <= middle <= 12.0


def _values(table: StationTable, headings: Sequence[str]) -> np.ndarray:
    """Return the numbers of a column; the mean of two where two headings are given."""
    parts = [table.numbers(heading) for heading in headings]
    return np.asarray(sum(parts) / len(parts))


def _found(column: str, headings: Sequence[str], unit: Unit | None, how: How, values: np.ndarray) -> Found:
    known = values[~np.isnan(values)]
    ours = known if unit is None else unit.factor * known + unit.offset
    if ours.size == 0:
        return Found(column, tuple(headings), unit, how, math.nan, math.nan, math.nan)
    return Found(column, tuple(headings), unit, how, float(ours.min()), float(np.median(ours)), float(ours.max()))


def _left_out(heading: str) -> HeadingLeftOut:
    name = parted(heading)[0]
    for known, why in _NOT_OURS.items():
        if name == known or name.startswith(known):
            return HeadingLeftOut(heading, why)
    return HeadingLeftOut(heading, "not a column that is used")
