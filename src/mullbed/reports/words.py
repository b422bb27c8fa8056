"""Plain sentences with doubt: days, spreads, chances and evidence; here and in `amounts` lies the only rounding."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from math import floor, isfinite, log10

from mullbed.domain.spread import Evidence, Spread
from mullbed.language import in_signs, language, marked, say, say_many

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
WEEKDAYS = (
    marked("Monday"), marked("Tuesday"), marked("Wednesday"), marked("Thursday"),
    marked("Friday"), marked("Saturday"), marked("Sunday"),
)  # fmt: skip

EVIDENCE_WORDS: dict[Evidence, str] = {
    Evidence.MEASURED: marked("you measured it"),
    Evidence.PUBLISHED: marked("published"),
    Evidence.WORKED_OUT: marked("worked out"),
    Evidence.GUESS: marked("a guess"),
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
    return in_signs(text.replace("-", "−"))


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
    return [in_signs(text) for text in texts]


def spread_words(spread: Spread, unit: str = "") -> str:
    """Return "5.6 (4.1 to 7.4) g"; without an answer when the doubt swamps the value."""
    mid, low, high = evenly((spread.mid, spread.low, spread.high))
    tail = f" {unit}" if unit else ""
    if low == high:
        return f"{mid}{tail}"
    return say("{mid} ({low} to {high})", mid=mid, low=low, high=high) + tail


def cannot_be_told(spread: Spread) -> bool:
    """Return whether the sign itself is open and the doubt is wider than three times the value."""
    return spread.low < 0 < spread.high and (spread.high - spread.low) > 3 * abs(spread.mid)


def day_words(day: date, *, year: bool = False) -> str:
    """Return "18 June"."""
    told = {"day": str(day.day), "month": month_name(day.month)}
    if language().month_first:
        return say("{month} {day}, {year}", year=str(day.year), **told) if year else say("{month} {day}", **told)
    return say("{day} {month} {year}", year=str(day.year), **told) if year else say("{day} {month}", **told)


def month_name(month: int, *, short: bool = False) -> str:
    """Return "September", or "Sep" where there is little room; months of up to four letters stay whole."""
    name = say(MONTHS[month - 1], about="month")
    return name if not short or len(name) <= 4 else name[:3]


def short_day(day: date) -> str:
    """Return "18 Sep", for narrow places; months of up to four letters stay whole."""
    told = {"day": str(day.day), "month": month_name(day.month, short=True)}
    if language().month_first:
        return say("{month} {day}", about="short", **told)
    return say("{day} {month}", about="short", **told)


def weekday_words(day: date) -> str:
    """Return "Tuesday 30 June"."""
    if language().month_first:
        return say("{weekday}, {day}", weekday=weekday_name(day), day=day_words(day))
    return say("{weekday} {day}", weekday=weekday_name(day), day=day_words(day))


def weekday_name(day: date) -> str:
    """Return "Tuesday"."""
    return say(WEEKDAYS[day.weekday()])


def month_words(month: str) -> str:
    """Return "June" for the ISO month 2027-06; anything else as it is."""
    parts = month.split("-")
    if len(parts) == 2 and parts[1].isdigit() and 1 <= int(parts[1]) <= 12:
        return month_name(int(parts[1]))
    return month


def about_day(days: tuple[date | None, date | None, date | None]) -> str:
    """Return "about 18 June (12 to 26)" for an early, a middle and a late day; None is past the season."""
    early, middle, late = days
    if middle is None:
        if early is None:
            return say("not within the season")
        return say("perhaps not within the season, at the earliest about {day}", day=day_words(early))
    text = say("about {day}", day=day_words(middle))
    if early is None:
        return text
    if late is None:
        return say("{day} ({early} to past the season)", day=text, early=day_words(early))
    if early == late:
        return text
    same = early.month == middle.month == late.month and early.year == late.year
    ends = (str(early.day), str(late.day)) if same else (day_words(early), day_words(late))
    return say("{mid} ({low} to {high})", mid=text, low=ends[0], high=ends[1])


def chance_words(share: float) -> str:
    """Return a chance in words with its count: "very likely, 9 in 10"."""
    if share >= 0.95:
        word = marked("almost surely")
    elif share >= 0.8:
        word = marked("very likely")
    elif share >= 0.6:
        word = marked("likely")
    elif share >= 0.4:
        word = marked("as likely as not")
    elif share >= 0.2:
        word = marked("unlikely")
    else:
        word = marked("very unlikely")
    return say("{word}, {count} in 10", word=say(word), count=f"{share * 10:.0f}")


def evidence_words(evidence: Evidence) -> str:
    """Return how we know it, in words."""
    return say(EVIDENCE_WORDS[evidence])


def listed(names: Sequence[str], joint: str = "and") -> str:
    """Return "a, b and c"."""
    if len(names) < 2:
        return "".join(names)
    joints = {"and": marked("{first} and {last}"), "or": marked("{first} or {last}")}
    pattern = joints.get(joint, f"{{first}} {joint} {{last}}")
    return say(pattern, first=", ".join(names[:-1]), last=names[-1])


def capital(sentence: str) -> str:
    """Return the sentence with its first letter raised."""
    return sentence[:1].upper() + sentence[1:]


def counted(count: int, noun: str) -> str:
    """Return "one layer", "six layers", "14 layers"."""
    small = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
    english = language().code == "en"  # where a number's word agrees with what is counted, it is told in digits
    word = small[count] if english and 0 <= count < len(small) else str(count)
    return f"{word} {plural(noun, count)}"


def plural(noun: str, count: float = 2) -> str:
    """Return a container or thing as so many of it are called, by ordinary English or by the catalogue."""
    return say_many(noun, _plural(noun), 1 if count == 1 else 2)


def _plural(noun: str) -> str:
    if noun.endswith(("s", "x", "ch", "sh")):
        return noun + "es"
    if noun.endswith("y") and noun[-2:-1] not in "aeiou":
        return noun[:-1] + "ies"
    return noun + "s"


def times_words(count: int) -> str:
    """Return "once", "twice", "3 times"."""
    return {1: say("once"), 2: say("twice")}.get(count) or say("{count} times", count=count)
