"""A record of weather as it was read: the page for the terminal and the JSON document."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import timedelta
from math import isfinite

from mullbed.domain.weather_record import ColumnFound, Gap, How, Suspicion, WeatherFetched, WeatherRead, YearSummary
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.words import counted, number, times_words

_MEANING = {
    "tmin_c": "lowest temperature",
    "tmax_c": "highest temperature",
    "precip_mm": "rain and melted snow",
    "srad": "solar radiation",
    "humidity": "relative humidity",
    "wind": "wind at 2 m",
    "et0": "reference evapotranspiration",
    "dew_point": "dew point, for humidity",
}
MOST_SHOWN = 8
"""So many gaps, fillings and suspicions are listed; the rest is counted."""


def record_sentence(read: WeatherRead) -> str:
    """Return what the record is in a sentence."""
    days = read.weather.rain.size
    last = read.weather.first_day + timedelta(days=days - 1)
    missing = len(read.weather.missing_days)
    whole = "none of them missing" if missing == 0 else f"{missing} of them with a needed value missing"
    return f"{days} days from {read.weather.first_day} to {last}, {whole}."


def record_text(read: WeatherRead, style: Style, *, written: Sequence[str] = ()) -> str:
    """Return the page for the terminal."""
    lines = [style.bold(line) for line in paragraph(record_sentence(read), indent=0)]
    lines += paragraph(f"Source: {read.weather.source}.")
    if read.columns:
        lines += ["", style.bold("WHAT THE COLUMNS ARE TAKEN FOR")]
        head = ("column", "what", "unit", "low", "middle", "high", "found")
        rows: list[tuple[str, ...]] = [head, *(_column_row(one) for one in read.columns)]
        lines += columns(rows, right=frozenset({3, 4, 5}))
        lines += [line for one in read.columns for line in _marks(one)]
        if read.date_order:
            lines += paragraph(f"Dates are read as {read.date_order}.")
        if any(one.column == "wind" for one in read.columns):
            lines += paragraph(f"Wind is taken for that {number(read.wind_height)} m above the ground.")
        for left in read.left_out:
            lines += paragraph(f"{left.heading} is left out: {left.why}.")
    lines += _missing(read, style)
    if read.swapped:
        days = ", ".join(str(day) for day in read.swapped[:MOST_SHOWN])
        more = f" and {len(read.swapped) - MOST_SHOWN} more" if len(read.swapped) > MOST_SHOWN else ""
        lines += paragraph(f"Lowest and highest were swapped back on {days}{more}.")
    if read.suspicions:
        lines += ["", style.bold("LOOK AT THIS")]
        for sign in read.suspicions[:MOST_SHOWN]:
            lines += paragraph(_suspicion_words(sign))
        lines += _more(len(read.suspicions), "signs")
    if read.years:
        lines += ["", style.bold("BY YEAR")]
        heads = ("year", "days", "mean °C", "rain mm", "ET0 mm")
        lines += columns([heads, *(_year_row(one) for one in read.years)], right=frozenset({1, 2, 3, 4}))
    if read.unconfirmed:
        names = ", ".join("+".join(one.headings) for one in read.unconfirmed)
        told = f"Nobody has confirmed the unit of {names}. If it is right, say it again with --yes."
        lines += ["", *(style.amber(line) for line in paragraph(told))]
    for path in written:
        lines += paragraph(f"Written: {path}.")
    return style.finished(lines)


def _column_row(one: ColumnFound) -> tuple[str, ...]:
    unit = one.unit or "?"
    shown = unit if unit == one.our_unit or not one.unit else f"{unit}, now {one.our_unit}"
    how = {How.TOLD: "told", How.HEADER: "in the table", How.NAME: "guessed", How.UNKNOWN: "unknown"}[one.how]
    figures = tuple(number(value) if isfinite(value) else "–" for value in (one.low, one.middle, one.high))
    return ("+".join(one.headings)[:24], _MEANING[one.column], shown, *figures, how)


def _marks(one: ColumnFound) -> list[str]:
    """Return what was taken for missing, or for zero."""
    lines = []
    for mark, count in one.marks:
        taken = "no rain to measure, 0 mm" if mark == "trace" else "not measured"
        lines += paragraph(f"{'+'.join(one.headings)}: {mark} stands {times_words(count)} and is taken for {taken}.")
    return lines


def _missing(read: WeatherRead, style: Style) -> list[str]:
    lines: list[str] = []
    if read.gaps or read.filled or read.absent_days:
        lines = ["", style.bold("WHAT IS MISSING")]
    if read.absent_days:
        lines += paragraph(f"{_days(read.absent_days)} without a row stand empty in the calendar.")
    by_column: dict[str, list[Gap]] = defaultdict(list)
    for gap in read.gaps:
        by_column[gap.column].append(gap)
    for column, gaps in by_column.items():
        days = sum(gap.days for gap in gaps)
        shown = "; ".join(_span(gap) for gap in gaps[:4]) + ("; ..." if len(gaps) > 4 else "")
        lines += paragraph(f"{column}: {_days(days)} in {counted(len(gaps), 'gap')} stay missing: {shown}.")
    for one in read.filled[:MOST_SHOWN]:
        lines += paragraph(f"{one.gap.column}: {_span(one.gap)} filled by {one.how}.")
    lines += _more(len(read.filled), "gaps filled")
    if any("straight line" in one.how for one in read.filled):
        lines += paragraph("A straight line has no warm or cold days of its own, and no rain.")
    if any("other years" in one.how for one in read.filled):
        lines += paragraph("The mean of other years has no spells: filled days are milder than real ones.")
    if any("most alike" in one.how for one in read.filled):
        lines += paragraph("Rain of another year is real rain on the wrong day.")
    return lines


def _days(count: int) -> str:
    return f"{count} day" if count == 1 else f"{count} days"


def _span(gap: Gap) -> str:
    return str(gap.first_day) if gap.days == 1 else f"{gap.first_day} to {gap.last_day}"


def _more(count: int, what: str) -> list[str]:
    return paragraph(f"And {count - MOST_SHOWN} more {what}; --json tells all.") if count > MOST_SHOWN else []


def _suspicion_words(one: Suspicion) -> str:
    when = str(one.first_day) if one.first_day == one.last_day else f"{one.first_day} to {one.last_day}"
    return f"{one.column}, {when}: {one.found}. It may be {one.may_be}. {one.remedy}"


def _year_row(one: YearSummary) -> tuple[str, ...]:
    return (
        str(one.year),
        str(one.days),
        "–" if one.mean_temperature is None else f"{one.mean_temperature:.1f}",
        "–" if one.rain is None else f"{one.rain:.0f}",
        "–" if one.demand is None else f"{one.demand:.0f}",
    )


def fetched_text(fetched: WeatherFetched, style: Style, *, written: Sequence[str] = ()) -> str:
    """Return the page of a fetched record: the record, where it is for, and who is to be named."""
    where = ""
    if fetched.latitude is not None and fetched.longitude is not None:
        where = f" It is for the grid cell around {fetched.latitude:.2f}, {fetched.longitude:.2f}"
        where += "." if fetched.elevation is None else f", {fetched.elevation:.0f} m above the sea."
    kept = f"kept from {fetched.fetched_on}" if fetched.from_cache else "just fetched"
    told = (
        f"Worked out by {fetched.service} for a grid of {fetched.grid}, {kept}; not measured in your garden.{where} "
        "Hills, towns and coasts inside a cell are smoothed away: compare it with a thermometer and a rain gauge."
    )
    lines = [
        *paragraph(told),
        *paragraph(f"To be named: {fetched.attribution}"),
        *paragraph(f"Terms: {fetched.terms}."),
    ]
    return record_text(fetched.read, style, written=written) + style.finished(["", *lines])


def fetched_document(fetched: WeatherFetched) -> dict[str, object]:
    """Return the JSON document of a fetched record."""
    return {
        **record_document(fetched.read),
        "service": fetched.service,
        "address": fetched.address,
        "attribution": fetched.attribution,
        "terms": fetched.terms,
        "grid": fetched.grid,
        "from_cache": fetched.from_cache,
        "fetched_on": fetched.fetched_on,
        "cell": {"latitude": fetched.latitude, "longitude": fetched.longitude, "elevation_m": fetched.elevation},
    }


def record_document(read: WeatherRead) -> dict[str, object]:
    """Return the JSON document."""
    days = read.weather.rain.size
    return {
        "file": read.place,
        "source": read.weather.source,
        "first_day": read.weather.first_day.isoformat(),
        "last_day": (read.weather.first_day + timedelta(days=days - 1)).isoformat(),
        "days": days,
        "date_order": read.date_order or None,
        "wind_height_m": read.wind_height,
        "columns": [
            {
                "column": one.column,
                "headings": list(one.headings),
                "unit": one.unit or None,
                "our_unit": one.our_unit,
                "how": str(one.how),
                "smallest": one.low,
                "middle": one.middle,
                "largest": one.high,
                "marks": [{"mark": mark, "count": count} for mark, count in one.marks],
            }
            for one in read.columns
        ],
        "left_out": [{"heading": one.heading, "why": one.why} for one in read.left_out],
        "absent_days": read.absent_days,
        "missing_days": len(read.weather.missing_days),
        "swapped": [day.isoformat() for day in read.swapped],
        "gaps": [_gap(one) for one in read.gaps],
        "filled": [{**_gap(one.gap), "how": one.how} for one in read.filled],
        "suspicions": [
            {
                "column": one.column,
                "first_day": one.first_day.isoformat(),
                "last_day": one.last_day.isoformat(),
                "found": one.found,
                "may_be": one.may_be,
                "remedy": one.remedy,
            }
            for one in read.suspicions
        ],
        "years": [
            {
                "year": one.year,
                "days": one.days,
                "mean_temperature": one.mean_temperature,
                "rain": one.rain,
                "reference_evapotranspiration": one.demand,
            }
            for one in read.years
        ],
        "confirmed": not read.unconfirmed,
    }


def _gap(gap: Gap) -> dict[str, object]:
    return {"column": gap.column, "first_day": gap.first_day.isoformat(), "days": gap.days}
