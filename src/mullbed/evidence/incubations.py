"""How warmth hastens the release of carbon from soils held at several temperatures (Schaedel and others 2020).

Within a soil the time to release the same amount is compared, so that what was used up before does not count; the
model's warmth factor says the same ratio.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.validation import Comparison
from mullbed.evidence.doubt import Ensemble
from mullbed.evidence.open_tables import Row, needed, value
from mullbed.processes.rate_modifiers import temperature_response
from mullbed.simulate import parameters as par

Array = NDArray[np.float64]

SERIES_FILE, VALUES_FILE = "incubation_sidb_series.csv", "incubation_sidb.csv"
#: Fewest values of a series.
FEWEST = 4
#: The colder soil is followed for as long as a layer is of interest. [d]
HORIZON = 60.0
#: Noise of the logarithm of a ratio between two series of one soil. [1]
NOISE = 0.60
RATE_UNIT = re.compile(r"/\s*(d|day|h|hr|hour)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class _Release:
    """Release of one soil at one temperature."""

    temperature: float
    days: Array
    released: Array
    """Since the start, rising; in the units of the series."""

    def by_then(self, day: float) -> float:
        """Return what was released by a day, or by the last one seen before it."""
        return float(np.interp(day, np.concatenate([[0.0], self.days]), np.concatenate([[0.0], self.released])))

    def time_to(self, amount: float) -> float:
        """Return the days until so much was released."""
        place = int(np.searchsorted(self.released, amount))
        if place == 0:
            return float(self.days[0] * amount / self.released[0])
        low, high = self.released[place - 1], self.released[place]
        share = (amount - low) / (high - low)
        return float(self.days[place - 1] + share * (self.days[place] - self.days[place - 1]))


def compare_incubations(series: list[Row], values: list[Row], ensemble: Ensemble) -> list[Comparison]:
    """Return the logarithm of how much faster a warmer soil releases carbon than the coldest of its kind."""
    seen: dict[str, list[tuple[float, float]]] = {}
    for row in values:
        day, found = value(row, "days"), value(row, "value")
        if day is not None and found is not None:
            seen.setdefault(row["series_id"], []).append((day, found))
    soils: dict[tuple[str, str], list[tuple[Row, list[tuple[float, float]]]]] = {}
    for row in series:
        told = seen.get(row["series_id"], [])
        if row["temp_conflict"] == "True" or not row["temp_c"] or len(told) < FEWEST:
            continue
        if "biomass" in row["desc"].lower():  # no release
            continue
        soils.setdefault((row["study"], _soil(row)), []).append((row, sorted(told)))
    points = [point for (study, _), members in soils.items() for point in _ratios(study, members)]
    exponents = ensemble.records[1:, par.WARMTH_EXPONENT]
    predicted = np.array([_ratio(cold, warm) for _, cold, warm, _, _ in points])
    members = np.array([[_ratio(cold, warm, one) for one in exponents] for _, cold, warm, _, _ in points])
    reach = np.array([warm - cold for _, cold, warm, _, _ in points])
    compared = Comparison(
        key="incubation_q10",
        title="How warmth hastens release from soil, within a study",
        unit="logarithm of a ratio of rates",
        grouped_by="study",
        groups=tuple(study for study, *_ in points),
        days=np.array([days for *_, days, _ in points]),
        seen=np.array([ratio for *_, ratio in points]),
        predicted=predicted,
        members=ensemble.noisy_by(members, NOISE, "incubation", lowest=-9.0) if points else None,
        drivers={"reach of warmth, °C": reach},
    )
    if points:
        per_ten = 10.0 / reach
        compared.further["q10_seen_median"] = float(np.median(np.exp(compared.seen * per_ten)))
        compared.further["q10_model_median"] = float(np.median(np.exp(predicted * per_ten)))
    return [compared]


def _soil(row: Row) -> str:
    """Return what names a soil: its series without the first number that is its temperature."""
    degrees = f"{needed(row, 'temp_c'):g}"
    name = re.sub(rf"(?<!\d){re.escape(degrees)}(?!\d)", "T", row["series_id"].split(":", 1)[-1], count=1)
    return f"{row['site']} {row['moisture']} {name}"


def _ratios(
    study: str, members: list[tuple[Row, list[tuple[float, float]]]]
) -> list[tuple[str, float, float, float, float]]:
    """Return study, coldest and warmer temperature, days compared, logarithm of the ratio seen."""
    releases = sorted(
        (one for one in (_release(row, told) for row, told in members) if one is not None),
        key=lambda one: one.temperature,
    )
    releases = [one for one in releases if float(temperature_response(one.temperature)) > 0.0]
    found = []
    for warm in releases[1:]:
        cold = releases[0]
        if warm.temperature - cold.temperature < 1.0:
            continue
        amount = min(cold.by_then(HORIZON), warm.released[-1])
        slow, fast = cold.time_to(amount), warm.time_to(amount)
        if slow > 0.0 and fast > 0.0:
            found.append((study, cold.temperature, warm.temperature, slow, log(slow / fast)))
    return found


def _release(row: Row, told: list[tuple[float, float]]) -> _Release | None:
    """Return what was released by day, whether the source tells rates, sums or what remains."""
    days, values = (np.array(one) for one in zip(*told, strict=True))
    if "remaining" in row["units"].lower():
        released = 100.0 - values
    elif not RATE_UNIT.search(row["units"]) and (
        row["non_decreasing"] == "True" or "cumulative" in row["desc"].lower()
    ):
        released = values
    else:
        steps = np.diff(days, prepend=0.0)
        before = np.concatenate([values[:1], values[:-1]])
        released = np.cumsum(steps * 0.5 * (values + before))
    released = np.maximum.accumulate(released)
    rising = np.flatnonzero((days > 0.0) & (np.diff(released, prepend=0.0) > 0.0))
    if rising.size < 2:
        return None
    return _Release(needed(row, "temp_c"), days[rising], released[rising])


def _ratio(cold: float, warm: float, exponent: float | None = None) -> float:
    """Return the logarithm of the model's ratio of warmth factors."""
    numbers = () if exponent is None else (exponent,)
    return log(float(temperature_response(warm, *numbers)) / float(temperature_response(cold, *numbers)))
