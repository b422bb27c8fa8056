"""The season of all beds as rows of eighth blocks: height of the cover, week by week."""

from __future__ import annotations

from datetime import date, timedelta
from math import isfinite

from mullbed.domain.garden import UnitSystem
from mullbed.domain.season_plan import PlannedLayer, SeasonPlan
from mullbed.reports.amounts import is_us, lift_amount
from mullbed.reports.names import residue_name
from mullbed.reports.terminal_style import WIDTH, Style
from mullbed.reports.words import MONTHS, short_day

EIGHTHS = " ▁▂▃▄▅▆▇█"
_STEPS_ASCII = " .:-=+*#@"
FULL_BLOCK = 0.15
"""Height a full block stands for. [m]"""
_NAME = 11


def ribbon_lines(plan: SeasonPlan, style: Style, *, units: UnitSystem, today: date | None = None) -> list[str]:
    """Return one row a bed with its next layer; months above, today as a line."""
    days = (plan.last_day - plan.first_day).days + 1
    weeks = max(1, (days + 6) // 7)
    each = 2 if weeks <= 18 else 1
    stride = 1 if weeks <= 36 else -(-weeks // 36)
    cells = list(range(0, weeks, stride))
    mark = None if today is None else (today - plan.first_day).days / 7
    lines = [" " * (_NAME + 2) + _months(plan.first_day, cells, each, stride)]
    for bed in sorted(plan.forecasts, key=list(plan.forecasts).index):
        middle = plan.forecasts[bed].series["thickness"].p50
        row = ""
        for week in cells:
            value = float(middle[min(middle.size - 1, week * 7 + 3)])
            if mark is not None and week <= mark < week + stride:
                row += style.amber("┃") * each
                continue
            step = 0 if not isfinite(value) or value < 0.002 else max(1, min(8, round(value / FULL_BLOCK * 8)))
            row += (_STEPS_ASCII if style.plain else EIGHTHS)[step] * each
        room = WIDTH - _NAME - 4 - len(cells) * each
        lines.append(f"  {bed[: _NAME - 1]:<{_NAME}}" + style.ochre(row) + "  " + _next(plan, bed)[: room - 1])
    high = "6 in" if is_us(units) else "15 cm"
    scale = f"from . thin to @ {high}" if style.plain else f"a full block is {high}"
    lines.append(" " * (_NAME + 2) + style.quiet(f"height of the cover, week by week; {scale}"))
    return lines


def _months(first: date, cells: list[int], each: int, stride: int) -> str:
    width = len(cells) * each
    text = [" "] * width
    last = 0
    for index, week in enumerate(cells):
        start = first + timedelta(days=7 * week)
        inside = [start + timedelta(days=offset) for offset in range(7 * stride)]
        starting = next((day for day in inside if day.day == 1), start if index == 0 else None)
        if starting is None or index * each < last:
            continue
        name = MONTHS[starting.month - 1]
        name = name if len(name) <= 4 * each else name[:3]
        if index * each + len(name) <= width:
            text[index * each : index * each + len(name)] = name
            last = index * each + len(name) + 1
    return "".join(text)


def next_layer(plan: SeasonPlan, bed: str, today: date | None = None) -> PlannedLayer | None:
    """Return the first planned layer of a bed, from today on where today is known."""
    layers = [one for one in plan.layers if one.layer.bed == bed and (today is None or one.layer.day >= today)]
    return min(layers, key=lambda one: one.layer.day, default=None)


def _next(plan: SeasonPlan, bed: str) -> str:
    planned = next_layer(plan, bed)
    if planned is None:
        return "leave it be"
    amounts = ", ".join(
        f"{lift_amount(lift)}" if len(planned.layer.lifts) > 1 else f"{lift_amount(lift)} {residue_name(lift.residue)}"
        for lift in planned.layer.lifts
    )
    return f"{short_day(planned.layer.day):<7} {amounts}"
