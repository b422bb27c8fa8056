"""Plain sentences with doubt: days, spreads, chances and evidence; here and in `amounts` lies the only rounding."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from math import floor, isfinite, log10

from mullbed.domain.spread import Evidence, Spread

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")

EVIDENCE_WORDS: dict[Evidence, str] = {
    Evidence.MEASURED: "you measured it",
    Evidence.PUBLISHED: "published",
    Evidence.WORKED_OUT: "worked out",
    Evidence.GUESS: "a guess",
}
EVIDENCE_LINES: dict[Evidence, str] = {
    Evidence.MEASURED: "solid",
    Evidence.PUBLISHED: "double",
    Evidence.WORKED_OUT: "dashed",
    Evidence.GUESS: "dotted",
}
"""Underline of a number, as soil horizons part sharply or fade."""


def number(value: float | None) -> str:
    """Return a number rounded to what a grower can carry; a dash when it is missing."""
    if value is None or not isfinite(value):
        return "–"
    size = abs(value)
    if size >= 100:
        digits = 2 - floor(log10(size)) - 1
        text = f"{round(value, digits):.0f}"
    elif size >= 9.95:
        text = f"{value:.0f}"
    elif size >= 0.95:
        text = f"{value:.1f}"
    else:
        text = f"{value:.2f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    text = "0" if text in {"-0", ""} else text
    return text.replace("-", "−")


def evenly(values: Sequence[float]) -> list[str]:
    """Return several numbers rounded to one and the same step, that of the first unless it is tiny."""
    sizes = [abs(value) for value in values if isfinite(value)]
    largest = max(sizes, default=0.0)
    if sizes and sizes[0] > largest / 20:
        largest = sizes[0]
    places = 0 if largest >= 9.95 else (1 if largest >= 0.95 or max(sizes, default=0.0) >= 9.95 else 2)
    digits = -(floor(log10(largest)) - 1) if largest >= 100 else places
    texts = []
    for value in values:
        if not isfinite(value):
            texts.append("–")
            continue
        text = f"{round(value, digits):.{places}f}"
        if float(text) == 0:
            text = f"{0:.{places}f}"
        texts.append(text.replace("-", "−"))
    if all("." in text and text.endswith("0") for text in texts if text != "–"):
        texts = [text.split(".")[0] if places == 1 else text[:-1] for text in texts]
    return texts


def spread_words(spread: Spread, unit: str = "") -> str:
    """Return "5.6 (4.1 to 7.4) g"; without an answer when the doubt swamps the value."""
    mid, low, high = evenly((spread.mid, spread.low, spread.high))
    tail = f" {unit}" if unit else ""
    if low == high:
        return f"{mid}{tail}"
    return f"{mid} ({low} to {high}){tail}"


def cannot_be_told(spread: Spread) -> bool:
    """Return whether the sign itself is open and the doubt is wider than three times the value."""
    return spread.low < 0 < spread.high and (spread.high - spread.low) > 3 * abs(spread.mid)


def day_words(day: date, *, year: bool = False) -> str:
    """Return "18 June"."""
    return f"{day.day} {MONTHS[day.month - 1]}" + (f" {day.year}" if year else "")


def short_day(day: date) -> str:
    """Return "18 Sep", for narrow places; months of up to four letters stay whole."""
    month = MONTHS[day.month - 1]
    return f"{day.day} {month if len(month) <= 4 else month[:3]}"


def weekday_words(day: date) -> str:
    """Return "Tuesday 30 June"."""
    return f"{WEEKDAYS[day.weekday()]} {day_words(day)}"


def month_words(month: str) -> str:
    """Return "June" for the ISO month 2027-06; anything else as it is."""
    parts = month.split("-")
    if len(parts) == 2 and parts[1].isdigit() and 1 <= int(parts[1]) <= 12:
        return MONTHS[int(parts[1]) - 1]
    return month


def about_day(days: tuple[date | None, date | None, date | None]) -> str:
    """Return "about 18 June (12 to 26)" for an early, a middle and a late day; None is past the season."""
    early, middle, late = days
    if middle is None:
        if early is None:
            return "not within the season"
        return f"perhaps not within the season, at the earliest about {day_words(early)}"
    text = f"about {day_words(middle)}"
    if early is None:
        return text
    if late is None:
        return f"{text} ({day_words(early)} to past the season)"
    if early == late:
        return text
    same = early.month == middle.month == late.month and early.year == late.year
    return f"{text} ({early.day} to {late.day})" if same else f"{text} ({day_words(early)} to {day_words(late)})"


def chance_words(share: float) -> str:
    """Return a chance in words with its count: "very likely, 9 in 10"."""
    if share >= 0.95:
        word = "almost surely"
    elif share >= 0.8:
        word = "very likely"
    elif share >= 0.6:
        word = "likely"
    elif share >= 0.4:
        word = "as likely as not"
    elif share >= 0.2:
        word = "unlikely"
    else:
        word = "very unlikely"
    return f"{word}, {share * 10:.0f} in 10"


def evidence_words(evidence: Evidence) -> str:
    """Return how we know it, in words."""
    return EVIDENCE_WORDS[evidence]


def listed(names: Sequence[str], joint: str = "and") -> str:
    """Return "a, b and c"."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {joint} {names[-1]}"


def capital(sentence: str) -> str:
    """Return the sentence with its first letter raised."""
    return sentence[:1].upper() + sentence[1:]


def counted(count: int, noun: str) -> str:
    """Return "one layer", "six layers", "14 layers"."""
    small = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
    word = small[count] if 0 <= count < len(small) else str(count)
    return f"{word} {noun if count == 1 else plural(noun)}"


def plural(noun: str) -> str:
    """Return the plural of a container or thing, ordinary English."""
    if noun.endswith(("s", "x", "ch", "sh")):
        return noun + "es"
    if noun.endswith("y") and noun[-2:-1] not in "aeiou":
        return noun[:-1] + "ies"
    return noun + "s"


def times_words(count: int) -> str:
    """Return "once", "twice", "3 times"."""
    return {1: "once", 2: "twice"}.get(count, f"{count} times")
