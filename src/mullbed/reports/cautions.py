"""Cautions in words, dated where they are printed; the facts stand in the hazards table."""

from __future__ import annotations

from datetime import date

from mullbed.reports.words import capital, day_words

CODES_DIFFER = "Local rules come first: ask your council, water authority or site lead."


def caution_words(key: str) -> str:
    """Return the caution of a hazard; a key without a row is said as plain words, never dropped."""
    from mullbed.reference.hazards import load_hazards

    row = load_hazards().get(key)
    return row.text if row is not None else f"{capital(key.replace('_', ' '))}."


def caution_source(key: str) -> str:
    """Return where the caution comes from."""
    from mullbed.reference.hazards import load_hazards

    row = load_hazards().get(key)
    return row.source if row is not None else ""


def dated_line(made_on: date) -> str:
    """Return the line that dates the cautions and defers to local rules."""
    return f"As known on {day_words(made_on, year=True)}. {CODES_DIFFER}"
