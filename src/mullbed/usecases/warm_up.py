"""Run a day of an invented bed, so that the first look at a real one need not wait for the engine.

Reads nothing of the grower's, writes nothing but the compiled loop in the user's cache.
"""

from __future__ import annotations

from datetime import date

import numpy as np

from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.spread import Evidence
from mullbed.simulate.case import BedCase, SoilColumn
from mullbed.simulate.ensemble import draw_members
from mullbed.simulate.run import simulate

DAYS = 3


def warm_up() -> None:
    """Load the engine, compiling it where this machine has not done so before."""
    one = np.ones((1, DAYS))
    weather = WeatherYears(
        date(2027, 6, 1),
        8.0 * one,
        18.0 * one,
        2.0 * one,
        3.0 * one,
        15.0 * one,
        ("usual",),
        "invented",
        Evidence.GUESS,
    )
    soil = SoilColumn(0.2, 0.3, 0.14, (10.0, 500.0, 150.0, 4500.0, 400.0), (0.5, 10.0))
    case = BedCase("warm up", weather, soil)
    simulate(case, draw_members(case, 16, 1), threads=1, per_lift=True)
