"""Columns of a daily weather file, and the values that can be true anywhere on earth.

Limits are round numbers outside the records of the World Meteorological Organization's archive of extremes
(hottest 56.7 °C, coldest -89.2 °C, wettest day 1,825 mm) [from memory]; the others are judgement.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name in the file, what it means and between which limits it may lie."""

    name: str
    meaning: str
    unit: str
    lowest: float
    highest: float
    required: bool
    hint: str
    """What to do when a value lies outside."""


COLUMNS: tuple[Column, ...] = (
    Column("tmin_c", "lowest temperature of the day", "°C", -90.0, 45.0, True, "Correct it or leave the cell empty."),
    Column("tmax_c", "highest temperature of the day", "°C", -90.0, 57.0, True, "Correct it or leave the cell empty."),
    Column(
        "precip_mm",
        "rain and melted snow",
        "mm",
        0.0,
        1900.0,
        True,
        "Rain is zero or more, in mm; leave the cell empty where nothing was measured.",
    ),
    Column(
        "srad",
        "solar radiation",
        "MJ m-2 d-1",
        0.0,
        45.0,
        False,
        "Daily sums in MJ are wanted; a mean in W m-2 times 0.0864 gives MJ m-2 d-1.",
    ),
    Column("humidity", "mean relative humidity", "%", 1.0, 100.0, False, "Give per cent, 1 to 100."),
    Column("wind", "mean wind at 2 m", "m/s", 0.0, 50.0, False, "Give metres per second (km/h divided by 3.6)."),
    Column("et0", "reference evapotranspiration", "mm", 0.0, 20.0, False, "Give mm a day."),
)

NAMES: tuple[str, ...] = ("date", *(column.name for column in COLUMNS))
LARGEST_DAILY_RANGE = 50.0
"""Largest difference of highest and lowest in one day. [°C] Judgement."""
LONGEST_RECORD_DAYS = 150_000
"""About four hundred years. [d]"""
