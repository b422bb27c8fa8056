"""Tables of the report: what was promised, what the rehearsal showed, how we know, in plain words."""

# ruff: noqa: E501 - strings of SVG and HTML are kept whole, they read worse when broken

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from html import escape
from math import isfinite

from mullbed.domain.forecast import BedForecast
from mullbed.domain.garden import UnitSystem
from mullbed.domain.season_plan import Budget, Fed, SeasonPlan
from mullbed.domain.spread import Evidence, Spread
from mullbed.reports.amounts import (
    count_words,
    is_us,
    millimetres_words,
    per_area_factor,
    per_area_unit,
    scaled_to,
    thickness_mm,
)
from mullbed.reports.names import residue_name
from mullbed.reports.words import EVIDENCE_LINES, day_words, evenly, evidence_words, number, spread_words

_SAME = 0.2
"""Rehearsal and promise count as one within this share of the crop's want."""
_SHARES = (
    "Hardly any", "About a tenth", "About a fifth", "About a third", "Less than half", "About half",
    "More than half", "About two thirds", "About four fifths", "Nearly all",
)  # fmt: skip


def marked(words: str, evidence: Evidence) -> str:
    """Return a number underlined by how it is known."""
    return f'<span class="k {EVIDENCE_LINES[evidence]}">{escape(words)}</span>'


def table(caption: str, heads: Sequence[str], rows: Sequence[Sequence[str]], *, stack: bool = True) -> str:
    """Return a table of cells that are HTML already; the first cell of a row is its heading."""
    head = "".join(f'<th scope="col">{escape(name)}</th>' for name in heads)
    body = "".join(
        f'<tr><th scope="row">{row[0]}</th>'
        + "".join(f'<td data-label="{escape(name)}">{cell}</td>' for name, cell in zip(heads[1:], row[1:], strict=True))
        + "</tr>"
        for row in rows
    )
    kind = ' class="stack"' if stack else ""
    words = f"<caption>{escape(caption)}</caption>" if caption else ""
    return f"<table{kind}>{words}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"


def answers_table(promised: Fed, rehearsed: Fed, budget: Budget | None, units: UnitSystem) -> str:
    """Return Question, Promised, Rehearsed, How we know, In plain words for one bed."""
    unit = per_area_unit(units, short=True)
    want = rehearsed.crop_want
    rows = [
        _row("Layers give", promised.layers, rehearsed.layers, unit, units, _fed_words(promised, rehearsed)),
        _row("Soil alone gives", promised.soil_alone, rehearsed.soil_alone, unit, units, _soil_words(rehearsed)),
        _row(
            "Lost to the air",
            promised.ammonia_lost,
            rehearsed.ammonia_lost,
            unit,
            units,
            _lost_words(rehearsed.ammonia_lost, rehearsed),
        ),
        _row("Washed down", promised.leached, rehearsed.leached, unit, units, _leached_words(rehearsed, want)),
        _row("Well covered", promised.covered_days, rehearsed.covered_days, "days", None, _covered_words(rehearsed)),
    ]
    if budget is not None:
        factor = per_area_factor(units)
        for name, laid, ceiling in (
            ("Nitrogen laid in the year", budget.nitrogen_laid, budget.nitrogen_ceiling),
            ("Phosphorus laid in the year", budget.phosphorus_laid, budget.phosphorus_ceiling),
        ):
            words = (
                "At the ceiling; more would not help" if ceiling > 0 and laid >= 0.95 * ceiling else "Below the ceiling"
            )
            rows.append(
                (
                    f"{name}, {unit}",
                    f"at most {number(ceiling * factor)}",
                    marked(number(laid * factor), Evidence.WORKED_OUT),
                    "worked out",
                    words,
                )
            )
    caption = f"The crop wants {number(want * per_area_factor(units))} {unit} of nitrogen in the season."
    return table(caption, ("Question", "Promised", "Rehearsed", "How we know", "In plain words"), rows)


def _row(
    question: str, promised: Spread, rehearsed: Spread, unit: str, units: UnitSystem | None, words: str
) -> tuple[str, ...]:
    first = promised if units is None else scaled_to(promised, units)
    second = rehearsed if units is None else scaled_to(rehearsed, units)
    return (
        f"{question}, {unit}",
        escape(spread_words(first)),
        marked(spread_words(second), rehearsed.evidence),
        evidence_words(rehearsed.evidence),
        words,
    )


def _fed_words(promised: Fed, rehearsed: Fed) -> str:
    difference = rehearsed.layers.mid - promised.layers.mid
    if abs(difference) <= _SAME * max(rehearsed.crop_want, 1e-9) or abs(difference) < 0.3:
        told = "As promised"
    else:
        told = "More than promised" if difference > 0 else "Less than promised"
    if rehearsed.layers.high < 0:
        return f"{told}; the layers take more than they give this season"
    return told


def _soil_words(fed: Fed) -> str:
    if fed.crop_want <= 0:
        return "No crop wants it"
    share = fed.soil_alone.mid / fed.crop_want
    if share >= 1:
        return "Enough without layers"
    return f"{_SHARES[min(9, round(share * 10))]} of what the crop wants"


def _lost_words(lost: Spread, fed: Fed) -> str:
    given = max(fed.layers.mid, 1e-9)
    return (
        "Little; caps keep it in" if lost.mid < 0.15 * given or lost.mid < 0.3 else "Cap the fresh matter the same day"
    )


def _leached_words(fed: Fed, want: float) -> str:
    return "Little" if fed.leached.mid < max(0.1 * want, 0.5) else "Mostly in wet months, when no crop takes it"


def _covered_words(fed: Fed) -> str:
    return "Soil in shade most days" if fed.covered_days.mid >= 120 else "Bare part of the season"


def values_table(forecast: BedForecast, units: UnitSystem) -> str:
    """Return the values behind a chart, week by week."""
    factor, unit = per_area_factor(units), per_area_unit(units, short=True)
    height = "in" if is_us(units) else "cm"
    series = forecast.series
    weekly = series.get("weekly_nitrogen")
    given = weekly if weekly is not None else series["net_nitrogen"]
    name = "Given to roots in the week" if weekly is not None else "Given by layers so far"
    rows = []
    for day in range(0, given.p50.size, 7):
        low, mid, high = (float(one[day]) * factor for one in (given.p10, given.p50, given.p90))
        texts = evenly((mid, low, high))
        want = float(forecast.crop_want[day : day + 7].sum()) * factor
        cover = float(series["thickness"].p50[day])
        rows.append(
            (
                day_words(forecast.first_day + timedelta(days=day)),
                millimetres_words(thickness_mm(cover), units) if isfinite(cover) else "–",
                f"{texts[0]} ({texts[1]} to {texts[2]})",
                number(want),
                number(float(series["ammonia_lost"].p50[day]) * factor),
                number(float(series["leached"].p50[day]) * factor),
            )
        )
    heads = (
        "Week from",
        f"Cover, {height}",
        f"{name}, {unit}",
        f"Crop wants in the week, {unit}",
        f"Lost to the air so far, {unit}",
        f"Washed down so far, {unit}",
    )
    return f'<div class="scroll" tabindex="0" role="region" aria-label="All values">{table("", heads, rows, stack=False)}</div>'


def gather_table(plan: SeasonPlan) -> str:
    """Return what to gather, by week."""
    rows = []
    for item in sorted(plan.gather, key=lambda one: (one.week, one.residue)):
        rows.append(
            (
                escape(day_words(item.week)),
                escape(f"{count_words(item.count, item.container)} of {residue_name(item.residue)}"),
                escape(item.supply),
                escape(f"by {day_words(item.use_by)}" if item.use_by else "it keeps"),
            )
        )
    return table("", ("Week from", "Gather", "From", "Lay it"), rows)
