"""The seasons of weather of a region's gardens: stations read once, cells of a grid when their chunk comes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import numpy as np

from mullbed.domain.daily_weather import DailyWeather, WeatherYears
from mullbed.domain.region import RegionGarden, RegionSpec, WeatherUsed
from mullbed.errors import Fault, InputFault
from mullbed.weather.climate_years import climate_years
from mullbed.weather.grid_cells import Cell, WeatherGrid, years_before
from mullbed.weather.place_weather import place_weather

Place = tuple[str, date, Cell | None]
"""Key of the weather, first day of the season and cell of its grid."""


class RegionSeasons:
    """Weather of gardens; that of stations is kept, that of cells is read anew."""

    def __init__(self, spec: RegionSpec, grids: dict[str, WeatherGrid]) -> None:
        """Read every station that a garden asks for.

        Raises
        ------
        InputFault
            With every fault of every station.
        """
        self._spec = spec
        self._grids = grids
        self._stations: dict[Place, WeatherYears] = {}
        faults: list[Fault] = []
        for place in dict.fromkeys(self.place(garden) for garden in spec.gardens if garden.cell is None):
            try:
                self._stations[place] = self._station(place)
            except InputFault as fault:
                faults.extend(fault.faults)
        if faults:
            raise InputFault(faults)

    def place(self, garden: RegionGarden) -> Place:
        """Return which weather a garden has."""
        return garden.weather, self._spec.begins(garden), garden.cell

    def of(self, gardens: Sequence[RegionGarden]) -> tuple[tuple[WeatherYears, ...], tuple[int, ...]]:
        """Return the different weathers of some gardens, and which of them each garden has."""
        places = list(dict.fromkeys(self.place(garden) for garden in gardens))
        found = dict(self._stations)
        for key in dict.fromkeys(place[0] for place in places if place[2] is not None):
            found.update(self._cells(key, [place for place in places if place[0] == key]))
        number = {place: index for index, place in enumerate(places)}
        return tuple(found[place] for place in places), tuple(number[self.place(garden)] for garden in gardens)

    def used(self) -> tuple[WeatherUsed, ...]:
        """Return what the weathers are made of; a grid tells its source alone."""
        stations = {
            place[0]: WeatherUsed(place[0], years.source, str(years.evidence), years.labels)
            for place, years in self._stations.items()
        }
        grids = {key: WeatherUsed(key, grid.source, "measured", ()) for key, grid in self._grids.items()}
        return tuple((stations | grids).values())

    def _station(self, place: Place) -> WeatherYears:
        first = place[1]
        last = first + timedelta(days=self._spec.days - 1)
        return self._as_many(place_weather(self._spec.stations[place[0]], first, last, self._spec.seed))

    def _cells(self, key: str, places: Sequence[Place]) -> dict[Place, WeatherYears]:
        grid = self._grids[key]
        since = years_before(grid.last_day(), self._spec.years, self._spec.days)
        records = grid.read([place[2] for place in places if place[2] is not None], since)
        return {place: self._cell(place, record) for place, record in zip(places, records, strict=True)}

    def _cell(self, place: Place, record: DailyWeather) -> WeatherYears:
        cell = place[2] or (0, 0)
        latitude = self._grids[place[0]].latitude(cell)
        chances = np.random.default_rng(np.random.SeedSequence([self._spec.seed, 77, *cell]))
        first = place[1]
        return self._as_many(
            climate_years(record, first, first + timedelta(days=self._spec.days - 1), latitude, chances)
        )

    def _as_many(self, found: WeatherYears) -> WeatherYears:
        """Return the latest of the seasons, as many as are asked for; from the first again where there are fewer."""
        asked = self._spec.years
        rows = np.arange(max(0, found.years - asked), max(found.years, asked)) % found.years
        return replace(
            found,
            low=found.low[rows],
            high=found.high[rows],
            rain=found.rain[rows],
            reference_evaporation=found.reference_evaporation[rows],
            radiation=found.radiation[rows],
            labels=tuple(found.labels[row] for row in rows),
        )
