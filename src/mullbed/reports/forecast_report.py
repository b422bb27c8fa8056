"""A forecast as one page of HTML: each bed through time, its bands as charts, every value in a table."""

# ruff: noqa: E501 - strings of SVG and HTML are kept whole, they read worse when broken

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from html import escape

from mullbed.domain.forecast import BedForecast, RelativeBalance
from mullbed.domain.garden import UnitSystem
from mullbed.reports.backing_words import backing_sentences
from mullbed.reports.charts import band_chart, band_sentence, shown_series
from mullbed.reports.names import bed_title
from mullbed.reports.report_style import STYLE
from mullbed.reports.report_tables import values_table
from mullbed.reports.season_ribbons import bed_chart, patterns
from mullbed.reports.terminal_forecast import forecast_sentence
from mullbed.reports.words import counted, day_words, listed

_CHARTS = ".charts{display:grid;gap:14px 34px}@media (min-width:760px){.charts{grid-template-columns:1fr 1fr}}"


def forecast_html(
    forecasts: Mapping[str, BedForecast],
    balance: RelativeBalance,
    *,
    garden: str,
    units: UnitSystem,
    planned_from: date,
    made_on: date,
) -> str:
    """Return the forecast as a page that asks nothing of the network; lifts laid from `planned_from` on are dashed."""
    title = f"{garden}: {counted(len(forecasts), 'bed')} run forward"
    closed = (
        f"Largest error of the balances: carbon {balance.carbon:.1e}, nitrogen {balance.nitrogen:.1e}, "
        f"water {balance.water:.1e}. Made on {day_words(made_on, year=True)}. Worked out, not measured. Stripes are "
        "where 8 years in 10 fall."
    )
    beds = "".join(_bed(name, forecast, units, planned_from) for name, forecast in forecasts.items())
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width,initial-scale=1">'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
        f"<title>{escape(title)}</title><style>{STYLE}{_CHARTS}</style></head><body>"
        f"{patterns(list(forecasts.values()), 3.7)}<header><h1>{escape(title)}</h1><p>{closed}</p></header>"
        f"<main>{beds}</main></body></html>\n"
    )


def _bed(name: str, forecast: BedForecast, units: UnitSystem, planned_from: date) -> str:
    sentence = forecast_sentence(forecast, units)
    title = f"{bed_title(name)} through the season, layers above the soil line, nitrogen below"
    whole = "".join(
        f'<div class="{kind}">{bed_chart(forecast, planned_from, title, sentence, units, width=width, scale=scale)}</div>'
        for kind, width, scale in (("wide", 1140.0, 9.0), ("small", 350.0, 7.0))
    )
    charts = []
    for series, (words, unit, _) in shown_series(units).items():
        if series not in forecast.series:
            continue
        told = band_sentence(forecast, series, units)
        picture = "".join(
            f'<div class="{kind}">'
            + band_chart(forecast, series, units, title=f"{bed_title(name)}: {words}", sentence=told, width=width)
            + "</div>"
            for kind, width in (("wide", 540.0), ("small", 350.0))
        )
        charts.append(f"<div><h3>{escape(words)}, {escape(unit)}</h3>{picture}<p>{escape(told)}</p></div>")
    shares = sorted(forecast.spread_by.items(), key=lambda pair: -pair[1])
    spread = (
        f"<p>The spread comes from {escape(listed([f'{cause} {share * 100:.0f} %' for cause, share in shares]))}.</p>"
        if shares
        else ""
    )
    spread += "".join(f"<p>{escape(told)}</p>" for told in backing_sentences(forecast.backing))
    return (
        f"<section><h2>{escape(bed_title(name))}</h2>{whole}<p>{escape(sentence)}</p>{spread}"
        f'<div class="charts">{"".join(charts)}</div>'
        f"<details><summary>All values as a table</summary>{values_table(forecast, units)}</details></section>"
    )
