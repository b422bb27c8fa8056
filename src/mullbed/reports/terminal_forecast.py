"""A forecast in the terminal: bands by week for one bed or more, in words and numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta
from math import isfinite

from mullbed.domain.forecast import BedForecast, RelativeBalance
from mullbed.domain.garden import UnitSystem
from mullbed.domain.spread import Evidence, Spread
from mullbed.reports.amounts import per_area_factor, per_area_unit
from mullbed.reports.backing_words import backing_sentences
from mullbed.reports.names import bed_title
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.words import day_words, evenly, listed, short_day

_ROWS = 10


def forecast_text(
    forecasts: Mapping[str, BedForecast],
    balance: RelativeBalance,
    *,
    units: UnitSystem,
    taught: Mapping[str, Sequence[str]] | None = None,
    style: Style | None = None,
) -> str:
    """Return the page of a forecast; `taught` says by bed what the record taught, "" of the whole garden."""
    style = style or Style()
    lines: list[str] = []
    taught = taught or {}
    for name, forecast in forecasts.items():
        lines += [style.bold(bed_title(name)), *paragraph(forecast_sentence(forecast, units)), ""]
        lines += columns(_rows(forecast, units), right=frozenset(range(6)))
        shares = sorted(forecast.spread_by.items(), key=lambda pair: -pair[1])
        if shares:
            told = listed([f"{cause} {share * 100:.0f} %" for cause, share in shares])
            lines += paragraph(f"The spread comes from {told}.")
        for sentence in (*backing_sentences(forecast.backing), *taught.get(name, ())):
            lines += paragraph(sentence)
        lines.append("")
    for sentence in taught.get("", ()):
        lines += paragraph(sentence)
    unit = per_area_unit(units)
    height = "inches" if units is UnitSystem.US else "cm"
    shallow, deep = ("2 in", "10 in") if units is UnitSystem.US else ("5 cm", "25 cm")
    degree = "°F" if units is UnitSystem.US else "°C"
    lines += paragraph(
        f"Cover in {height}, middle. Soil at {shallow} in {degree}, middle. "
        f"Given: nitrogen from the layers so far, {unit}, middle (8 years in 10 between). "
        f"In soil: mineral nitrogen to {deep}. Lost: to the air and washed down so far. Worked out, not measured."
    )
    closed = max(balance.carbon, balance.nitrogen, balance.water)
    lines += paragraph(f"Carbon, nitrogen and water close to {closed:.0e}.")
    return style.finished(lines)


def forecast_sentence(forecast: BedForecast, units: UnitSystem) -> str:
    """Return the end of the forecast as a sentence."""
    net = forecast.series["net_nitrogen"]
    factor = per_area_factor(units)
    low, mid, high = (float(values[-1]) * factor for values in (net.p10, net.p50, net.p90))
    last = forecast.first_day + timedelta(days=net.p50.size - 1)
    if not isfinite(low + mid + high):
        return "What the layers give can't be told."
    if max(abs(low), abs(mid), abs(high)) < 0.005:
        return f"No layer gives or takes here until {day_words(last)}; the soil is alone."
    texts = evenly((mid, low, high))
    unit = per_area_unit(units)
    spread = Spread(low, max(low, min(mid, high)), high, "", Evidence.WORKED_OUT)
    if low < 0 < high and high - low > 3 * abs(spread.mid):
        return (
            f"Whether the layers give or take by {day_words(last)} can't be told yet ({texts[1]} to {texts[2]} {unit})."
        )
    verb = "have taken" if mid < 0 else "have given"
    shown = [text.lstrip("−") for text in texts] if high < 0 else texts
    return f"By {day_words(last)} the layers {verb} {shown[0]} ({shown[1]} to {shown[2]}) {unit}."


def _rows(forecast: BedForecast, units: UnitSystem) -> list[tuple[str, ...]]:
    series = forecast.series
    count = series["net_nitrogen"].p50.size
    step = max(7, -(-count // _ROWS))
    factor = per_area_factor(units)
    us = units is UnitSystem.US
    rows: list[tuple[str, ...]] = [("Day", "Cover", "Soil", "Given", "In soil", "Lost")]
    for day in [*range(0, count - 1, step), count - 1]:
        cover = float(series["thickness"].p50[day]) * (100 / 2.54 if us else 100)
        warm = float(series["soil_temperature"].p50[day])
        lost = float(series["ammonia_lost"].p50[day] + series["leached"].p50[day]) * factor
        given = evenly([float(band[day]) * factor for band in (series["net_nitrogen"].p50, series["net_nitrogen"].p10, series["net_nitrogen"].p90)])  # noqa: E501  # fmt: skip
        rows.append(
            (
                short_day(forecast.first_day + timedelta(days=day)),
                f"{cover:.1f}",
                f"{warm * 1.8 + 32:.0f}" if us else f"{warm:.0f}",
                f"{given[0]} ({given[1]} to {given[2]})",
                evenly([float(series["mineral_nitrogen"].p50[day]) * factor])[0],
                evenly([lost])[0],
            )
        )
    return rows
