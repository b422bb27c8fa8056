"""How well past forecasts did, in sentences and a small table."""

from __future__ import annotations

from mullbed.domain.garden import UnitSystem
from mullbed.domain.honesty import Came, ForecastCheck, KindCheck
from mullbed.reports.seen_words import answer_words, name_words, shown_value, unit_words, values_words, with_unit
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.words import capital, counted, day_words, evenly, number, short_day

#: Fewer entries than this prove little.
FEW = 10
#: Share within a band of 8 in 10 from which it is said to have held.
HELD = 0.72
#: Chance from which bands are said to have been too narrow.
SURE = 0.8
#: Standard deviations from which forecasts are said to lean.
LEANS = 0.35


def honest_text(check: ForecastCheck, forecasts: int, *, units: UnitSystem, style: Style | None = None) -> str:
    """Return the page of `mullbed honest`."""
    style = style or Style()
    lines = [style.bold(heading(check)), ""]
    for sentence in sentences(check, forecasts):
        lines += paragraph(sentence)
    if check.kinds:
        lines.append("")
        head = ("What", "Read", "In band", "Came", "Band")
        lines += columns([head, *(_row(kind, units) for kind in check.kinds)], right=frozenset({1, 2, 3, 4}))
        lines += paragraph(
            "In band: read within the band of 8 in 10. Came: above (+) or below (−) the middle, on average. "
            "Band: how wide it was, on average."
        )
    missed = furthest(check)
    if missed:
        lines += ["", *paragraph("Furthest off:")]
        for one in missed:
            lines += paragraph(miss_sentence(one, units), indent=4)
    return style.finished(lines)


def heading(check: ForecastCheck) -> str:
    """Return the answer in one line."""
    if not check.count:
        return "Nothing to hold forecasts against yet."
    if check.widening > 1.0:
        held = (check.coverage or 0.0) >= HELD
        return "The bands hold, since they were widened." if held else "We were too sure. The next bands are wider."
    if check.widening < 1.0:
        return "We were too careful. The next bands are a little narrower."
    if check.count < FEW:
        return "Too few readings to say yet."
    return "The bands held what they said."


def sentences(check: ForecastCheck, forecasts: int) -> list[str]:
    """Return what there is to say, one thought each."""
    told: list[str] = []
    if not forecasts:
        told.append("No forecast has been kept. Keep one with: mullbed forecast garden.toml --keep")
    if not check.count:
        if forecasts:
            told.append("Nothing that was forecast has been read since. Write down what you see: mullbed log seen")
        return told
    told.append(
        f"{capital(counted(check.inside, 'reading'))} of {check.count} came within the band that should hold 8 of 10."
    )
    if check.count < FEW:
        told.append("So few prove little, either way.")
    if check.widening > 1.0:
        low, high = evenly((check.widening_low, check.widening_high))
        if (check.coverage or 0.0) < HELD:
            told.append("That is less than chance allows: the bands were too narrow.")
        told.append(
            f"What the runs alone say is too narrow, {_sure(check.too_narrow)}. The next bands are "
            f"{number(check.widening)} times as wide as that (between {low} and {high} by what was read)."
        )
    elif check.widening < 1.0:
        told.append(
            f"What the runs alone say is wider than needed. The next bands are {number(check.widening)} times as wide "
            "as that; they are narrowed late and by little."
        )
    if check.leaning > LEANS:
        told.append("What came was mostly above the middle of what was forecast.")
    elif check.leaning < -LEANS:
        told.append("What came was mostly below the middle of what was forecast.")
    if check.without:
        told.append(f"For {counted(check.without, 'reading')} nothing had been forecast before.")
    return told


def miss_sentence(one: Came, units: UnitSystem) -> str:
    """Return one reading against what was forecast."""
    what = one.observation.what
    low, high = values_words(what, (one.low, one.high), units)
    side = "more" if one.place > 0.5 else "less"
    band = with_unit(f"{low} to {high}", what, units)
    read = f"{name_words(what)} {answer_words(one.observation, units)}"
    return (
        f"{one.observation.bed}, {day_words(one.observation.day)}: {read}, {side} than the {band} forecast on "
        f"{day_words(one.made_on)}."
    )


def furthest(check: ForecastCheck, most: int = 3) -> list[Came]:
    """Return the readings that lay furthest outside, furthest first."""
    outside = [one for one in check.came if not one.inside]
    return sorted(outside, key=lambda one: min(one.place, 1.0 - one.place))[:most]


def chart_sentence(check: ForecastCheck) -> str:
    """Return the chart in a sentence."""
    if not check.came:
        return "No readings yet."
    first, last = check.came[0].observation.day, check.came[-1].observation.day
    held = f"{check.inside} of {check.count} readings"
    return f"{held} from {short_day(first)} to {short_day(last)} lie in the band of 8 in 10."


def _sure(chance: float) -> str:
    if chance >= 0.95:
        return "almost surely"
    return "very likely" if chance >= SURE else "likely"


def _row(kind: KindCheck, units: UnitSystem) -> tuple[str, ...]:
    bias = shown_value(kind.what, kind.bias, units, difference=True)
    width = shown_value(kind.what, kind.width, units, difference=True)
    came, wide = evenly((bias, width))
    unit = unit_words(kind.what, units)
    sign = "" if came.startswith("−") else "+"
    return (
        capital(name_words(kind.what)),
        f"{kind.count}",
        f"{kind.inside} of {kind.count}",
        f"{sign}{came} {unit}".strip(),
        f"{wide} {unit}".strip(),
    )
