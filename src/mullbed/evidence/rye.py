"""Nitrogen freed by rye residue mixed into soil, by its C:N and by warmth, over 112 days."""

from __future__ import annotations

import numpy as np

from mullbed.domain.validation import Comparison
from mullbed.evidence.doubt import Ensemble
from mullbed.evidence.gathering import Points, joined, side_by_side
from mullbed.evidence.litter import Chemistry, courses
from mullbed.evidence.open_tables import Row, needed
from mullbed.processes.rate_modifiers import temperature_response

FILE = "nitrogen_rye_residue.csv"
#: Carbon, and lignin falling with nitrogen, of rye (check P19). [% of dry matter]
CARBON = 43.0
#: Days on which the sign of release must be right. [d]
SIGN_DAYS = (29.0, 112.0)
#: Noise of a mean of replicates. [% of nitrogen added]
NOISE = 6.0


def compare_rye(rows: list[Row], ensemble: Ensemble) -> list[Comparison]:
    """Return net nitrogen released in % of that added; ``sign_right`` is the share of right signs on two days."""
    series: dict[tuple[str, str], list[Row]] = {}
    for row in rows:
        series.setdefault((row["temp_c"], row["cn"]), []).append(row)
    points = side_by_side(lambda one: _one_series(one, ensemble), series.values())
    compared = joined(
        "nitrogen_mineralisation",
        "Nitrogen freed by rye mixed into soil",
        "warmth and C:N",
        points,
        lambda members: ensemble.noisy_by(members, NOISE, "rye", lowest=-400.0),
        unit="% of nitrogen added",
    )
    asked = np.isin(compared.days, SIGN_DAYS)
    right = np.sign(compared.predicted[asked]) == np.sign(compared.seen[asked])
    compared.further["sign_right"] = float(np.mean(right)) if asked.any() else float("nan")
    compared.further["sign_asked"] = float(asked.sum())
    return [compared]


def _one_series(rows: list[Row], ensemble: Ensemble) -> Points:
    rows = sorted(rows, key=lambda row: needed(row, "day"))
    nitrogen, warmth = needed(rows[0], "n_pct_dry"), needed(rows[0], "temp_c")
    chemistry = Chemistry(nitrogen, max(2.0, 3.7 - 2.0 * (nitrogen - 1.5)), CARBON)
    litters = np.tile(chemistry.row(), (ensemble.count + 1, 1))
    litters[:, 1] *= ensemble.factors(0.4, "lignin", "rye")
    days = np.array([round(needed(row, "day")) for row in rows])
    modifier = np.full(int(days[-1]), float(temperature_response(warmth)))
    found = courses(
        litters,
        ensemble.records,
        ensemble.rates("laboratory", "rye soil", "rye"),
        modifier,
        np.zeros(modifier.size),
        0,
        days,
        surface=False,
    )
    seen = np.array([needed(row, "net_n_pct_of_added") for row in rows])
    group = f"{warmth:g} °C, C:N {needed(rows[0], 'cn'):g}"
    drivers = {"nitrogen of the litter, %": nitrogen, "mean warmth, °C": warmth}
    return Points(group, days.astype(float), seen, 100.0 * (1.0 - found.nitrogen), drivers)
