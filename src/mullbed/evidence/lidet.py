"""Leaf litter on the surface of many sites for ten years: mass and nitrogen left (Harmon 2013).

Three ways in: the site's decomposition index scales the drive; the site's own monthly warmth and annual rain make
it; nitrogen is told at the mass that was seen, so that it judges nitrogen alone.
"""

from __future__ import annotations

import numpy as np

from mullbed.domain.validation import Comparison
from mullbed.evidence.doubt import Ensemble
from mullbed.evidence.forcing import Drive, daily_weather, drive, monthly_means, site_climate
from mullbed.evidence.gathering import Points, by_series, joined, side_by_side
from mullbed.evidence.litter import Chemistry
from mullbed.evidence.open_tables import Row, needed, value
from mullbed.evidence.series import LitterSeries

FILE = "litter_lidet.csv"
#: Day of the year on which bags are laid, and how long the first years are. [d], [a]
LAID, FIRST_YEARS = 300, 2.2
#: Mean drive per unit of the given decomposition index, the set's one calibration factor. [@mullbed_model] 6.0
INDEX_FACTOR = 0.85
#: Nitrogen left above this is contamination, as the file's remarks say. [fraction]
MOST_NITROGEN = 2.5
#: Lignin and carbon of tree leaves, where not told ([@mullbed_model] eq. 3 and table of checks). [% of dry matter]
LIGNIN, CARBON = 15.0, 46.0
YEAR = 365.25


def compare_lidet(rows: list[Row], ensemble: Ensemble) -> list[Comparison]:
    """Return mass left by index (all years, first years) and by weather, nitrogen left at seen mass and freely."""
    by_index, by_weather = lidet_series(rows)
    found = side_by_side(lambda one: one.left(ensemble), by_index)
    mass = joined(
        "lidet_mass",
        "Leaf litter on the surface, ten years, decomposition index known",
        "site",
        [one.mass_points(left) for one, left in zip(by_index, found, strict=True)],
        lambda members: ensemble.noisy(members, "index", "lidet_mass"),
    )
    early = mass.where(mass.days <= FIRST_YEARS * YEAR, "lidet_mass_2y", "The same, first 2.2 years")
    own = joined(
        "lidet_mass_weather",
        "The same litter, drive made from monthly warmth and annual rain",
        "site",
        side_by_side(lambda one: one.mass_points(one.left(ensemble)), by_weather),
        lambda members: ensemble.noisy(members, "monthly", "lidet_weather"),
    )

    def at_mass(one: LitterSeries) -> Points:
        told = one.told(MOST_NITROGEN)
        return one.nitrogen_points(one.nitrogen_at_seen_mass(ensemble.records, one.litters(ensemble), told), told)

    nitrogen = joined(
        "lidet_nitrogen",
        "Nitrogen left in leaf litter at the mass that was seen",
        "site",
        side_by_side(at_mass, by_index),
        lambda members: ensemble.noisy(members, "nitrogen", "lidet_nitrogen"),
    )
    freely = [
        one.nitrogen_points(left.nitrogen[:, one.told(MOST_NITROGEN)], one.told(MOST_NITROGEN))
        for one, left in zip(by_index, found, strict=True)
    ]
    free = joined(
        "lidet_nitrogen_free",
        "Nitrogen left in leaf litter, mass predicted too",
        "site",
        freely,
        lambda members: ensemble.noisy(members, "nitrogen", "lidet_nitrogen_free"),
    )
    return [mass, early, own, nitrogen, free]


def lidet_series(rows: list[Row]) -> tuple[list[LitterSeries], list[LitterSeries]]:
    """Return every series twice: its drive scaled by the decomposition index, and made from the site's own weather."""
    usable = [row for row in rows if _usable(row)]
    sites = {row["site"]: row for row in usable}
    drives = {site: drive(daily_weather(site_climate(row), 1, 3)) for site, row in sites.items()}
    by_index, by_weather = [], []
    for series in by_series(usable).values():
        driven, index = drives[series[0]["site"]], value(series[0], "climate_decomp_index")
        if index is not None:
            scale = INDEX_FACTOR * index / float(driven.surface.mean())
            by_index.append(_one_series(series, driven, scale, "index"))
        by_weather.append(_one_series(series, driven, 1.0, "monthly"))
    return by_index, by_weather


def _usable(row: Row) -> bool:
    """Tell whether nitrogen of the litter, mass left and the climate of the site are there."""
    columns = ("years", "mass_remaining", "n_pct0", "map_mm", *(f"t{month:02d}_c" for month in range(1, 13)))
    return all(row[column] for column in columns)


def _one_series(rows: list[Row], driven: Drive, scale: float, known: str) -> LitterSeries:
    rows = sorted(rows, key=lambda row: needed(row, "years"))
    first = rows[0]
    chemistry = Chemistry(
        needed(first, "n_pct0"),
        value(first, "lignin_pct0") or LIGNIN,
        value(first, "c_pct0") or CARBON,
        value(first, "water_soluble_frac0"),
        value(first, "ethanol_soluble_frac0") or 0.0,
    )
    nitrogen = [value(row, "n_remaining") for row in rows]
    return LitterSeries(
        name=first["series_id"],
        group=first["site"],
        place=f"lidet {first['site']}",
        litter=first["species_code"],
        chemistry=chemistry,
        drive=driven.on_surface(scale),
        start=LAID - 1,
        days=np.array([round(needed(row, "years") * YEAR) for row in rows]),
        seen=np.array([needed(row, "mass_remaining") for row in rows]),
        known=known,
        nitrogen_seen=np.array([np.nan if one is None else one for one in nitrogen]),
        drivers={
            "nitrogen of the litter, %": chemistry.nitrogen,
            "lignin of the litter, %": chemistry.lignin,
            "mean warmth, °C": float(np.mean(monthly_means(first))),
            "rain, mm a year": needed(first, "map_mm"),
        },
    )
