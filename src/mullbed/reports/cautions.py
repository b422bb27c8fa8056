"""Cautions in words, each with the day it was checked; local rules come first."""

from __future__ import annotations

from mullbed.language import marked, say
from mullbed.reference.hazards import all_hazards
from mullbed.reports.words import capital, day_words, evidence_words

LOCAL_RULES_FIRST = marked("Local rules come first: ask your council, water authority or site lead.")


def caution_words(key: str) -> str:
    """Return a caution: what can go wrong and what to do; a key without a row is said as it stands, never dropped."""
    word, text = caution_parts(key)
    return f"{word}. {text}".strip()


def caution_parts(key: str) -> tuple[str, str]:
    """Return the word of a caution and its sentences."""
    hazard = all_hazards().get(key)
    if hazard is None:
        return capital(key.replace("_", " ")), ""
    return say(hazard.word), f"{say(hazard.risk)} {say(hazard.action)}"


def caution_action(key: str) -> tuple[str, str]:
    """Return the word of a caution and what to do: all that a card has room for."""
    hazard = all_hazards().get(key)
    return (capital(key.replace("_", " ")), "") if hazard is None else (say(hazard.word), say(hazard.action))


def caution_class(key: str) -> str:
    """Return how well a caution is known, and its source key."""
    hazard = all_hazards().get(key)
    return "" if hazard is None else f"{evidence_words(hazard.evidence)}, {hazard.source.replace('_', ' ')}"


def dated_line(keys: tuple[str, ...]) -> str:
    """Return the line that dates the cautions and defers to local rules."""
    known = [all_hazards()[key].checked for key in keys if key in all_hazards()]
    if not known:
        return say(LOCAL_RULES_FIRST)
    return say("Checked on {day}.", day=day_words(min(known), year=True)) + " " + say(LOCAL_RULES_FIRST)
