"""The plan as a calendar: all-day events whose identities stay the same, so that a second import moves them."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, date, datetime, time, timedelta
from hashlib import sha256

from icalendar import Calendar, Event

from mullbed.domain.garden import UnitSystem
from mullbed.domain.season_plan import SeasonPlan
from mullbed.reports.amounts import cans_words, count_words
from mullbed.reports.names import bed_title, residue_name
from mullbed.reports.reasons import lay_words, layer_dont, layer_why
from mullbed.reports.words import capital, listed


def calendar_ics(plan: SeasonPlan, units: UnitSystem, *, made_on: date) -> bytes:
    """Return layers, gathering weeks and ends of holds as iCalendar.

    The identity of a layer is its garden, season, bed and number in the season, not its day.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//Mullbed//season plan//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", f"{plan.garden}: layers")
    season = f"{plan.garden}|{plan.first_day.year}"
    stamp = datetime.combine(made_on, time(0), UTC)
    seen: Counter[str] = Counter()
    for planned in sorted(plan.layers, key=lambda one: (one.layer.day, one.layer.bed)):
        bed = planned.layer.bed
        seen[bed] += 1
        dont, second = layer_dont(planned)
        calendar.add_component(
            _event(
                f"{season}|layer|{bed}|{seen[bed]}",
                planned.layer.day,
                f"{bed_title(bed)}: lay {lay_words(planned)}",
                f"{capital(lay_words(planned))}, {cans_words(planned.cans)} of water.\n"
                f"Why: {layer_why(planned, units)}\nDon't {dont} {second}",
                stamp,
            )
        )
    weeks = sorted({item.week for item in plan.gather})
    for week in weeks:
        things = [
            f"{count_words(item.count, item.container)} of {residue_name(item.residue)}"
            for item in plan.gather
            if item.week == week
        ]
        calendar.add_component(
            _event(f"{season}|gather|{week.isoformat()}", week, f"Gather {listed(things)}", "", stamp, days=7)
        )
    for name, why, until in plan.held:
        if until is not None:
            text = f"Look again at the {residue_name(name)} held back: {why}"
            calendar.add_component(_event(f"{season}|held|{name}", until, text, "", stamp))
    return bytes(calendar.to_ical())


def _event(identity: str, day: date, summary: str, description: str, stamp: datetime, *, days: int = 1) -> Event:
    event = Event()
    event.add("uid", f"{sha256(identity.encode()).hexdigest()[:32]}@mullbed")
    event.add("dtstamp", stamp)
    event.add("dtstart", day)
    event.add("dtend", day + timedelta(days=days))
    event.add("summary", summary)
    if description:
        event.add("description", description)
    event.add("transp", "TRANSPARENT")
    return event
