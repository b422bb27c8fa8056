"""From what open data hold to the class of every output in one case: data-backed or extrapolation."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from mullbed.domain.backing import Backed, Backing, CaseFacts
from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.forecast import BedForecast
from mullbed.domain.layer import Layer
from mullbed.domain.residue import Group, Residue
from mullbed.reference.data_behind import DataBehind, data_behind


def case_facts(
    layers: Iterable[Layer], weather: WeatherYears, residues: Mapping[str, Residue], *, buried: bool = False
) -> CaseFacts:
    """Return what of a bed's case decides whether data reach it; residues no table holds are left out."""
    laid = [residues[lift.residue] for layer in layers for lift in layer.lifts if lift.residue in residues]
    nitrogen = [100.0 * one.nitrogen.mid for one in laid]
    groups = {one.group for one in laid}
    mean = 0.5 * (weather.low + weather.high).mean(axis=1)
    return CaseFacts(
        (min(nitrogen), max(nitrogen)) if nitrogen else None,
        Group.SOFT_FRESH in groups and bool(groups - {Group.SOFT_FRESH}),
        buried,
        (float(mean.min()), float(mean.max())),
        weather.days,
    )


def backing_of(output: str, facts: CaseFacts) -> Backed:
    """Return the class of one output in a case; one the table does not hold is an extrapolation."""
    behind = data_behind().get(output)
    if behind is None:
        return Backed(output, Backing.BEYOND, (), ("no open data of it are known to us",))
    if not behind.sets:
        return Backed(output, Backing.BEYOND, (), (behind.why,))
    beyond = tuple(_beyond(behind, facts))
    return Backed(output, Backing.BEYOND if beyond else Backing.DATA, behind.sets, beyond)


def _beyond(behind: DataBehind, facts: CaseFacts) -> list[str]:
    """Return what of a case lies outside the data."""
    found = []
    if facts.nitrogen is not None:
        if behind.nitrogen and not _inside(facts.nitrogen, behind.nitrogen):
            found.append(f"residues outside {behind.nitrogen[0]:g} to {behind.nitrogen[1]:g} % nitrogen")
        if facts.mixed and not behind.mixed:
            found.append("soft fresh and dry laid together; the data hold one residue at a time")
        if not behind.covered:
            found.append("soil under a cover")
    if facts.buried and not behind.buried:
        found.append("residue dug in")
    if behind.warmth and not _inside(facts.warmth, behind.warmth):
        found.append(f"a mean temperature outside {behind.warmth[0]:g} to {behind.warmth[1]:g} degrees")
    if behind.days and facts.days > behind.days[1]:
        found.append("more years than the data follow")
    return found


def _inside(pair: tuple[float, float], bounds: tuple[float, float]) -> bool:
    return bounds[0] <= pair[0] and pair[1] <= bounds[1]


def backings(forecast: BedForecast, facts: CaseFacts) -> tuple[Backed, ...]:
    """Return the class of every series of a forecast."""
    return tuple(backing_of(name, facts) for name in forecast.series if name != "weekly_nitrogen")
