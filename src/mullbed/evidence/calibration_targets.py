"""What the numbers of the model are fitted to: series of open data, each value with its weight."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from mullbed.evidence import aridec, forest_sets, lidet
from mullbed.evidence.field_cases import FILE as FIELD_FILE
from mullbed.evidence.field_cases import field_series
from mullbed.evidence.open_tables import read_rows, value
from mullbed.evidence.rye import FILE as RYE_FILE
from mullbed.evidence.rye import rye_series
from mullbed.evidence.series import LitterSeries

Array = NDArray[np.float64]

#: Typical error of a value: mass and nitrogen left, and nitrogen at the mass seen. [fraction]
MASS_ERROR, NITROGEN_ERROR, RYE_ERROR = 0.15, 0.25, 0.1
EARLY, RICH, MORE = 2.2 * 365.25, 1.8, 1.5


@dataclass(frozen=True, slots=True)
class Target:
    """One series that is fitted."""

    key: str
    """Set it is counted under."""
    series: LitterSeries
    fold_unit: str
    """What is dealt to a fold as a whole."""
    quantity: str
    """"mass", "nitrogen" or "nitrogen at mass"."""
    seen: Array
    weight: Array
    """Of each value, before sets are weighed against each other."""
    told: NDArray[np.bool_]
    """Which of the series' days were seen."""
    factor: str = ""
    """Set factor that it carries."""
    bound: str = ""
    """"at most" or "at least" where what was seen is a bound, of which only a breach counts."""


def targets(folder: Path) -> list[Target]:
    """Return every series of a folder that the numbers are fitted to; files that are not there are left out."""
    found: list[Target] = []
    by_index, by_weather = lidet.lidet_series(read_rows(folder / lidet.FILE) or [])
    found += [_mass("lidet_mass", one, f"lidet {one.group}", "index") for one in by_index]
    found += [_mass("lidet_mass_weather", one, f"lidet {one.group}") for one in by_weather]
    for one in by_index:
        told = one.told(lidet.MOST_NITROGEN)
        if told.any() and one.nitrogen_seen is not None:
            seen = one.nitrogen_seen[told]
            weight = np.full(seen.size, 1.0 / NITROGEN_ERROR)
            found.append(
                Target("lidet_nitrogen", one, f"lidet {one.group}", "nitrogen at mass", seen, weight, told, "index")
            )
    cidet = forest_sets.cidet_series(read_rows(folder / forest_sets.CIDET_FILE) or [])
    found += [_mass("cidet_mass", one, f"cidet {one.group}") for one in cidet]
    eurodeco = forest_sets.eurodeco_series(read_rows(folder / forest_sets.EURODECO_FILE) or [])
    found += [_mass("eurodeco_mass", one, f"eurodeco {one.group}", "eurodeco") for one in eurodeco]
    dry = aridec.aridec_series(
        read_rows(folder / aridec.SERIES_FILE) or [], read_rows(folder / aridec.VALUES_FILE) or []
    )
    found += [_mass("aridec", one, f"aridec {one.group}") for one in dry]
    cases = read_rows(folder / FIELD_FILE) or []
    bounds = {row["case_id"]: (value(row, "low"), value(row, "high")) for row in cases}
    for one in field_series(cases):
        found.append(_field(one, *bounds[one.name]))
    for one in rye_series(read_rows(folder / RYE_FILE) or []):
        whole = np.ones(one.days.size, dtype=bool)
        weight = np.full(one.days.size, 1.0 / RYE_ERROR)
        unit = f"rye {one.chemistry.nitrogen:g}"
        found.append(Target("nitrogen_mineralisation", one, unit, "nitrogen", one.seen, weight, whole))
    return found


def _mass(key: str, one: LitterSeries, unit: str, factor: str = "") -> Target:
    more = (one.days <= EARLY) | (one.surface and one.chemistry.nitrogen >= RICH)
    weight = np.where(more, MORE, 1.0) / MASS_ERROR
    return Target(key, one, unit, "mass", one.seen, weight, np.ones(one.days.size, dtype=bool), factor)


def _field(one: LitterSeries, low: float | None, high: float | None) -> Target:
    """Return a field case; a value that is only a bound counts when it is broken."""
    seen = float(one.seen[0])
    bound = "at most" if low is None and high == seen else "at least" if high is None and low == seen else ""
    quantity = "mass" if one.nitrogen_seen is None else "nitrogen"
    weight = np.array([1.0 / MASS_ERROR])
    whole = np.ones(1, dtype=bool)
    return Target("field_green_mulch", one, f"field {one.group}", quantity, one.seen, weight, whole, bound=bound)


def absent_files(folder: Path) -> list[str]:
    """Return the files of the sets that are fitted to which are not in a folder."""
    asked = (
        lidet.FILE, forest_sets.CIDET_FILE, forest_sets.EURODECO_FILE, aridec.SERIES_FILE, aridec.VALUES_FILE,
        FIELD_FILE, RYE_FILE,
    )  # fmt: skip
    return [name for name in asked if not (folder / name).is_file()]
