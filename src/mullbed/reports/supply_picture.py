"""What comes, what is used and what stays of each supply, drawn week by week on the season's axis."""

# ruff: noqa: E501 - strings of SVG are kept whole, they read worse when broken

from __future__ import annotations

from datetime import date, timedelta
from html import escape

from mullbed.domain.season_plan import SeasonPlan, SupplyWeeks
from mullbed.language import say
from mullbed.reports import pigments
from mullbed.reports.amounts import count_words
from mullbed.reports.names import residue_name
from mullbed.reports.season_axis import Axis, months_axis
from mullbed.reports.words import capital

_HIGH, _WIDE = 54.0, 760.0


def supply_sentence(one: SupplyWeeks) -> str:
    """Return what comes of a supply, what the plan uses and what is there at the end."""
    told = {
        "supply": capital(one.supply.replace("_", " ")),
        "came": count_words(sum(one.came), one.container),
        "used": count_words(sum(one.used), one.container),
        "left": count_words(one.left[-1] if one.left else 0.0, one.container),
    }
    if sum(one.used) <= 0.0:
        return say("{supply}: {came} come, none is used.", **told)
    return say("{supply}: {came} come, the plan uses {used}; {left} are there at the end.", **told)


def supply_section(plan: SeasonPlan) -> str:
    """Return the section of a report: a picture of each supply, its sentence, and every value as a table."""
    shown = [one for one in plan.supply if sum(one.came) > 0.0]
    if not shown:
        return ""
    first = plan.first_day - timedelta(days=plan.first_day.weekday())
    rows = "".join(
        f'<figure class="supply"><figcaption>{escape(supply_sentence(one))}</figcaption>{supply_svg(one, first)}</figure>'
        for one in shown
    )
    told = say(
        "Light: there after the week. Dark: used that week. Ticks: what comes. Heights of one supply to one scale."
    )
    return (
        f'<section aria-labelledby="supply"><h2 id="supply">{escape(say("What comes and what is used"))}</h2>{rows}'
        f'<p class="quiet">{escape(told)}</p>{_table(shown, first)}</section>'
    )


def supply_svg(one: SupplyWeeks, first: date) -> str:
    """Return the picture of one supply."""
    weeks = len(one.left)
    axis = Axis(first, 7 * weeks, _WIDE)
    most = max(1e-9, *one.left, *one.used, *one.came)
    scale = (_HIGH - 4.0) / most
    bars = []
    for week in range(weeks):
        left, right = axis.x(7 * week), axis.x(7 * (week + 1) - 1)
        wide = max(1.0, right - left - 1.0)
        if one.left[week] > 0.0:
            high = one.left[week] * scale
            bars.append(
                f'<rect x="{left:.1f}" y="{_HIGH - high:.1f}" width="{wide:.1f}" height="{high:.1f}" fill="{pigments.OCHRE}"/>'
            )
        if one.used[week] > 0.0:
            high = one.used[week] * scale
            bars.append(
                f'<rect x="{left:.1f}" y="{_HIGH - high:.1f}" width="{wide:.1f}" height="{high:.1f}" fill="{pigments.VERTE}"/>'
            )
        if one.came[week] > 0.0:
            bars.append(f'<path d="M{left:.1f} {_HIGH + 1:.1f}v6" stroke="{pigments.INK}" stroke-width="2"/>')
    ground = f'<path d="M0 {_HIGH:.1f}H{_WIDE:.0f}" stroke="{pigments.INK}" stroke-width="1.6"/>'
    words = escape(supply_sentence(one), quote=True)
    return (
        f'<svg viewBox="0 0 {_WIDE:.0f} {_HIGH + 30:.0f}" role="img" aria-label="{words}">'
        f"{''.join(bars)}{ground}{months_axis(axis, _HIGH + 24, 15.0)}</svg>"
    )


def _table(shown: list[SupplyWeeks], first: date) -> str:
    heads = "".join(
        f'<th scope="col">{escape(say(head))}</th>' for head in ("Week", "Supply", "comes", "used", "stays")
    )
    rows = "".join(
        f"<tr><td>{(first + timedelta(days=7 * week)).isoformat()}</td><td>{escape(residue_name(one.residue))}</td>"
        f"<td>{one.came[week]:g}</td><td>{one.used[week]:g}</td><td>{one.left[week]:g}</td></tr>"
        for one in shown
        for week in range(len(one.left))
        if one.came[week] or one.used[week]
    )
    title = escape(say("All values as a table"))
    return f"<details><summary>{title}</summary><table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></details>"
