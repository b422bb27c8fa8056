"""The record as iCalendar (RFC 5545), out and in: a journal entry for what was done, an event for what is due.

Each journal entry holds its record entry whole in a property of our own, so that nothing is lost; calendars that do not
know it show day, summary and words. Identities are those of the entries: taken in again, they replace, never double.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from datetime import timedelta

from mullbed.domain.record import Entry
from mullbed.domain.record_batches import BeanTestSetUp
from mullbed.domain.record_codec import canonical, entry_from_plain, entry_to_plain
from mullbed.domain.record_papers import Document, GardenFileKept, KeptVerbatim
from mullbed.errors import Fault, InputFault

ENTRY = "X-MULLBED-ENTRY"
_MEND = "Hand the record over again."


def record_calendar(
    garden: str, entries: Iterable[Entry], stand: frozenset[str], summary: Callable[[Entry], str]
) -> bytes:
    """Return entries as a calendar.

    Parameters
    ----------
    garden : str
    entries : iterable of Entry
        Every one; files and documents, which are no diary, are kept whole as well.
    stand : frozenset of str
        Ids that hold; others are marked cancelled.
    summary : callable
        A line for an entry.
    """
    from icalendar import Calendar, Event, Journal

    calendar = Calendar()
    calendar.add("prodid", "-//Mullbed//record//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", f"{garden}: record")
    for entry in entries:
        journal = Journal()
        journal.add("uid", f"{entry.id}@mullbed")
        journal.add("dtstamp", entry.written_at)
        journal.add("dtstart", entry.day)
        journal.add("summary", summary(entry))
        journal.add("categories", [str(entry.kind)])
        if entry.id not in stand:
            journal.add("status", "CANCELLED")
        journal.add(ENTRY, canonical(entry_to_plain(entry)))
        calendar.add_component(journal)
        if isinstance(entry.facts, BeanTestSetUp) and entry.id in stand:
            for number, day in enumerate(entry.facts.due, start=1):
                event = Event()
                event.add("uid", f"{entry.id}-{number}@mullbed")
                event.add("dtstamp", entry.written_at)
                event.add("dtstart", day)
                event.add("dtend", day + timedelta(days=1))
                event.add("summary", f"Read the bean test of {entry.batch}")
                event.add("transp", "TRANSPARENT")
                calendar.add_component(event)
    return bytes(calendar.to_ical())


def read_record_calendar(content: bytes, place: str) -> tuple[Entry, ...]:
    """Return the entries a calendar of ours holds; what others wrote into it is left out.

    Raises
    ------
    InputFault
        When it is no calendar, or an entry in it is broken.
    """
    from icalendar import Calendar

    try:
        calendar = Calendar.from_ical(content)
    except ValueError as error:
        raise InputFault([Fault(place, f"no calendar ({str(error)[:80]})", "iCalendar", _MEND)]) from error
    found: list[Entry] = []
    faults: list[Fault] = []
    for journal in calendar.walk("VJOURNAL"):
        held = journal.get(ENTRY)
        if held is None:
            continue
        where = f"{place}, {journal.get('uid', 'an entry')}"
        try:
            found.append(entry_from_plain(json.loads(str(held)), where))
        except ValueError:
            faults.append(Fault(where, f"a broken {ENTRY}", "an entry as JSON", _MEND))
        except InputFault as error:
            faults.extend(error.faults)
    if faults:
        raise InputFault(faults)
    return tuple(found)


def plain_summary(entry: Entry) -> str:
    """Return a line for an entry: its kind, where, and any words."""
    where = entry.bed or entry.batch or ""
    facts = entry.facts
    if isinstance(facts, GardenFileKept | Document):
        words = facts.name
    elif isinstance(facts, KeptVerbatim):
        words = ""
    else:
        words = str(getattr(facts, "said", "") or getattr(facts, "words", "") or getattr(facts, "word", "") or "")
    return ", ".join(part for part in (str(entry.kind), where, words) if part)
