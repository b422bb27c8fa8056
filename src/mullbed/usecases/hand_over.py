"""Hand the whole record of a garden over in open files: one JSON document, tables, a map of the beds, a calendar.

Reads the record, writes nothing. Raises InputFault where no garden is kept.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from mullbed.domain.record_papers import PhotoTaken
from mullbed.domain.signing import Where
from mullbed.files.bed_map import bed_map
from mullbed.files.record_calendar import plain_summary, record_calendar
from mullbed.files.record_document import record_document
from mullbed.files.record_garden import GARDEN_FILE, GARDEN_KINDS, kept_garden
from mullbed.files.record_tables import record_tables
from mullbed.files.table_descriptions import DESCRIPTION_FILE, table_descriptions
from mullbed.store.database import open_record
from mullbed.store.journal import entries, every_entry
from mullbed.store.photos import photo
from mullbed.store.which_garden import which_garden

RECORD_FILE = "record.json"
MAP_FILE = "beds.geojson"
CALENDAR_FILE = "record.ics"


@dataclass(frozen=True, slots=True)
class HandedOver:
    """A record in open files."""

    garden: str
    entries: int
    kinds: dict[str, int]
    files: dict[str, str | bytes]
    """Contents by name."""


def photo_name(facts: PhotoTaken) -> str:
    """Return the file name of a picture."""
    return f"photo-{facts.digest}.{facts.media_type.rpartition('/')[2]}"


def hand_over(where: Where) -> HandedOver:
    """Return every entry of a garden, those taken back too, in open files; the JSON document alone holds all.

    Raises
    ------
    InputFault
        When the record holds no garden.
    """
    with open_record(where.record) as record, record.reading() as transaction:
        identity = which_garden(transaction, where.garden)
        every = tuple(every_entry(transaction, identity))
        stand = frozenset(entry.id for entry in entries(transaction, identity))
        kept = kept_garden(entries(transaction, identity, kinds=GARDEN_KINDS))
        photos = {
            photo_name(one.facts): photo(record, transaction, one.facts.digest)
            for one in every
            if isinstance(one.facts, PhotoTaken)
        }
    files: dict[str, str | bytes] = {RECORD_FILE: record_document(identity, every), **photos}
    tables = record_tables(every)
    files |= tables
    files[DESCRIPTION_FILE] = table_descriptions(tables)
    files[CALENDAR_FILE] = record_calendar(identity, every, stand, plain_summary)
    if kept is not None:
        files[MAP_FILE] = bed_map(kept.garden)
        if kept.text is not None:
            files[GARDEN_FILE] = kept.text
        station = kept.garden.site.weather.daily_file
        if station is not None and kept.station_text is not None:
            files[station.name] = kept.station_text
    return HandedOver(identity, len(every), dict(Counter(str(entry.kind) for entry in every)), files)
