"""Litter under forest canopies of which four fractions were measured: CIDET and EURODECO (Viskari and others 2022)."""

from __future__ import annotations

import numpy as np

from mullbed.domain.validation import Comparison
from mullbed.evidence.doubt import Ensemble
from mullbed.evidence.forcing import Drive, daily_weather, drive, monthly_means, site_climate
from mullbed.evidence.gathering import by_series, joined, side_by_side
from mullbed.evidence.litter import NITROGEN, Chemistry
from mullbed.evidence.open_tables import Row, needed
from mullbed.evidence.series import LitterSeries

CIDET_FILE, EURODECO_FILE = "litter_cidet.csv", "litter_eurodeco.csv"
#: Day of the year on which bags are laid. [d]
LAID = 290
#: Trees over the litter: basal coefficient and cover. [1]
TREES = (0.8, 0.8)
#: What is not told of these litters, [@mullbed_model] section 6.0. [% of dry matter]
CARBON, CIDET_NITROGEN, EURODECO_NITROGEN = 48.0, 0.75, 0.6
#: Doubt of the assumed nitrogen, as log-sd. [@mullbed_model] section 10
NITROGEN_LOG_SD = 0.25
#: The one calibration factor of the set: rates of EURODECO. [1]
EURODECO_FACTOR = 1.82
YEAR = 365.25


def compare_cidet(rows: list[Row], ensemble: Ensemble) -> list[Comparison]:
    """Return mass left in Canadian forests."""
    return [_compare("cidet_mass", "Litter in Canadian forests, six years", cidet_series(rows), ensemble)]


def compare_eurodeco(rows: list[Row], ensemble: Ensemble) -> list[Comparison]:
    """Return mass left in forests of northern Europe; the climate factor of this set is fitted, no other number."""
    return [_compare("eurodeco_mass", "Litter in forests of northern Europe", eurodeco_series(rows), ensemble)]


def cidet_series(rows: list[Row]) -> list[LitterSeries]:
    """Return every litter of every climate."""
    return _series(rows, CIDET_NITROGEN, 1.0, "cidet")


def eurodeco_series(rows: list[Row]) -> list[LitterSeries]:
    """Return every series, its calibration factor set."""
    return _series(rows, EURODECO_NITROGEN, EURODECO_FACTOR, "eurodeco")


def _compare(key: str, title: str, series: list[LitterSeries], ensemble: Ensemble) -> Comparison:
    points = side_by_side(lambda one: one.mass_points(one.left(ensemble)), series)
    return joined(key, title, "site", points, lambda members: ensemble.noisy(members, "monthly_canopy", key))


def _series(rows: list[Row], nitrogen: float, factor: float, name: str) -> list[LitterSeries]:
    sites = {row["site"]: row for row in rows}
    drives = {site: drive(daily_weather(site_climate(row), 1, 3), *TREES) for site, row in sites.items()}
    return [
        _one_series(series, drives[series[0]["site"]], nitrogen, factor, name) for series in by_series(rows).values()
    ]


def _one_series(rows: list[Row], driven: Drive, nitrogen: float, factor: float, name: str) -> LitterSeries:
    rows = sorted(rows, key=lambda row: needed(row, "years"))
    first = rows[0]
    lignin = 100.0 * needed(first, "non_hydrolysable_frac0")
    return LitterSeries(
        name=first["series_id"],
        group=first["site"],
        place=f"{name} {first['site']}",
        litter=first["litter"],
        chemistry=Chemistry(
            nitrogen, lignin, CARBON, needed(first, "water_soluble_frac0"), needed(first, "ethanol_soluble_frac0")
        ),
        drive=driven.on_surface(),
        start=LAID - 1,
        days=np.array([round(needed(row, "years") * YEAR) for row in rows]),
        seen=np.array([needed(row, "mass_remaining") for row in rows]),
        known="monthly_canopy",
        factor=factor,
        unsure=((NITROGEN, NITROGEN_LOG_SD),),
        drivers={
            "not hydrolysed, % of the litter": lignin,
            "mean warmth, °C": float(np.mean(monthly_means(first))),
            "rain, mm a year": needed(first, "map_mm"),
        },
    )
