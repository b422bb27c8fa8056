"""How sure the model is of a place and a material, by what is known of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from mullbed.domain.daily_weather import WeatherKnown
from mullbed.reference.tables import csv_table


@dataclass(frozen=True, slots=True)
class Doubt:
    """How sure the model is of a place of which so much is known."""

    known: str
    place_log_sd: float
    """Standard deviation of the logarithm of a place's factor on all rates. [1]"""
    material_log_sd: float
    """The same of a material at a place. [1]"""
    noise: float
    """Standard deviation of a value seen. [fraction of what was laid]"""
    evidence: str
    remark: str


#: Row of the table that stands for a bed, by how its weather is known.
ROW_OF_WEATHER: dict[WeatherKnown, str] = {
    WeatherKnown.DAILY: "index",
    WeatherKnown.MONTHLY: "monthly",
    WeatherKnown.ANNUAL: "annual",
}


@lru_cache(maxsize=1)
def doubts() -> dict[str, Doubt]:
    """Return the table of priors by what is known."""
    return {
        row["known"]: Doubt(
            row["known"],
            float(row["place_log_sd"]),
            float(row["material_log_sd"]),
            float(row["noise"]),
            row["evidence"],
            row["remark"],
        )
        for row in csv_table("place_doubt.csv")
    }


def doubt_of_weather(known: WeatherKnown) -> Doubt:
    """Return the priors of a bed whose weather is known in this way."""
    return doubts()[ROW_OF_WEATHER[known]]
