"""Before and after as a sheet: photographs side by side, what was read twice, and how little one bed proves."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from mullbed.domain.before_after import BeforeAfter, KeptPhoto, ReadTwice
from mullbed.language import say, say_many
from mullbed.reports.amounts import mass_words
from mullbed.reports.ground_words import unit_words
from mullbed.reports.names import bed_title
from mullbed.reports.sheet import Beside, Framed, Grid, Part, Photo, Sheet, SheetPart, Words
from mullbed.reports.words import counted, day_words, listed, number

_KINDS = {"image/jpeg": "jpeg", "image/png": "png"}


def before_after_sheet(shown: BeforeAfter, made_on: date) -> Sheet:
    """Return the sheet of one bed."""
    parts: list[SheetPart] = []
    photos = tuple(_photo(one) for one in shown.photos if one.media_type in _KINDS)
    if photos:
        parts.append(Beside(photos))
        if len(photos) == 2 and shown.photos[0].place and shown.photos[0].place == shown.photos[1].place:
            parts.append(Words(say("Both from one place: {place}.", place=shown.photos[0].place), quiet=True))
    else:
        parts.append(
            Words(say("No photograph yet. Take one from the same place every month, and write that place with it."))
        )
    parts.append(Part(say("What was done between")))
    parts += [Words(one) for one in _done(shown)]
    parts.append(Part(say("Read at first and last")))
    if shown.read:
        heads = (say("What"), say("At first"), say("Last"), say("Change"), say("Mind"))
        parts.append(Grid(say("Readings"), heads, tuple(_row(one) for one in shown.read)))
    else:
        parts.append(Words(say("Nothing was read twice. Check the ground now, and again in the same month next year.")))
    parts.append(
        Framed(
            say("Mind"),
            say(
                "this is weak: no bed beside it to compare, and weather, season and hands move it too. A trial with "
                "six pairs tells more."
            ),
        )
    )
    return Sheet(
        say("{bed}: before and after", bed=bed_title(shown.bed)),
        (f"{shown.garden}, {bed_title(shown.bed)}", day_words(made_on, year=True)),
        _heading(shown),
        tuple(parts),
    )


def _heading(shown: BeforeAfter) -> str:
    """Return a heading that picks no change out: the largest of several would be the luckiest."""
    if not shown.read:
        return say("{bed}: too early to show a change", bed=bed_title(shown.bed))
    return say_many(
        "{bed}, then and now: {count} thing was read twice",
        "{bed}, then and now: {count} things were read twice",
        len(shown.read),
        bed=bed_title(shown.bed),
    )


def _done(shown: BeforeAfter) -> list[str]:
    told = []
    if shown.layers and shown.first_layer is not None and shown.last_layer is not None:
        told.append(
            say(
                "{layers} from {first} to {last}, {mass} of dry matter a square metre.",
                layers=counted(shown.layers, say("layer")).capitalize(),
                first=day_words(shown.first_layer, year=True),
                last=day_words(shown.last_layer, year=True),
                mass=mass_words(shown.dry_matter / 1000.0, shown.units),
            )
        )
    else:
        told.append(say("No layer was written down."))
    if shown.hours > 0.0:
        told.append(say("{hours} hours of work.", hours=number(round(shown.hours, 1))))
    if shown.harvested > 0.0:
        told.append(say("{mass} picked.", mass=mass_words(shown.harvested, shown.units)))
    return told


def _row(one: ReadTwice) -> tuple[str, ...]:
    unit = f" {unit_words(one.unit)}" if unit_words(one.unit) else ""
    change = one.last - one.first
    share = f" ({'+' if change >= 0 else '−'}{abs(change) / abs(one.first):.0%})" if one.first else ""
    repeats = say("read {first} and {last} times", first=one.repeats[0], last=one.repeats[1])
    mind = listed([say(word) for word in one.unlike] or [repeats])
    return (
        say(one.name),
        f"{number(one.first)}{unit}, {day_words(one.first_day, year=True)}",
        f"{number(one.last)}{unit}, {day_words(one.last_day, year=True)}",
        f"{'+' if change >= 0 else '−'}{number(abs(change))}{share}",
        mind,
    )


def _photo(one: KeptPhoto) -> Photo:
    words = day_words(one.day, year=True) + (f": {one.words}" if one.words else "")
    return Photo(one.content, _KINDS[one.media_type], words, one.digest)


def before_after_document(shown: BeforeAfter) -> Mapping[str, object]:
    """Return before and after as JSON; photographs by their digest."""
    return {
        "bed": shown.bed,
        "layers": shown.layers,
        "dry_matter": shown.dry_matter,
        "hours": shown.hours,
        "harvested": shown.harvested,
        "photos": [{"day": one.day.isoformat(), "digest": one.digest, "place": one.place} for one in shown.photos],
        "read": [
            {
                "what": one.name,
                "unit": one.unit,
                "first": {"day": one.first_day.isoformat(), "value": one.first, "repeats": one.repeats[0]},
                "last": {"day": one.last_day.isoformat(), "value": one.last, "repeats": one.repeats[1]},
                "unlike": list(one.unlike),
            }
            for one in shown.read
        ],
    }
