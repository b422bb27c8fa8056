"""How well past forecasts did as one JSON document, and as a page that stands alone."""

# ruff: noqa: E501 - strings of HTML are kept whole, they read worse when broken

from __future__ import annotations

from html import escape

from mullbed.domain.garden import UnitSystem
from mullbed.domain.honesty import ForecastCheck
from mullbed.reports import pigments
from mullbed.reports.honest_chart import honest_chart
from mullbed.reports.honest_text import chart_sentence, heading, sentences
from mullbed.reports.seen_words import answer_words, name_words, values_words, with_unit
from mullbed.reports.words import day_words

Json = dict[str, object]


def honest_document(check: ForecastCheck, forecasts: int, garden: str) -> Json:
    """Return the document of `mullbed honest`."""
    return {
        "garden": garden,
        "forecasts": forecasts,
        "readings": check.count,
        "inside": check.inside,
        "coverage": check.coverage,
        "too_narrow": check.too_narrow,
        "widening": {"factor": check.widening, "p10": check.widening_low, "p90": check.widening_high},
        "leaning": check.leaning,
        "without_forecast": check.without,
        "kinds": [
            {
                "what": kind.what,
                "unit": kind.unit,
                "readings": kind.count,
                "inside": kind.inside,
                "bias": kind.bias,
                "width": kind.width,
            }
            for kind in check.kinds
        ],
        "came": [
            {
                "bed": one.observation.bed,
                "day": one.observation.day.isoformat(),
                "what": one.observation.what,
                "word": one.observation.word,
                "value": one.observation.value,
                "forecast_on": one.made_on.isoformat(),
                "low": one.low,
                "mid": one.mid,
                "high": one.high,
                "place": one.place,
                "inside": one.inside,
            }
            for one in check.came
        ],
        "says": [heading(check), *sentences(check, forecasts)],
    }


def honest_page(check: ForecastCheck, forecasts: int, *, garden: str, units: UnitSystem) -> str:
    """Return a page with the verdict, the chart and every reading; it needs nothing beside it."""
    told = "".join(f"<p>{escape(sentence)}</p>" for sentence in sentences(check, forecasts))
    chart = honest_chart(check, title="Readings against forecasts", sentence=chart_sentence(check))
    rows = "".join(
        f"<tr><td>{day_words(one.observation.day, year=True)}</td><td>{escape(one.observation.bed)}</td>"
        f"<td>{escape(name_words(one.observation.what))}</td>"
        f"<td>{escape(with_unit(' to '.join(values_words(one.observation.what, (one.low, one.high), units)), one.observation.what, units))}</td>"
        f"<td>{escape(answer_words(one.observation, units))}</td><td>{'in' if one.inside else 'out'}</td></tr>"
        for one in check.came
    )
    table = (
        "<table><thead><tr><th>Day</th><th>Bed</th><th>What</th><th>Promised</th><th>Came</th><th>Band</th></tr></thead>"
        f"<tbody>{rows}</tbody></table>"
        if rows
        else ""
    )
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">'
        f"<title>{escape(garden)}: how well forecasts did</title><style>"
        f"body{{font-family:{pigments.READING};color:{pigments.INK};background:{pigments.KAOLIN};max-width:44rem;margin:2rem auto;padding:0 1rem;line-height:1.5}}"
        "table{border-collapse:collapse;width:100%}td,th{text-align:left;padding:.3rem .6rem .3rem 0;border-bottom:1px solid}"
        "svg{width:100%;height:auto}</style></head><body>"
        f"<h1>{escape(heading(check))}</h1>{told}{chart}<p>{escape(chart_sentence(check))}</p>{table}"
        "</body></html>\n"
    )
