"""How a field check is typed, and its units in words."""

from __future__ import annotations

import math
from types import MappingProxyType

from mullbed.domain.field_check import FieldCheck, ScoredCheck
from mullbed.language import marked, say
from mullbed.reports.words import EVIDENCE_WORDS, capital, number

_UNITS = MappingProxyType({"[in_i]/h": "in/h", "[psi]": "psi", "Cel": "°C", "1": "", "": "", "g/cm3": "g/cm³"})
_HELP = MappingProxyType(
    {
        "infiltration": marked("Write the time of the second inch: 3:20, or seconds. Several rings: blanks between."),
        "colour": marked("Copy the chip: 10YR 3/2."),
        "layer_moisture": marked("Write: crackles, holds together, few drops, drips freely. Commas between handfuls."),
        "slake": marked("Write each crumb's class 1 to 6, or its time as 20s, or what was left as 30%."),
        "structure": marked("Write the score, or the layers from the top as score@cm joined by +: 2@8+4@12."),
        "bulk_density": marked("Write grams dry over the ring's millilitres: 396/300. Or the density itself."),
        "harvest": marked("Write kilograms, all baskets of the day together. Every day's picking is added up."),
    }
)


def unit_words(unit: str) -> str:
    """Return a unit as a grower writes it; empty for a bare number."""
    return _UNITS.get(unit, unit)


def typed_help(check: str) -> str:
    """Return how repeats of a check are typed."""
    return say(_HELP.get(check, marked("Write numbers, a blank between repeats.")))


def scored_sentences(scored: ScoredCheck) -> list[str]:
    """Return a scored check: number and range, class, how it is known, how often it was read."""
    check = scored.check
    unit = f" {unit_words(check.unit)}" if unit_words(check.unit) else ""
    told = [
        say(
            "{value}{unit} ({low} to {high}, 8 in 10)",
            value=number(scored.value),
            unit=unit,
            low=number(scored.low),
            high=number(scored.high),
        )
    ]
    if scored.classes:
        words = say(" or ").join(say(one.word) for one in scored.classes)
        told.append(f"{capital(words)} ({say(EVIDENCE_WORDS[check.classes_evidence])}).")
    if scored.repeats < 3:
        told.append(
            say("From {count}; read {wanted} for a range of your own.", count=scored.repeats, wanted=say(check.repeats))
        )
    return told


def class_lines(check: FieldCheck) -> tuple[str, ...]:
    """Return what values of a check mean, from low to high, and how that is known."""
    unit = f" {unit_words(check.unit)}" if unit_words(check.unit) else ""
    lines = []
    floor: float | None = None
    for one in check.classes:
        if math.isinf(one.below):
            lines.append(say("From {low}{unit}: {word}.", low=number(floor or 0.0), unit=unit, word=say(one.word)))
        elif floor is None:
            lines.append(say("Below {high}{unit}: {word}.", high=number(one.below), unit=unit, word=say(one.word)))
        else:
            told = {"low": number(floor), "high": number(one.below), "unit": unit, "word": say(one.word)}
            lines.append(say("{low} to {high}{unit}: {word}.", **told))
        floor = one.below
    if lines:
        lines.append(capital(say(EVIDENCE_WORDS[check.classes_evidence])) + ".")
    return tuple(lines)


def spread_sentence(check: FieldCheck) -> str:
    """Return how far plots treated alike differ."""
    return say(
        "Plots treated alike differ by {low} to {high} % on their own ({known}).",
        low=number(100.0 * check.variation_low),
        high=number(100.0 * check.variation_high),
        known=say(EVIDENCE_WORDS[check.variation_evidence]),
    )
