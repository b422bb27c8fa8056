"""Nitrogen freed by rye residue mixed into soil, by its C:N and by warmth, over 112 days."""

from __future__ import annotations

import numpy as np

from mullbed.domain.validation import Comparison
from mullbed.evidence.doubt import Ensemble
from mullbed.evidence.gathering import Points, joined, side_by_side
from mullbed.evidence.litter import LIGNIN, Chemistry, steady
from mullbed.evidence.open_tables import Row, needed
from mullbed.evidence.series import LitterSeries
from mullbed.processes.rate_modifiers import temperature_response
from mullbed.reference.place_doubt import doubts

FILE = "nitrogen_rye_residue.csv"
#: Carbon, and lignin falling with nitrogen, of rye (check P19). [% of dry matter]
CARBON = 43.0
#: Days on which the sign of release must be right. [d]
SIGN_DAYS = (29.0, 112.0)
#: Doubt of its lignin, as log-sd. [@mullbed_model] section 10
LIGNIN_LOG_SD = 0.4


def compare_rye(rows: list[Row], ensemble: Ensemble) -> list[Comparison]:
    """Return net nitrogen released in % of that added; ``sign_right`` is the share of right signs on two days."""
    points = side_by_side(lambda one: _points(one, ensemble), rye_series(rows))
    compared = joined(
        "nitrogen_mineralisation",
        "Nitrogen freed by rye mixed into soil",
        "warmth and C:N",
        points,
        lambda members: ensemble.noisy_by(members, 100.0 * doubts()["laboratory"].noise, "rye", lowest=-400.0),
        unit="% of nitrogen added",
    )
    asked = np.isin(compared.days, SIGN_DAYS)
    right = np.sign(compared.predicted[asked]) == np.sign(compared.seen[asked])
    compared.further["sign_right"] = float(np.mean(right)) if asked.any() else float("nan")
    compared.further["sign_asked"] = float(asked.sum())
    return [compared]


def rye_series(rows: list[Row]) -> list[LitterSeries]:
    """Return each residue at each warmth; what is seen is nitrogen left, as a fraction of that added."""
    series: dict[tuple[str, str], list[Row]] = {}
    for row in rows:
        series.setdefault((row["temp_c"], row["cn"]), []).append(row)
    return [_one_series(sorted(one, key=lambda row: needed(row, "day"))) for one in series.values()]


def _one_series(rows: list[Row]) -> LitterSeries:
    nitrogen, warmth = needed(rows[0], "n_pct_dry"), needed(rows[0], "temp_c")
    days = np.array([round(needed(row, "day")) for row in rows])
    left = np.array([1.0 - needed(row, "net_n_pct_of_added") / 100.0 for row in rows])
    response = np.full(int(days[-1]), float(temperature_response(warmth)))
    return LitterSeries(
        name=f"rye {warmth:g} {needed(rows[0], 'cn'):g}",
        group=f"{warmth:g} °C, C:N {needed(rows[0], 'cn'):g}",
        place="rye soil",
        litter="rye",
        chemistry=Chemistry(nitrogen, max(2.0, 3.7 - 2.0 * (nitrogen - 1.5)), CARBON),
        drive=steady(response),
        start=0,
        days=days,
        seen=left,
        known="laboratory",
        surface=False,
        nitrogen_seen=left,
        unsure=((LIGNIN, LIGNIN_LOG_SD),),
        drivers={"nitrogen of the litter, %": nitrogen, "mean warmth, °C": warmth},
    )


def _points(one: LitterSeries, ensemble: Ensemble) -> Points:
    released = 100.0 * (1.0 - one.left(ensemble).nitrogen)
    return Points(one.group, one.days.astype(float), 100.0 * (1.0 - one.seen), released, one.drivers)
