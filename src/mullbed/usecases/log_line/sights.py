"""What was seen: signs, notes, photographs, weather."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from mullbed.diagnose.symptoms import all_signs
from mullbed.domain.record_kinds import Kind
from mullbed.domain.record_seen import Noted, Observed, RainExpected, WeatherDay
from mullbed.domain.signing import Kept
from mullbed.errors import Fault, InputFault
from mullbed.files.noted_words import observation_typed, rain_typed, temperature_typed
from mullbed.files.usual_weather import USUAL_FILE, filled, read_usual
from mullbed.store.journal import latest
from mullbed.store.photos import keep_photo
from mullbed.usecases.log_line.opening import Line, keep, opened, said_words


def log_seen(line: Line, bed: str, words: Sequence[str], *, repeats: int = 1) -> Kept:
    """Keep what was seen, smelt, felt or measured on a bed."""
    with opened(line) as at:
        here = at.bed(bed)
        seen = observation_typed(here.name, at.day, words, repeats=repeats)
        said = " ".join(words)
        facts = Observed(seen.what, seen.word, seen.value, seen.error, seen.repeats, said, words=line.words)
        return keep(at, Kind.SEEN, facts, bed=here)


def log_note(line: Line, text: str, *, bed: str | None = None) -> Kept:
    """Keep a note in the grower's own words."""
    with opened(line) as at:
        return keep(at, Kind.NOTE, Noted(said_words(text, "note")), bed=at.bed(bed) if bed is not None else None)


def log_signs(line: Line, bed: str, signs: Sequence[str]) -> tuple[Kept, ...]:
    """Keep signs that were noticed: each as an observation where one says the same, the rest as one note of signs."""
    known = all_signs()
    if not signs or not set(signs) <= set(known):
        near = ", ".join(key for key in known)
        raise InputFault([Fault("signs", ", ".join(signs)[:120] or "none", near, "Choose what you noticed.")])
    kept = []
    with opened(line) as at:
        here = at.bed(bed)
        noted = [known[key] for key in dict.fromkeys(signs) if not known[key].observed]
        for key in dict.fromkeys(signs):
            for what, word in known[key].observed:
                facts = Observed(what, word, said=known[key].name, words=line.words)
                kept.append(keep(at, Kind.SEEN, facts, bed=here))
        if noted:
            words = ", ".join(one.name for one in noted)
            facts_of_note = Noted(words, tuple(one.key for one in noted))
            kept.append(keep(at, Kind.NOTE, facts_of_note, bed=here))
    return tuple(kept)


def log_photo(line: Line, file: Path, *, bed: str | None = None, place: str = "") -> Kept:
    """Keep a picture beside the record, under its own digest."""
    try:
        content = file.read_bytes()
    except OSError as error:
        found = error.strerror or "it cannot be read"
        raise InputFault([Fault(str(file), found, "a picture", "Check the path.")]) from error
    with opened(line) as at:
        facts = keep_photo(at.record, at.transaction, content, line.words, place)
        return keep(at, Kind.PHOTO, facts, bed=at.bed(bed) if bed is not None else None)


def log_weather(
    line: Line,
    *,
    rain: str | None = None,
    low: str | None = None,
    high: str | None = None,
    expected: RainExpected | None = None,
) -> Kept:
    """Keep a day's weather: the rain gauge, the low and high, and rain expected in words."""
    if (rain, low, high, expected) == (None, None, None, None):
        remedy = "Write --rain 12mm, --low 4, --high 15, or --expected some."
        raise InputFault([Fault("weather", "nothing", "at least one reading", remedy)])
    with opened(line) as at:
        told = WeatherDay(
            None if rain is None else rain_typed(rain, "--rain"),
            None if low is None else temperature_typed(low, "--low"),
            None if high is None else temperature_typed(high, "--high"),
            expected,
            words=line.words,
        )
        before = latest(at.transaction, at.id, Kind.WEATHER)
        kept = keep(at, Kind.WEATHER, told)
        whole = filled(told, at.day, read_usual(at.texts.get(USUAL_FILE, "")))
        usual = tuple((name, float(getattr(whole, name))) for name in whole.filled if getattr(whole, name) is not None)
        unread = max(0, (at.day - before.day).days - 1) if before is not None else 0
        return replace(kept, usual=usual, unread=unread)
