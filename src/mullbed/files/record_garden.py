"""The garden in the record: a garden file becomes entries, and entries become the garden and what was done in it.

Rules
-----
G1 The garden is that of the newest garden file kept; what was told of site, beds, containers, supplies and crops after
   it was kept holds over it.
   A season that was carried over stands in place of the garden file before it.
G2 What was done counts from the first entry on; where a season was carried over, from the day after that.
G3 The text kept is whole by itself: the beds of a list beside it are written into it, and its weather file is kept
   beside it under its bare name.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import lru_cache
from pathlib import Path, PurePosixPath

from mullbed.domain.bed import Bed, PhosphorusStatus
from mullbed.domain.doings import CameIn, Doings, Picked, Poured, SoilTested, TakenOff, Weighed
from mullbed.domain.doings import Sown as SownThere
from mullbed.domain.garden import Garden
from mullbed.domain.layer import Layer
from mullbed.domain.plain_values import from_plain
from mullbed.domain.record import Entry
from mullbed.domain.record_batches import BatchDecided, BatchTaken, ContainerWeighed, Decision
from mullbed.domain.record_crops import CropTold, Harvested, Sown
from mullbed.domain.record_ground import BedTold, ContainerTold, SiteTold, SupplyTold
from mullbed.domain.record_kinds import Facts, Kind
from mullbed.domain.record_papers import Document, GardenFileKept
from mullbed.domain.record_seen import SoilTested as SoilTestKept
from mullbed.domain.record_seen import WeatherDay
from mullbed.domain.record_work import CoverDrawnBack, DugIn, Fed, IrrigationSet, LayerLaid, Watered
from mullbed.domain.supply import Supply
from mullbed.errors import Fault, InputFault
from mullbed.files.garden_file import parse_garden, read_garden
from mullbed.files.garden_writer import garden_toml
from mullbed.files.plain_text import read_plain_text

GARDEN_FILE = "garden.toml"
"""Name the garden file is kept under, whatever it was called."""
GARDEN_KINDS = (
    Kind.SITE,
    Kind.BED,
    Kind.CONTAINER,
    Kind.SUPPLY,
    Kind.CROP,
    Kind.IRRIGATION,
    Kind.GARDEN_FILE,
    Kind.CARRIED_OVER,
)
"""Kinds of entry that tell of the garden itself."""
DONE_KINDS = (
    Kind.LAYER,
    Kind.WATER,
    Kind.DRAWN_BACK,
    Kind.SOWN,
    Kind.HARVEST,
    Kind.BATCH,
    Kind.BATCH_DECISION,
    Kind.WEIGHING,
    Kind.SOIL_TEST,
    Kind.FED,
    Kind.DUG_IN,
)
"""Kinds of entry that tell of what was done."""
LARGEST_WEATHER = 40_000_000
"""[byte]"""


@dataclass(frozen=True, slots=True)
class GardenText:
    """A garden file that is whole by itself."""

    garden: Garden
    """Its weather file named by its bare name."""
    source: Garden
    """As it was read where it lies."""
    text: str
    weather_name: str | None
    """Bare name of its weather file; None for monthly means."""
    weather_text: str | None


@dataclass(frozen=True, slots=True)
class KeptGarden:
    """The garden as the record tells it now, before what was done is laid over it."""

    garden: Garden
    text: str | None
    """The garden file it stands on; None where it was carried over since."""
    kept_on: date
    station_text: str | None
    """Daily weather of its station file, kept in the record; None for monthly means."""
    carried_over_on: date | None
    """Day the season before was carried over; None for a first season."""


def whole_garden(path: Path) -> GardenText:
    """Return a garden file with all it names.

    Raises
    ------
    InputFault
        When the file or its weather cannot be read.
    """
    garden = read_garden(path, needs_supplies=False)
    text = read_plain_text(path, "a garden file (TOML)")
    station = garden.site.weather.daily_file
    if station is None:
        plain = _needs_nothing_beside(text, garden)
        return GardenText(garden, garden, text if plain else garden_toml(garden, Path()), None, None)
    weather = read_plain_text(station, "daily weather (CSV)", LARGEST_WEATHER)
    name = station.name
    site = replace(garden.site, weather=replace(garden.site.weather, daily_file=Path(name)))
    kept = replace(garden, site=site)
    plain = _needs_nothing_beside(text, kept)
    return GardenText(kept, garden, text if plain else garden_toml(kept, Path()), name, weather)


def _needs_nothing_beside(text: str, garden: Garden) -> bool:
    """Tell whether a text gives the garden when it is read away from its folder."""
    try:
        return parse_garden(text, GARDEN_FILE, Path(), needs_supplies=False) == garden
    except InputFault:
        return False


def garden_facts(kept: GardenText) -> tuple[tuple[Kind, Facts, str | None], ...]:
    """Return what a garden file tells as kinds, facts and beds: the file, its weather, the site, each bed."""
    garden = kept.garden
    told: list[tuple[Kind, Facts, str | None]] = []
    if kept.weather_name is not None and kept.weather_text is not None:
        told.append((Kind.GARDEN_FILE, GardenFileKept(kept.weather_name, kept.weather_text), None))
    told.append((Kind.SITE, SiteTold(garden.site, garden.limits), None))
    told += [(Kind.BED, BedTold.of(bed), bed.name) for bed in garden.beds]
    told.append((Kind.GARDEN_FILE, GardenFileKept(GARDEN_FILE, kept.text), None))
    return tuple(told)


def kept_garden(entries: Iterable[Entry]) -> KeptGarden | None:
    """Return the garden the standing entries tell; None where no garden file was kept.

    Raises
    ------
    InputFault
        When the garden file that is kept cannot be read by this program.
    """
    known = sorted(entries, key=lambda entry: (entry.written_at, entry.id))
    files = [entry for entry in known if isinstance(entry.facts, GardenFileKept)]
    texts = {entry.facts.name: entry.facts.text for entry in files if isinstance(entry.facts, GardenFileKept)}
    newest = next((entry for entry in reversed(files) if _is_garden(entry)), None)
    if newest is None or not isinstance(newest.facts, GardenFileKept):
        return None
    filed = newest.facts.text
    text: str | None = filed
    over = newest_document(known, Kind.CARRIED_OVER)
    if over is not None and _moment(over[0]) > _moment(newest):
        newest, text = over[0], None
        garden = from_plain(Garden, document_content(over[1]).get("garden"), "the garden carried over")
    else:
        garden = parsed_text(filed)
    since = [entry for entry in known if _moment(entry) > _moment(newest)]
    station = garden.site.weather.daily_file
    carried = [entry.day for entry in known if entry.kind == Kind.CARRIED_OVER]
    return KeptGarden(
        garden=_told_since(garden, since),
        text=text,
        kept_on=newest.day,
        station_text=texts.get(PurePosixPath(station.as_posix()).name) if station is not None else None,
        carried_over_on=max(carried, default=None),
    )


@lru_cache(maxsize=4)
def parsed_text(text: str) -> Garden:
    """Return the garden of a text; the same text is read once."""
    return parse_garden(text, GARDEN_FILE, Path(), needs_supplies=False)


def _moment(entry: Entry) -> tuple[datetime, str]:
    return entry.written_at, entry.id


def _is_garden(entry: Entry) -> bool:
    return isinstance(entry.facts, GardenFileKept) and entry.facts.name == GARDEN_FILE


def _told_since(garden: Garden, entries: Sequence[Entry]) -> Garden:
    """Return the garden with what was told of it after its file was kept (G1)."""
    for entry in entries:
        facts = entry.facts
        if isinstance(facts, SiteTold):
            garden = replace(garden, site=facts.site, limits=facts.limits)
        elif isinstance(facts, BedTold) and entry.bed is not None:
            garden = replace(garden, beds=_with_bed(garden.beds, entry.bed, facts))
        elif isinstance(facts, IrrigationSet) and entry.bed is not None:
            beds = (replace(bed, watering=facts.watering) if bed.name == entry.bed else bed for bed in garden.beds)
            garden = replace(garden, beds=tuple(beds))
        elif isinstance(facts, ContainerTold):
            others = tuple(one for one in garden.containers if one.name != facts.container.name)
            garden = replace(garden, containers=(*others, facts.container))
        elif isinstance(facts, SupplyTold):
            name = facts.supply.name or facts.supply.residue
            rest = tuple(one for one in garden.supplies if (one.name or one.residue) != name)
            garden = replace(garden, supplies=rest if facts.ended else (*rest, facts.supply))
        elif isinstance(facts, CropTold) and entry.bed is not None:
            garden = replace(garden, beds=tuple(_with_crop(bed, entry.bed, facts) for bed in garden.beds))
    return garden


def _with_bed(beds: tuple[Bed, ...], name: str, told: BedTold) -> tuple[Bed, ...]:
    known = next((bed for bed in beds if bed.name == name), None)
    if not told.in_use:
        return tuple(bed for bed in beds if bed.name != name)
    if known is None:
        return (*beds, told.bed(name))
    new = replace(
        known,
        area=told.area,
        soil=told.soil,
        watering=told.watering,
        under_cover=told.under_cover,
        shade=told.shade,
        outline=told.outline,
    )
    return tuple(new if bed.name == name else bed for bed in beds)


def _with_crop(bed: Bed, name: str, told: CropTold) -> Bed:
    if bed.name != name:
        return bed
    rest = tuple(one for one in bed.crops if (one.crop, one.planted) != (told.crop.crop, told.crop.planted))
    return replace(bed, crops=rest if told.dropped else (*rest, told.crop))


def doings_in(entries: Iterable[Entry], after: date | None = None) -> Doings:
    """Return what was done by the standing entries, after a day where a season was carried over (G2)."""
    known = sorted(entries, key=lambda entry: (entry.day, entry.written_at, entry.id))
    decided: dict[str, BatchDecided] = {}
    for entry in known:
        if isinstance(entry.facts, BatchDecided) and entry.batch is not None:
            decided[entry.batch] = entry.facts
    found: dict[str, list[object]] = {name: [] for name in Doings.__dataclass_fields__}
    for entry in known:
        if after is not None and entry.day <= after:
            continue
        _note(entry, decided, found)
    back = [
        (entry.bed, entry.day) for entry in known if isinstance(entry.facts, CoverDrawnBack) and entry.facts.put_back
    ]
    found["taken_off"] = [
        replace(one, share=0.0) if any(bed == one.bed and day >= one.day for bed, day in back) else one
        for one in found["taken_off"]
        if isinstance(one, TakenOff)
    ]
    return Doings(**{name: tuple(values) for name, values in found.items()})  # type: ignore[arg-type]


def _note(entry: Entry, decided: dict[str, BatchDecided], found: dict[str, list[object]]) -> None:
    facts, bed, day = entry.facts, entry.bed or "", entry.day
    if isinstance(facts, LayerLaid):
        found["layers"].append(facts.layer(bed, day))
    elif isinstance(facts, Watered):
        found["poured"].append(Poured(bed, day, facts.depth))
    elif isinstance(facts, CoverDrawnBack):
        found["taken_off"].append(TakenOff(bed, day, 0.0 if facts.put_back else facts.share))
    elif isinstance(facts, Sown):
        found["sown"].append(SownThere(bed, day, facts.crop, facts.share, facts.direct))
    elif isinstance(facts, Harvested):
        found["picked"].append(Picked(bed, day, facts.crop, facts.fresh_kg, facts.last))
    elif isinstance(facts, ContainerWeighed):
        if not facts.packed:
            found["weighed"].append(Weighed(day, facts.container, facts.residue, facts.fresh_kg))
    elif isinstance(facts, SoilTestKept) and entry.bed is not None:
        found["soil_tests"].append(_soil_test(facts, bed, day))
    elif isinstance(facts, DugIn):
        found["dug_in"].append((bed, day, facts.depth))
    elif isinstance(facts, Fed):
        found["fed"].append((bed, facts.dated_input(day)))
    elif isinstance(facts, BatchTaken) and entry.batch is not None:
        came = _came_in(facts, entry, decided.get(entry.batch))
        if came is not None:
            found["came_in"].append(came)


def _came_in(facts: BatchTaken, entry: Entry, later: BatchDecided | None) -> CameIn | None:
    """Return a batch as a supply, held or free; None for one that was sent back."""
    decision, reason, hold = facts.decision, facts.reason, facts.hold_until
    if later is not None:
        decision, reason, hold = later.decision, later.reason, later.hold_until
    if decision is Decision.SEND_BACK:
        return None
    holding = decision is Decision.HOLD_AND_TEST
    weighed = facts.fresh_kg / facts.count if facts.fresh_kg is not None and facts.count > 0.0 else None
    supply = Supply(
        residue=facts.residue,
        container=facts.container,
        count=facts.count,
        first_day=entry.day,
        weighed_kg=weighed,
        held_because=reason or "held" if holding else None,
        held_until=hold if holding else None,
        name=entry.batch,
    )
    return CameIn(entry.day, supply, entry.batch)


#: Names a laboratory gives what we read from its report, in small letters.
_LABORATORY = {
    "organic matter": ("organic_matter", {"%": 0.01, "1": 1.0}),
    "mineral nitrogen": ("mineral_nitrogen", {"g/m2": 1.0, "kg/har": 0.1, "kg/ha": 0.1}),
    "bulk density": ("bulk_density", {"kg/m3": 1.0, "g/cm3": 1000.0}),
}


def _soil_test(facts: SoilTestKept, bed: str, day: date) -> SoilTested:
    """Return the values of a report the engine can use; others stay in the record alone."""
    found: dict[str, float] = {}
    status: PhosphorusStatus | None = None
    for line in facts.values:
        name = line.name.casefold()
        if name == "phosphorus class" and line.method in set(PhosphorusStatus):
            status = PhosphorusStatus(line.method)
        if name in _LABORATORY and line.value is not None and not line.below_limit:
            field, factors = _LABORATORY[name]
            if line.unit in factors:
                found[field] = line.value * factors[line.unit]
    return SoilTested(bed, day, phosphorus_status=status, **found)


def weather_in(entries: Iterable[Entry]) -> tuple[tuple[date, WeatherDay], ...]:
    """Return days of weather that were written down, in the order they were written."""
    known = sorted(entries, key=lambda entry: (entry.written_at, entry.id))
    return tuple((entry.day, entry.facts) for entry in known if isinstance(entry.facts, WeatherDay))


def newest_document(entries: Iterable[Entry], kind: Kind) -> tuple[Entry, Document] | None:
    """Return the newest document of a kind and its entry; None without one."""
    known = sorted((entry for entry in entries if entry.kind == kind), key=lambda entry: (entry.written_at, entry.id))
    for entry in reversed(known):
        if isinstance(entry.facts, Document):
            return entry, entry.facts
    return None


def document_content(document: Document) -> dict[str, object]:
    """Return the content of a document.

    Raises
    ------
    InputFault
        When it is no JSON object.
    """
    content = json.loads(document.content)
    if not isinstance(content, dict):
        found = type(content).__name__
        raise InputFault([Fault(document.name, found, "a JSON object", "Make the document again.")])
    return content


def layers_in(entries: Iterable[Entry]) -> tuple[tuple[Entry, Layer], ...]:
    """Return layers really laid with their entries, oldest first."""
    return tuple(
        (entry, entry.facts.layer(entry.bed or "", entry.day))
        for entry in sorted(entries, key=lambda entry: (entry.day, entry.written_at))
        if isinstance(entry.facts, LayerLaid)
    )
