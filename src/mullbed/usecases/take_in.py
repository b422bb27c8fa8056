"""Take a record in from open files: what is new is kept, what was kept before stays as it is.

Reads the files, writes to the record. Raises InputFault with every fault of the files, EntryConflict when an id is
taken by other words; then nothing is kept.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from mullbed.domain.bed import Bed
from mullbed.domain.record import Entry
from mullbed.domain.record_ground import BedTold
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_papers import PhotoTaken, digest_of
from mullbed.domain.signing import Signature, Where
from mullbed.errors import Fault, InputFault
from mullbed.files.bed_map import MappedBed, read_bed_map
from mullbed.files.plain_text import read_plain_text
from mullbed.files.record_calendar import read_record_calendar
from mullbed.files.record_document import read_record_document
from mullbed.files.record_garden import GARDEN_KINDS, KeptGarden, kept_garden
from mullbed.files.record_tables import ENTRY_COLUMNS, OTHERS, Unsigned, read_record_table, table_name
from mullbed.store.database import Record, Transaction, open_record
from mullbed.store.journal import append, entries, gardens
from mullbed.store.photos import keep_photo
from mullbed.store.which_garden import which_garden

LARGEST = 2_000_000_000
"""[byte]"""
WHOLE = "record.json"
"""A folder that holds this document needs no other file of it."""


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What was taken in."""

    new: tuple[str, ...]
    known: tuple[str, ...]
    files: tuple[str, ...]


def take_in(paths: Iterable[Path], where: Where, signed: Signature) -> TakenIn:
    """Keep the entries of open files; a folder stands for its JSON document, or for its tables.

    Raises
    ------
    InputFault
        With every fault of every file.
    EntryConflict
        When an id is taken by an entry that says something else.
    """
    files = [file for path in paths for file in _files(path)]
    with open_record(where.record) as record, record.writing() as transaction:
        identity = where.garden
        kept: KeptGarden | None = None
        if identity is None and gardens(transaction) and not any(file.suffix == ".json" for file in files):
            identity = which_garden(transaction, None)
        if identity is not None:
            kept = kept_garden(entries(transaction, identity, kinds=GARDEN_KINDS))
        unsigned = Unsigned(identity or "garden", signed.author, signed.now, signed.new_id)
        found: dict[str, Entry] = {}
        faults: list[Fault] = []
        for file in files:
            try:
                for entry in _entries(file, unsigned, signed, kept):
                    found.setdefault(entry.id, entry)
            except InputFault as error:
                faults.extend(error.faults)
        if faults:
            raise InputFault(faults)
        _photos(record, transaction, found.values(), files)
        done = append(transaction, _targets_first(found))
    return TakenIn(done.new, done.known, tuple(file.name for file in files))


def _photos(record: Record, transaction: Transaction, found: Iterable[Entry], files: Iterable[Path]) -> None:
    """Keep the pictures that lie beside the files and that their entries tell of."""
    wanted = {entry.facts.digest for entry in found if isinstance(entry.facts, PhotoTaken)}
    for folder in dict.fromkeys(file.parent for file in files):
        for digest in sorted(wanted):
            for picture in folder.glob(f"photo-{digest}.*"):
                try:
                    content = picture.read_bytes()
                except OSError as error:
                    found_there = error.strerror or "it cannot be read"
                    raise InputFault([Fault(str(picture), found_there, "a picture", "Hand it over again.")]) from error
                if digest_of(content) != digest:
                    remedy = "Hand it over again; its name is that of another picture."
                    raise InputFault([Fault(str(picture), "the picture was changed", "the picture as it was", remedy)])
                keep_photo(record, transaction, content)


def _files(path: Path) -> list[Path]:
    """Return the files to read: of a folder its document, or else its tables."""
    if not path.is_dir():
        return [path]
    if (path / WHOLE).is_file():
        return [path / WHOLE]
    tables = {table_name(kind) for kind in Kind} | {OTHERS}
    found = sorted(one for one in path.iterdir() if one.name in tables)
    if found:
        return found
    remedy = "Give the folder that mullbed garden hand-over wrote, or a file of it."
    raise InputFault([Fault(str(path), "no open files of a record", f"{WHOLE}, or tables", remedy)])


def _entries(file: Path, unsigned: Unsigned, signed: Signature, kept: KeptGarden | None) -> Iterable[Entry]:
    """Return the entries of one file, by its ending."""
    place = str(file)
    if file.suffix == ".ics":
        return read_record_calendar(read_plain_text(file, "a calendar", LARGEST).encode(), place)
    text = read_plain_text(file, "an open file of a record", LARGEST)
    if file.suffix == ".json":
        return read_record_document(text, place)
    if file.suffix == ".geojson":
        site = kept.garden.site if kept is not None else None
        return [_bed_entry(bed, unsigned, signed, kept, place) for bed in read_bed_map(text, place, site)]
    if file.suffix == ".csv":
        kinds = {table_name(kind): str(kind) for kind in Kind}
        if file.name not in kinds and file.name != OTHERS:
            allowed = ", ".join(sorted(kinds))
            raise InputFault([Fault(place, f"no table is called {file.name}", allowed, "Name it after its kind.")])
        return read_record_table(text, place, kinds.get(file.name), unsigned)
    remedy = "Give a .json, .csv, .geojson or .ics file."
    raise InputFault([Fault(place, f"ending {file.suffix or 'missing'}", f"a table with {ENTRY_COLUMNS[0]}", remedy)])


def _bed_entry(
    bed: Bed | MappedBed, unsigned: Unsigned, signed: Signature, kept: KeptGarden | None, place: str
) -> Entry:
    """Return a bed of a map as an entry: its shape; a map drawn elsewhere leaves its soil as it was."""
    if isinstance(bed, Bed):
        facts = BedTold.of(bed)
    else:
        known = kept.garden.bed(bed.name) if kept is not None else None
        if known is None:
            remedy = "Describe its soil in the garden file first; the map then gives its shape."
            raise InputFault([Fault(place, f"bed '{bed.name}' is new", "a bed that is kept", remedy)])
        told = BedTold.of(known)
        facts = BedTold(bed.area, told.soil, told.watering, told.under_cover, told.shade, bed.outline)
    return Entry(
        signed.new_id(), unsigned.garden, Kind.BED, signed.today, signed.now, signed.author, facts, bed=bed.name
    )


def _targets_first(found: dict[str, Entry]) -> list[Entry]:
    """Return entries in an order in which each comes after what it points at."""
    ordered: dict[str, Entry] = {}
    for first in found.values():
        chain = [first]
        while (target := chain[-1].corrects or chain[-1].withdraws) in found and target not in ordered:
            if any(one.id == target for one in chain):
                break
            chain.append(found[str(target)])
        for entry in reversed(chain):
            ordered.setdefault(entry.id, entry)
    return list(ordered.values())
