"""Residues and leaves from dry to half-dry lands, on the surface and dug in (Sarquis and others 2022)."""

from __future__ import annotations

import numpy as np

from mullbed.domain.validation import Comparison
from mullbed.evidence.doubt import Ensemble
from mullbed.evidence.forcing import Climate, Drive, daily_weather, drive, half_range_of_latitude
from mullbed.evidence.gathering import joined, side_by_side
from mullbed.evidence.litter import LIGNIN, Chemistry
from mullbed.evidence.open_tables import Row, needed, value
from mullbed.evidence.series import LitterSeries

SERIES_FILE, VALUES_FILE = "litter_aridec_series.csv", "litter_aridec.csv"
MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
    "december",
)  # fmt: skip
#: Day of the year a series begins where its month is not told, north and south. [d]
LAID_NORTH, LAID_SOUTH = 300, 120
#: Fewest values of a series, the first one included.
FEWEST = 3
#: What is not told, [@mullbed_model] section 6.0. [% of dry matter]
WOODY_LIGNIN, HERB_LIGNIN, CARBON, MOST_CARBON = 17.0, 7.0, 44.0, 60.0
#: Doubt of an assumed lignin, as log-sd. [@mullbed_model] section 10
LIGNIN_LOG_SD = 0.4
RICH_NITROGEN = 1.8
FARM = ("farmland", "urban", "greenbelt")
#: Under trees and in the open: basal coefficient and cover. [1]
TREES, OPEN = (0.5, 0.5), (0.15, 0.0)


def compare_aridec(series: list[Row], values: list[Row], ensemble: Ensemble) -> list[Comparison]:
    """Return mass left: all series, rich litter on the surface, farm land on the surface, dug in."""
    used = aridec_series(series, values)
    points = side_by_side(lambda one: one.mass_points(one.left(ensemble)), used)
    every = joined(
        "aridec_mass",
        "Residues and leaves of dry to half-dry lands",
        "study",
        points,
        lambda members: ensemble.noisy_rows(members, [one.known for one in used for _ in one.seen], "aridec_mass"),
    )
    sizes = np.array([one.seen.size for one in used], dtype=np.int64)
    surface = np.repeat(np.array([one.surface for one in used], dtype=bool), sizes)
    rich = np.repeat(np.array([one.chemistry.nitrogen >= RICH_NITROGEN for one in used], dtype=bool), sizes)
    farm = np.repeat(np.array([one.land in FARM for one in used], dtype=bool), sizes)
    return [
        every,
        every.where(surface & rich, "aridec_surface_green", "The same, nitrogen 1.8 % and more, on the surface"),
        every.where(surface & farm, "aridec_surface_farm", "The same, farm and town land, on the surface"),
        every.where(~surface, "aridec_buried", "The same, dug in"),
    ]


def aridec_series(series: list[Row], values: list[Row]) -> list[LitterSeries]:
    """Return the ordinary series: on the surface or dug in, nitrogen and climate told, three values and more."""
    seen: dict[str, list[tuple[float, float]]] = {}
    for row in values:
        seen.setdefault(row["series_id"], []).append((needed(row, "days"), needed(row, "remaining")))
    used = [row for row in series if _is_ordinary(row) and len(seen.get(row["series_id"], [])) >= FEWEST]
    climates = {_place(row): row for row in used}
    drives = dict(zip(climates, side_by_side(_driven, climates.values()), strict=True))
    found = []
    for row in used:
        after = sorted(one for one in seen[row["series_id"]] if one[0] > 0.0)
        if after:
            found.append(_one_series(row, after, drives[_place(row)]))
    return found


def _is_ordinary(row: Row) -> bool:
    needed_columns = ("n_pct0", "mat_c", "map_mm", "lat")
    return row["position_class"] in ("surface", "buried") and all(row[column] for column in needed_columns)


def _wooded(row: Row) -> bool:
    return "forest" in row["land_cover"] or "wood" in row["land_cover"]


def _place(row: Row) -> tuple[str, str, str, bool]:
    return row["mat_c"], row["map_mm"], row["lat"], _wooded(row)


def _driven(row: Row) -> Drive:
    latitude = needed(row, "lat")
    climate = Climate(needed(row, "mat_c"), half_range_of_latitude(latitude), needed(row, "map_mm") / 365.0, latitude)
    return drive(daily_weather(climate, 1, 3), *(TREES if _wooded(row) else OPEN))


def _laid(row: Row) -> int:
    """Return the day of the year a series begins: the middle of its month, or by hemisphere."""
    if row["start_month"] in MONTHS:
        return round(MONTHS.index(row["start_month"]) * 365.0 / 12.0) + 14
    return (LAID_NORTH if needed(row, "lat") >= 0.0 else LAID_SOUTH) - 1


def _known(surface: bool, chemistry: Chemistry) -> str:
    """Return the row of the table of doubt: annual means only, by placement and richness."""
    if not surface:
        return "annual_buried"
    return "annual_rich" if chemistry.nitrogen >= RICH_NITROGEN else "annual"


def _one_series(row: Row, after: list[tuple[float, float]], driven: Drive) -> LitterSeries:
    surface = row["position_class"] == "surface"
    lignin, carbon = value(row, "lignin_pct0"), value(row, "c_pct0")
    assumed = WOODY_LIGNIN if row["growth_form"] in ("evergreen", "deciduous") else HERB_LIGNIN
    chemistry = Chemistry(
        needed(row, "n_pct0"),
        assumed if lignin is None else lignin,
        CARBON if carbon is None or carbon > MOST_CARBON else carbon,
    )
    return LitterSeries(
        name=row["series_id"],
        group=row["study"],
        place=f"aridec {row['study']} {row['site']}",
        litter=row["litter"],
        chemistry=chemistry,
        drive=driven.on_surface() if surface else driven.dug_in(),
        start=_laid(row),
        days=np.array([round(day) for day, _ in after]),
        seen=np.array([one for _, one in after]),
        known=_known(surface, chemistry),
        surface=surface,
        land=row["land_cover"],
        unsure=() if lignin is not None else ((LIGNIN, LIGNIN_LOG_SD),),
        drivers={
            "nitrogen of the litter, %": chemistry.nitrogen,
            "mean warmth, °C": needed(row, "mat_c"),
            "rain, mm a year": needed(row, "map_mm"),
        },
    )
