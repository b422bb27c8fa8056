"""Tell what may be behind what was noticed on a bed, and what to do now.

Reads the garden file and, unless it must be quick, its weather; writes nothing. Raises InputFault or NotFound with what
cannot be read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from pathlib import Path

from mullbed.diagnose.bed_diagnosis import diagnose
from mullbed.diagnose.remedies import DryStuff
from mullbed.diagnose.symptoms import find_sign, read_answer
from mullbed.domain.bed import Bed
from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.diagnosis import Diagnosis
from mullbed.domain.forecast import BedForecast
from mullbed.domain.garden import Garden, Site
from mullbed.domain.observation import Observation
from mullbed.domain.record_seen import WeatherDay
from mullbed.domain.residue import Group
from mullbed.domain.signing import Where
from mullbed.domain.spread import Evidence, Spread
from mullbed.errors import Fault, InputFault, NotFound
from mullbed.files.garden_file import read_garden
from mullbed.files.noted_words import bed_named
from mullbed.files.record_garden import GARDEN_KINDS, kept_garden
from mullbed.reference.containers import find_container
from mullbed.reference.residues import all_residues

MOST_PAST_DAYS = 730
"""Layers older than this are not run. Judgement. [d]"""
AHEAD_DAYS = 42
"""The model looks so far ahead for nitrogen that comes by itself. Judgement. [d]"""


@dataclass(frozen=True, slots=True)
class BedTrouble:
    """A diagnosis and the garden it was made in."""

    garden: Garden
    bed: Bed
    diagnosis: Diagnosis


def diagnose_bed(
    path: Path | None,
    bed: str,
    signs: Sequence[str],
    *,
    day: date,
    absent: Sequence[str] = (),
    told: Sequence[str] = (),
    observations: Sequence[Observation] = (),
    where: Where | None = None,
    quick: bool = False,
    members: int = 64,
    seed: int = 1,
) -> BedTrouble:
    """Return the causes of what was noticed, likeliest first, with remedies for this bed.

    Parameters
    ----------
    path : Path or None
        The garden file; not read where the record tells the garden.
    bed : str
    signs, absent : sequence of str
        Signs found, and looked for and not found, in growers' words.
    told : sequence of str
        Answers such as "soil_ph=7.8".
    day : date
        The day they were noticed.
    observations : sequence of Observation
        Beside those of the record; those of this bed and the last week count.
    where : Where, optional
        The record: what was really laid, watered, seen and rained until that day.
    quick : bool
        True leaves the daily model out: only what was laid, sown and noticed counts.
    members, seed : int

    Raises
    ------
    InputFault
        When garden, bed, signs or answers cannot be read; all faults at once.
    """
    record = _told(where, day) if where is not None else None
    garden = record.garden if record is not None else read_garden(_given(path), needs_supplies=False)
    observations = (*observations, *(record.observations if record is not None else ()))
    faults: list[Fault] = []
    chosen = bed_named(garden, bed, "--bed")

    def keys(names: Sequence[str], option: str) -> list[str]:
        found = []
        for name in names:
            try:
                found.append(find_sign(name))
            except NotFound as unknown:
                near = ", ".join(unknown.nearest) or "mullbed noticed --list shows them all"
                faults.append(Fault(option, f"no sign is called '{name}'", near, "Choose one of these."))
        return found

    found, missing = keys(signs, "--sign"), keys(absent, "--not")
    answers = []
    for text in told:
        try:
            answers.append(read_answer(text))
        except InputFault as refused:
            faults += refused.faults
        except NotFound as unknown:
            near = ", ".join(unknown.nearest) or "see docs/howto/find-what-is-wrong.md"
            faults.append(Fault("--know", text, near, "Choose one of these."))
    if twice := sorted(set(found) & set(missing)):
        faults.append(Fault("--sign and --not", ", ".join(twice), "a sign once", "Say whether it is there or not."))
    own = [one for one in observations if one.bed == chosen.name]
    if not found and not own:
        faults.append(Fault("--sign", "nothing noticed", "one sign or more", "See mullbed noticed --list."))
    if faults:
        raise InputFault(faults)
    forecast, rain = (None, None) if quick else _run(garden, chosen, day, members, seed, record)
    diagnosis = diagnose(
        chosen,
        day,
        found,
        latitude=garden.site.latitude,
        residues=all_residues(),
        dry=_dry_stuff(garden, day),
        absent=missing,
        told=answers,
        observations=own,
        forecast=forecast,
        rain_week=rain,
    )
    return BedTrouble(garden, chosen, diagnosis)


@dataclass(frozen=True, slots=True)
class _Told:
    """What the record tells up to a day."""

    garden: Garden
    observations: tuple[Observation, ...]
    weather: tuple[tuple[date, WeatherDay], ...]
    station_text: str | None


def _given(path: Path | None) -> Path:
    if path is None:
        raise InputFault([Fault("GARDEN", "not given", "a garden file, or the record", "Name one of them.")])
    return path


def _told(where: Where, day: date) -> _Told:
    """Return the garden as it was done, with what was seen and read in it."""
    from mullbed.files.record_told import TOLD_KINDS, told_in
    from mullbed.plan.garden_as_done import garden_as_done
    from mullbed.reference.crops import all_crops
    from mullbed.store.database import open_record
    from mullbed.store.journal import entries
    from mullbed.store.which_garden import which_garden

    with open_record(where.record) as record, record.reading() as transaction:
        identity = which_garden(transaction, where.garden)
        kept = kept_garden(entries(transaction, identity, kinds=GARDEN_KINDS))
        found = entries(transaction, identity, kinds=TOLD_KINDS, last_day=day)
    if kept is None:
        remedy = "Begin with: mullbed garden new garden.toml"
        raise InputFault([Fault("record", f"no garden file of {identity}", "a garden", remedy)])
    told = told_in(found)
    garden = garden_as_done(
        kept.garden,
        told.doings,
        day,
        crops=all_crops(),
        residues=all_residues(),
        container=find_container,
        from_today=False,
    )
    return _Told(garden, told.observations, told.weather, kept.station_text)


def _run(
    garden: Garden, bed: Bed, day: date, members: int, seed: int, told: _Told | None
) -> tuple[BedForecast, Spread]:
    """Return the bed's forecast around a day, and the rain of the week before it."""
    import numpy as np  # only a run needs the engine

    from mullbed.plan.bed_forecast import forecast_of
    from mullbed.reference.crops import all_crops
    from mullbed.simulate.bed_case import bed_case
    from mullbed.simulate.ensemble import draw_members
    from mullbed.weather.recorded_days import with_known_days

    begins = [layer.day for layer in bed.layers] + [crop.planted for crop in bed.crops if crop.planted <= day]
    first = max(min([*begins, day - timedelta(days=60)]), day - timedelta(days=MOST_PAST_DAYS))
    last = day + timedelta(days=AHEAD_DAYS)
    weather = _weather(garden.site, first, last, seed, told.station_text if told else None)
    if told is not None:
        weather = with_known_days(weather, told.weather, garden.site.latitude)
    case = bed_case(bed, weather, all_crops(), all_residues())
    layers = [layer for layer in bed.layers if first <= layer.day <= day]
    forecast, _ = forecast_of(case, layers, draw_members(case, members, seed), seed)
    index = (day - first).days
    week = weather.rain[:, max(0, index - 6) : index + 1].sum(axis=1)
    low, mid, high = (float(one) for one in np.percentile(week, (10.0, 50.0, 90.0)))
    return forecast, Spread(low, mid, high, "mm", Evidence.WORKED_OUT, "mullbed_model")


@lru_cache(maxsize=8)
def _weather(site: Site, first: date, last: date, seed: int, station_text: str | None) -> WeatherYears:
    """Return the possible seasons of a place; reading them anew for every question would be slow."""
    from mullbed.weather.place_weather import place_weather  # only a run needs it

    return place_weather(site, first, last, seed, station_text=station_text)


def _dry_stuff(garden: Garden, day: date) -> DryStuff:
    """Return what dry cover is counted in: the container of dry stuff in hand, else a bucket."""
    own = {one.name.casefold(): one for one in garden.containers}
    residues = all_residues()
    for supply in garden.supplies:
        ready = supply.first_day <= day and supply.held_because is None
        if ready and residues[supply.residue].group is Group.DRY:
            if supply.container.casefold() in own:
                return DryStuff(supply.container, own[supply.container.casefold()].litres)
            try:
                table = find_container(supply.container)
            except NotFound:
                continue
            if not table.pressed:
                return DryStuff(table.name, table.litres)
    return DryStuff("bucket", find_container("bucket").litres)
