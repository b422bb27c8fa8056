"""Begin the record of a garden from its garden file, or keep a new version of it.

Reads the file and what it names, writes to the record. Raises InputFault when the file is at fault, RecordError when
the record cannot be written.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from mullbed.domain.garden import Garden
from mullbed.domain.record import Entry, withdrawal
from mullbed.domain.record_ground import BedTold
from mullbed.domain.record_kinds import Facts, Kind
from mullbed.domain.record_papers import GardenFileKept
from mullbed.domain.signing import Signature, Where
from mullbed.errors import Fault, InputFault
from mullbed.files.record_garden import GARDEN_FILE, garden_facts, whole_garden
from mullbed.files.usual_weather import USUAL_FILE, usual_text
from mullbed.store.database import open_record
from mullbed.store.journal import append, entries, gardens
from mullbed.store.only_begun import only_begun
from mullbed.store.which_garden import which_garden
from mullbed.weather.place_weather import place_weather
from mullbed.weather.recorded_days import UsualDay, usual_days


@dataclass(frozen=True, slots=True)
class CreatedGarden:
    """What was kept."""

    id: str
    garden: Garden
    place: str
    """Where the record is."""
    entries: tuple[Entry, ...]
    """New ones; none where everything was kept already."""
    first: bool
    """True where the garden was not in the record before."""
    given_up: tuple[str, ...]
    """Beds that are no longer in the file."""


def create_garden(path: Path, where: Where, signed: Signature, *, seed: int = 1) -> CreatedGarden:
    """Keep a garden file in the record, and what is new in it as entries of their own.

    Raises
    ------
    InputFault
        When the garden or its weather is at fault.
    RecordError
        When the record cannot be written.
    """
    kept = whole_garden(path)
    identity = where.garden or short_name(kept.garden.site.name)
    told = (
        (Kind.GARDEN_FILE, GardenFileKept(USUAL_FILE, usual_text(_usual(kept.source, seed))), None),
        *garden_facts(kept),
    )
    with open_record(where.record) as record, record.writing() as transaction:
        known = identity in gardens(transaction)
        before = entries(transaction, identity, kinds=(Kind.GARDEN_FILE, Kind.SITE, Kind.BED)) if known else ()
        newest = {_slot(entry.kind, entry.bed, entry.facts): entry.facts for entry in before}
        given_up = _given_up(newest, kept.garden)
        changed = [one for one in told if newest.get(_slot(one[0], one[2], one[1])) != one[1]]
        changed[:0] = [(Kind.BED, facts, name) for name, facts in given_up.items()]
        new = tuple(
            Entry(signed.new_id(), identity, kind, signed.today, signed.now, signed.author, facts, bed=bed)
            for kind, facts, bed in changed
        )
        append(transaction, new)
    return CreatedGarden(identity, kept.garden, record.place, new, not known, tuple(given_up))


def bring_garden(text: str, weather: str | None, where: Where, signed: Signature) -> CreatedGarden:
    """Keep a garden file that was sent as text, with the weather it names.

    Whatever else a sent garden file names is refused, so that nothing of this machine can be read by it.

    Raises
    ------
    InputFault
        When the garden or its weather is at fault.
    """
    named = _weather_name(text)
    with TemporaryDirectory() as folder:
        path = Path(folder) / GARDEN_FILE
        path.write_text(text, encoding="utf-8")
        if named is not None:
            if named != Path(named).name or named in ("", ".", "..", GARDEN_FILE) or "\\" in named or "\0" in named:
                remedy = 'Write the name alone, such as daily_file = "weather.csv", and bring that file too.'
                raise InputFault([Fault("[weather] daily_file", named[:60], "a name without folders", remedy)])
            if weather is None:
                remedy = "Bring it beside the garden file."
                raise InputFault([Fault("[weather] daily_file", f"{named[:60]} was not brought", "that file", remedy)])
            (Path(folder) / named[:120]).write_text(weather, encoding="utf-8")
        return create_garden(path, where, signed)


def begin_anew(where: Where, signed: Signature) -> int:
    """Take a garden back that was only begun: nothing laid, seen or noted since; return how many entries.

    Raises
    ------
    InputFault
        When work was written down, which a new beginning would hide.
    """
    with open_record(where.record) as record, record.writing() as transaction:
        identity = which_garden(transaction, where.garden)
        if not only_begun(transaction, identity):
            remedy = "Change beds and heaps one by one, or bring a new version of the garden file."
            raise InputFault([Fault("Garden", "work is written down in it", "a garden only begun", remedy)])
        standing = entries(transaction, identity)
        back = tuple(
            withdrawal(one, id=signed.new_id(), written_at=signed.now, author=signed.author, reason="begun anew")
            for one in standing
            if one.kind != Kind.TAKEN_BACK
        )
        append(transaction, back)
    return len(back)


def _weather_name(text: str) -> str | None:
    """Return the weather file a garden file names; None where it names none or can't be read, which is told later."""
    try:
        weather = tomllib.loads(text).get("weather")
    except (tomllib.TOMLDecodeError, RecursionError):
        return None
    named = weather.get("daily_file") if isinstance(weather, dict) else None
    return named if isinstance(named, str) else None


def _usual(garden: Garden, seed: int) -> tuple[UsualDay, ...]:
    """Return what is usual on every day of the year; of the season alone where the record of a station is short."""
    first = garden.first_day.replace(month=1, day=1)
    try:
        weather = place_weather(garden.site, first, first + timedelta(days=364), seed)
    except InputFault:
        weather = place_weather(garden.site, garden.first_day, garden.last_day, seed)
    return usual_days(weather)


def _slot(kind: str, bed: str | None, facts: object) -> tuple[str, str]:
    """Return what an entry stands for, so that the newest of it can be found."""
    return kind, facts.name if isinstance(facts, GardenFileKept) else bed or ""


def _given_up(newest: Mapping[tuple[str, str], Facts], garden: Garden) -> dict[str, BedTold]:
    """Return beds in use that the garden no longer has, as given up."""
    return {
        name: replace(facts, in_use=False)
        for (kind, name), facts in newest.items()
        if kind == Kind.BED and isinstance(facts, BedTold) and facts.in_use and garden.bed(name) is None
    }


def short_name(name: str) -> str:
    """Return a garden's name as an id: small letters, digits and hyphens."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode("ascii").casefold()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60] or "garden"
