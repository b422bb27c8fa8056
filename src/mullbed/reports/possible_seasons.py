"""Possible seasons beside past years: the page for the terminal and the JSON document."""

from __future__ import annotations

from mullbed.domain.weather_record import PossibleSeasons, SeasonFigures
from mullbed.reports.terminal_style import Style, columns, paragraph

#: Field, its words, unit and decimals.
_ROWS = (
    ("rain", "rain", "mm", 0),
    ("wet_days", "wet days", "d", 0),
    ("longest_dry", "longest dry spell", "d", 0),
    ("mean_temperature", "mean temperature", "°C", 1),
    ("hottest", "hottest day", "°C", 0),
    ("demand", "ET0", "mm", 0),
)


def seasons_text(found: PossibleSeasons, style: Style) -> str:
    """Return the page for the terminal."""
    past = "no three whole years to compare with" if found.past is None else f"{found.past.seasons} past years"
    head = f"{found.possible.seasons} seasons, {found.possible.name}, {found.first_day} to {found.last_day}; {past}."
    lines = [style.bold(line) for line in paragraph(head, indent=0)]
    lines += ["", *columns(_table(found))]
    lines += paragraph("Middle, and in brackets 8 of 10 seasons. A day with a millimetre or more is wet.")
    lines += ["", style.bold("WHAT THIS WAY DOES NOT KNOW")]
    for one in found.weaknesses:
        lines += paragraph(one)
    lines += ["", *paragraph(f"Source: {found.source}; {found.evidence}.")]
    return style.finished(lines)


def _table(found: PossibleSeasons) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = [("of the season", "possible", "past years" if found.past is not None else "")]
    for field, words, unit, decimals in _ROWS:
        past = "" if found.past is None else _band(found.past, field, decimals)
        rows.append((f"{words}, {unit}", _band(found.possible, field, decimals), past))
    return rows


def _band(figures: SeasonFigures, field: str, decimals: int) -> str:
    low, mid, high = (f"{value:.{decimals}f}".replace("-", "−") for value in getattr(figures, field))
    return f"{mid} ({low} to {high})"


def seasons_document(found: PossibleSeasons) -> dict[str, object]:
    """Return the JSON document."""
    return {
        "file": found.place,
        "source": found.source,
        "evidence": found.evidence,
        "first_day": found.first_day.isoformat(),
        "last_day": found.last_day.isoformat(),
        "possible": _figures(found.possible),
        "past": None if found.past is None else _figures(found.past),
        "weaknesses": list(found.weaknesses),
    }


def _figures(figures: SeasonFigures) -> dict[str, object]:
    bands = {field: dict(zip(("p10", "p50", "p90"), getattr(figures, field), strict=True)) for field, *_ in _ROWS}
    return {"name": figures.name, "seasons": figures.seasons, **bands}
