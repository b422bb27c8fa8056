"""The open data sets a folder may hold: which files each asks for, and how it is compared with the model."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from mullbed.domain.validation import Comparison
from mullbed.evidence import aridec, field_cases, forest_sets, incubations, lidet, rye, soil_pools, station
from mullbed.evidence.doubt import Ensemble
from mullbed.evidence.learning import Draw, Update, compare_learning
from mullbed.evidence.open_tables import Row, read_rows
from mullbed.evidence.series import LitterSeries


@dataclass(frozen=True, slots=True)
class Family:
    """Sets that come from the same files."""

    keys: tuple[str, ...]
    files: tuple[str, ...]
    """Names, or patterns of names."""
    compare: Callable[[Path, Ensemble], list[Comparison]]

    def missing(self, folder: Path) -> str | None:
        """Return the first file that is not in the folder, or None."""
        return next((name for name in self.files if not any(folder.glob(name))), None)


def _of_rows(
    file: str, compare: Callable[[list[Row], Ensemble], list[Comparison]]
) -> Callable[[Path, Ensemble], list[Comparison]]:
    return lambda folder, ensemble: compare(_rows(folder, file), ensemble)


def _of_two(
    series: str, values: str, compare: Callable[[list[Row], list[Row], Ensemble], list[Comparison]]
) -> Callable[[Path, Ensemble], list[Comparison]]:
    return lambda folder, ensemble: compare(_rows(folder, series), _rows(folder, values), ensemble)


def _rows(folder: Path, file: str) -> list[Row]:
    return read_rows(folder / file) or []


FAMILIES: tuple[Family, ...] = (
    Family(
        ("lidet_mass", "lidet_mass_2y", "lidet_mass_weather", "lidet_nitrogen", "lidet_nitrogen_free"),
        (lidet.FILE,),
        _of_rows(lidet.FILE, lidet.compare_lidet),
    ),
    Family(("cidet_mass",), (forest_sets.CIDET_FILE,), _of_rows(forest_sets.CIDET_FILE, forest_sets.compare_cidet)),
    Family(
        ("eurodeco_mass",),
        (forest_sets.EURODECO_FILE,),
        _of_rows(forest_sets.EURODECO_FILE, forest_sets.compare_eurodeco),
    ),
    Family(
        ("aridec_mass", "aridec_surface_green", "aridec_surface_farm", "aridec_buried"),
        (aridec.SERIES_FILE, aridec.VALUES_FILE),
        _of_two(aridec.SERIES_FILE, aridec.VALUES_FILE, aridec.compare_aridec),
    ),
    Family(("field_green_mulch",), (field_cases.FILE,), _of_rows(field_cases.FILE, field_cases.compare_field)),
    Family(("nitrogen_mineralisation",), (rye.FILE,), _of_rows(rye.FILE, rye.compare_rye)),
    Family(
        ("incubation_q10",),
        (incubations.SERIES_FILE, incubations.VALUES_FILE),
        _of_two(incubations.SERIES_FILE, incubations.VALUES_FILE, incubations.compare_incubations),
    ),
    Family(("soil_temperature", "soil_water"), (station.FILES,), station.compare_station),
    Family(
        ("rothc",), (soil_pools.INPUTS, soil_pools.MONTHLY), lambda folder, _: soil_pools.compare_soil_pools(folder)
    ),
)


def learning_family(update: Update, draw: Draw) -> Family:
    """Return the set that judges an update of belief; any one of the litter files is enough for it."""
    return Family(
        ("learning",),
        ("litter_*.csv",),
        lambda folder, ensemble: [compare_learning(learning_series(folder), ensemble, update, draw)],
    )


def learning_series(folder: Path) -> list[LitterSeries]:
    """Return the litter series of a folder whose drive is made from weather alone."""
    _, by_weather = lidet.lidet_series(_rows(folder, lidet.FILE))
    forests = forest_sets.cidet_series(_rows(folder, forest_sets.CIDET_FILE))
    dry = aridec.aridec_series(_rows(folder, aridec.SERIES_FILE), _rows(folder, aridec.VALUES_FILE))
    return [*by_weather, *forests, *dry]
