"""Open tables: layers.csv with one row a lift, gather.csv with what to collect by week; units in UCUM in the header."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

from mullbed.domain.garden import UnitSystem
from mullbed.domain.season_plan import SeasonPlan
from mullbed.domain.spread import Spread
from mullbed.reports.amounts import is_us, per_area_factor, thickness_mm
from mullbed.reports.reasons import layer_why
from mullbed.units import from_canonical


def layers_csv(plan: SeasonPlan, units: UnitSystem) -> str:
    """Return every planned lift as a row, lifts numbered from the soil up."""
    us = is_us(units)
    length, volume = ("[in_i]", "[gal_us]") if us else ("mm", "L")
    rate = "[lb_av]/(1000.[sft_i])" if us else "g/m2"
    header = [
        "bed", "date", "lift", "residue", "container", "count [1]", f"thickness [{length}]", f"dry_matter [{rate}]",
        "fresh", f"layer_water [{volume}]", "layer_cans [1]", "layer_work [min]", f"layer_nitrogen_low [{rate}]",
        f"layer_nitrogen_mid [{rate}]", f"layer_nitrogen_high [{rate}]", f"net_nitrogen_28d_low [{rate}]",
        f"net_nitrogen_28d_mid [{rate}]", f"net_nitrogen_28d_high [{rate}]", "why",
    ]  # fmt: skip
    factor = per_area_factor(units)
    rows = []
    for planned in plan.layers:
        layer = planned.layer
        for index, lift in enumerate(layer.lifts):
            millimetres = thickness_mm(lift.thickness)
            rows.append(
                [
                    layer.bed,
                    layer.day.isoformat(),
                    str(index + 1),
                    lift.residue,
                    lift.container,
                    _number(lift.count),
                    f"{from_canonical(millimetres / 1000, 'in'):.1f}" if us else str(millimetres),
                    _number(lift.dry_matter * factor),
                    "yes" if lift.fresh else "no",
                    _number(from_canonical(planned.litres, "gal") if us else planned.litres),
                    _number(planned.cans),
                    _number(planned.minutes),
                    *_spread(planned.nitrogen_laid, factor),
                    *_spread(planned.net_nitrogen_28d, factor),
                    layer_why(planned, units),
                ]
            )
    return _table(header, rows)


def gather_csv(plan: SeasonPlan) -> str:
    """Return what to collect, week by week."""
    header = ["week", "residue", "container", "count [1]", "supply", "use_by"]
    rows = [
        [
            item.week.isoformat(),
            item.residue,
            item.container,
            _number(item.count),
            item.supply,
            item.use_by.isoformat() if item.use_by else "",
        ]
        for item in plan.gather
    ]
    return _table(header, rows)


def _spread(spread: Spread, factor: float) -> list[str]:
    return [_number(value * factor) for value in (spread.low, spread.mid, spread.high)]


def _number(value: float) -> str:
    return f"{value:.4g}"


def _table(header: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    text = StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(header)
    writer.writerows(rows)
    return text.getvalue()
