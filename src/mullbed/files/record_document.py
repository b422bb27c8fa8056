"""The whole record of a garden as one JSON document, out and in; docs/reference/record.schema.json describes it."""

from __future__ import annotations

import json
from collections.abc import Iterable

from mullbed.domain.record import Entry
from mullbed.domain.record_codec import entry_from_plain, entry_to_plain
from mullbed.errors import Fault, InputFault

FORMAT = "mullbed record"
VERSION = 1
#: Units of the numbers in entries, as UCUM codes; where an entry says otherwise, its own unit holds.
UNITS = {
    "area": "m2",
    "dry_matter": "g/m2",
    "nitrogen": "g/m2",
    "phosphorus": "g/m2",
    "potassium": "g/m2",
    "fresh_kg": "kg",
    "water": "mm",
    "depth_of_water": "mm",
    "rain": "mm",
    "thickness": "m",
    "temperature": "Cel",
    "minutes": "min",
    "share": "1",
}
_MEND = "Hand the record over again, or mend the file there."


def record_document(garden: str, entries: Iterable[Entry]) -> str:
    """Return every entry of a garden, taken back ones too, as one document."""
    document = {
        "format": FORMAT,
        "version": VERSION,
        "garden": garden,
        "units": UNITS,
        "entries": [entry_to_plain(entry) for entry in entries],
    }
    return json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def read_record_document(text: str, place: str) -> tuple[Entry, ...]:
    """Return the entries of a document.

    Raises
    ------
    InputFault
        With every entry that is wrong, and where it stands.
    """
    try:
        document = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputFault([Fault(place, f"not JSON: {str(error)[:120]}", "a record's document", _MEND)]) from error
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise InputFault([Fault(place, "another document", f'one whose format is "{FORMAT}"', _MEND)])
    if document.get("version") != VERSION:
        version = f"version {document.get('version')}"
        remedy = "Take it in with the version of Mullbed that wrote it, or a later one."
        raise InputFault([Fault(place, version, f"version {VERSION}", remedy)])
    entries = document.get("entries")
    if not isinstance(entries, list):
        raise InputFault([Fault(f"{place}, entries", type(entries).__name__, "a list", _MEND)])
    found: list[Entry] = []
    faults: list[Fault] = []
    for number, plain in enumerate(entries, start=1):
        try:
            found.append(entry_from_plain(plain, f"{place}, entry {number}"))
        except InputFault as error:
            faults.extend(error.faults)
    if faults:
        raise InputFault(faults)
    return tuple(found)
