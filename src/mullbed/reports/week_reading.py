"""One week of a chart read out: where a tap lands, the line that marks it, and its values as a sentence."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from mullbed.language import say
from mullbed.reports import pigments
from mullbed.reports.season_axis import Axis

COLUMNS = 6
"""A chart is tapped in so many columns, each wide enough for a glove; single weeks are reached from there."""


@dataclass(frozen=True, slots=True)
class WeekValues:
    """One row of the table beside the chart."""

    first_day: date
    day: str
    given: str
    want: str
    cover: str


def tapped_weeks(axis: Axis, weeks: Sequence[WeekValues]) -> tuple[WeekValues, ...]:
    """Return the week each column of the chart reads out, from left to right."""
    if not weeks:
        return ()
    middles = [axis.first + timedelta(days=int(axis.days * (place + 0.5) / COLUMNS)) for place in range(COLUMNS)]
    return tuple(min(weeks, key=lambda week: abs((week.first_day - middle).days)) for middle in middles)


def read_week(weeks: Sequence[WeekValues], wanted: str) -> int | None:
    """Return the place of the week that holds a day; None where none does or nothing was asked."""
    try:
        day = date.fromisoformat(wanted)
    except ValueError:
        return None
    for place, week in enumerate(weeks):
        if 0 <= (day - week.first_day).days < 7:
            return place
    return None


def week_sentence(week: WeekValues, unit: str) -> str:
    """Return the values of a week."""
    given = say("given {amount}", amount=week.given) if week.given != "–" else say("given can't be told")
    want = say(", the crop wants {amount}", amount=week.want) if week.want != "–" else ""
    cover = (
        say("The cover is {thickness} high.", thickness=week.cover)
        if week.cover != "–"
        else say("No cover lies there.")
    )
    return say("Week of {day}: {values} {unit}.", day=week.day, values=given + want, unit=unit) + " " + cover


def marked(chart: str, axis: Axis, week: WeekValues) -> str:
    """Return a chart with an upright line at a week."""
    found = re.search(r'viewBox="0 0 [\d.]+ ([\d.]+)"', chart)
    if found is None:
        return chart
    x, low = axis.at(week.first_day + timedelta(days=3)), float(found.group(1)) - 34
    line = (
        f'<path d="M{x:.1f} 0V{low:.1f}" stroke="{pigments.KAOLIN}" stroke-width="7"/>'
        f'<path d="M{x:.1f} 0V{low:.1f}" stroke="{pigments.INK}" stroke-width="3" stroke-dasharray="7 4"/>'
    )
    return chart.removesuffix("</svg>") + line + "</svg>"
