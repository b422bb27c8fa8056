"""One bed in sentences: its answer, what the roots get, its dates; the same on the page and in the terminal."""

from __future__ import annotations

import numpy as np

from mullbed.domain.shown_bed import ShownBed
from mullbed.language import say
from mullbed.reports.amounts import per_area_factor, per_area_unit
from mullbed.reports.reasons import lay_words
from mullbed.reports.words import capital, day_words, number, short_day


def bed_heading(shown: ShownBed) -> str:
    """Return the answer of the page."""
    if shown.late is not None:
        return say("A layer is due since {day}.", day=day_words(shown.late.layer.day))
    coming = shown.planned[0].layer.day if shown.planned else None
    now = _at(shown, "net_nitrogen")
    later = _at(shown, "net_nitrogen", 28)
    if not shown.bed.layers:
        word = say("Bare soil")
    elif later - now > 0.3:
        word = say("Feeding")
    elif later - now < -0.3:
        word = say("Tying nitrogen up")
    else:
        word = say("Quiet")
    if coming is None:
        return say("{state}. Nothing is planned here.", state=word)
    if (coming - shown.today).days <= 1:
        return say("{state}. The next layer is due.", state=word)
    return say("{state}. Leave it be until {day}.", state=word, day=day_words(coming))


def _at(shown: ShownBed, name: str, days: int = 0) -> float:
    """Return the middle of a series so many days from today; zero where nothing is known."""
    values = shown.forecast.series[name].p50
    place = min(values.size - 1, max(0, (shown.today - shown.forecast.first_day).days + days))
    value = float(values[place])
    return value if np.isfinite(value) else 0.0


def roots_words(shown: ShownBed) -> str:
    """Return what layers give in four weeks, with its range, in a sentence."""
    band = shown.forecast.series["net_nitrogen"]
    start = min(band.p50.size - 1, max(0, (shown.today - shown.forecast.first_day).days))
    end = min(band.p50.size - 1, start + 28)
    if not shown.bed.layers:
        return say("No layer lies here; the soil alone feeds what grows.")
    middle = float(band.p50[end] - band.p50[start])
    low, high = (float(one[end] - band.p50[start]) for one in (band.p10, band.p90))
    factor, unit = per_area_factor(shown.units), per_area_unit(shown.units)
    middle, low, high = (one * factor for one in (middle, low, high))
    spread = say("{low} to {high}", low=number(low), high=number(high))
    if low < 0 < high and abs(middle) < 0.5 * (high - low):
        return say(
            "Whether the layers feed or tie up in the next four weeks can't be told yet ({spread} {unit}). Worked out.",
            spread=spread,
            unit=unit,
        )
    if middle < 0:
        middle, spread = -middle, say("{low} to {high}", low=number(-high), high=number(-low))
    told = {"amount": number(middle), "spread": spread, "unit": unit}
    if high > -low:
        return say(
            "In the next four weeks the layers give about {amount} ({spread}) {unit} of nitrogen. "
            "Worked out, not measured.",
            **told,
        )
    return say(
        "In the next four weeks the layers take about {amount} ({spread}) {unit} of nitrogen. "
        "Worked out, not measured.",
        **told,
    )


def bed_dates(shown: ShownBed) -> tuple[tuple[str, str], ...]:
    """Return the dates on the string."""
    found = []
    if shown.planned:
        one = shown.planned[0]
        found.append((capital(short_day(one.layer.day)), say("next layer: {layer}", layer=lay_words(one))))
    seed = say("any day") if shown.earliest_seed <= shown.today else short_day(shown.earliest_seed)
    fine = say("any day") if shown.earliest_fine_seed <= shown.today else short_day(shown.earliest_fine_seed)
    found.append((capital(seed), say("sow here; fine seed {day}", day=fine)))
    harvests = [crop.harvested for crop in shown.bed.crops if crop.harvested >= shown.today]
    if harvests:
        found.append((capital(short_day(min(harvests))), say("harvest, as planned")))
    return tuple(found)
