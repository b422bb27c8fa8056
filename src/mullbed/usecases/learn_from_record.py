"""Tell what the record taught: of each bed, of the buckets, and which entries are odd.

Reads the garden file, its weather and the record, writes nothing. Raises InputFault when any is at fault, RecordError
when the record cannot be read.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from mullbed.domain.garden import Garden
from mullbed.domain.learnt import LearntGarden
from mullbed.domain.signing import Where
from mullbed.files.garden_file import read_garden
from mullbed.files.record_told import TOLD_KINDS, told_in
from mullbed.learn.beds import PARTICLES, learn_garden
from mullbed.learn.containers import containers_of, learn_containers
from mullbed.learn.harvests import harvest_observations
from mullbed.plan.garden_as_done import garden_as_done
from mullbed.reference.containers import find_container
from mullbed.reference.crops import all_crops
from mullbed.reference.residues import all_residues
from mullbed.simulate.bed_case import bed_case
from mullbed.store.database import open_record
from mullbed.store.journal import entries
from mullbed.store.which_garden import which_garden
from mullbed.weather.place_weather import place_weather
from mullbed.weather.recorded_days import with_known_days


@dataclass(frozen=True, slots=True)
class LearntFromRecord:
    """What the record taught of a garden."""

    garden: Garden
    learnt: LearntGarden


def learn_from_record(
    path: Path,
    where: Where,
    *,
    today: date,
    seed: int = 1,
    particles: int = PARTICLES,
    threads: int = 2,
    progress: Callable[[str], None] = lambda _: None,
) -> LearntFromRecord:
    """Return what is believed of a garden's beds and containers after everything up to today.

    Raises
    ------
    InputFault
        When the garden, its weather or the record is at fault.
    RecordError
        When the record cannot be read.
    """
    garden = read_garden(path, needs_supplies=False)
    with open_record(where.record) as record, record.reading() as transaction:
        told = told_in(entries(transaction, which_garden(transaction, where.garden), kinds=TOLD_KINDS))
    crops, residues = all_crops(), all_residues()
    weighed = [one for one in told.doings.weighed if one.day <= today]
    containers = learn_containers(containers_of(garden.containers, weighed, find_container), residues, weighed)
    garden = garden_as_done(
        garden, told.doings, today, crops=crops, residues=residues, container=find_container, from_today=False
    )
    oldest = min((layer.day for one in garden.beds for layer in one.layers), default=garden.first_day)
    first = max(min(oldest, garden.first_day), garden.first_day - timedelta(days=730))
    weather = with_known_days(
        place_weather(garden.site, first, garden.last_day, seed), told.weather, garden.site.latitude
    )
    seen = [one for one in told.observations if one.day <= today]
    seen += harvest_observations(garden.beds, told.doings.picked, crops)
    cases = [bed_case(one, weather, crops, residues) for one in garden.beds]
    posterior = learn_garden(cases, seen, particles, seed, threads, progress)
    return LearntFromRecord(garden, LearntGarden(posterior.beds, containers, posterior.unused))
