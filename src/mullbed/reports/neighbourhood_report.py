"""Who brings what to whom: the page for the terminal, the JSON document and the table of hauls."""

from __future__ import annotations

import csv
from collections import defaultdict
from datetime import timedelta
from io import StringIO

from mullbed.domain.neighbourhood import Ceiling, Delivery, GiverShare, Matter, Sharing, TakerShare, Unused
from mullbed.domain.spread import Spread
from mullbed.reference.residues import all_residues
from mullbed.reports.amounts import count_words
from mullbed.reports.cautions import caution_words, dated_line
from mullbed.reports.names import residue_name
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.words import number, short_day, spread_words

_WHY = {
    Unused.HELD: "held: {because}",
    Unused.OUT_OF_REACH: "no garden in reach takes it",
    Unused.FULL: "the gardens in reach are full",
    Unused.NOT_WORTH_IT: "the haul costs more than it is worth to any garden in reach",
    Unused.SPOILT: "it spoils before a garden has room in a week",
}
_STOPS = {
    Ceiling.NITROGEN: "its nitrogen ceiling",
    Ceiling.PHOSPHORUS: "its phosphorus ceiling",
    Ceiling.WANT: "it wants no more",
    Ceiling.WEEK: "the containers it takes a week",
    Ceiling.COVER: "dry matter to cover soft with",
}


def sharing_sentence(sharing: Sharing) -> str:
    """Return the answer in a sentence."""
    came, brought = sum(one.came for one in sharing.givers), sum(one.brought for one in sharing.givers)
    served = sum(1 for one in sharing.takers if one.soft_fresh + one.dry > 0.0)
    return (
        f"{brought} of {came} containers find a garden in {sharing.weeks} weeks; {served} of {len(sharing.takers)} "
        f"gardens get some. It is worth {number(sharing.value)} {sharing.price_unit} after hauls."
    )


def sharing_text(sharing: Sharing, style: Style) -> str:
    """Return the page for the terminal."""
    lines = [style.bold(line) for line in paragraph(sharing_sentence(sharing), indent=0)]
    if sharing.deliveries:
        lines += ["", style.bold("WHO BRINGS WHAT TO WHOM")]
        lines += columns(_haul_rows(sharing), right=frozenset({4}))
    lines += ["", style.bold("GARDENS")]
    for taker in sharing.takers:
        lines += paragraph(_taker_words(taker, sharing))
    lines += ["", style.bold("WHAT STAYS")]
    stays = [one for one in sharing.givers if one.why is not None]
    for giver in stays:
        lines += paragraph(_giver_words(giver))
    if not stays:
        lines += paragraph("Nothing; every container finds a garden.")
    keys = tuple(sorted({key for one in sharing.deliveries for key in all_residues()[one.residue].cautions}))
    if keys:
        lines += ["", style.bold("BEFORE YOU BRING IT")]
        for key in keys:
            lines += paragraph(caution_words(key))
        lines += paragraph(dated_line(keys))
    lines += ["", *paragraph(_how_known(sharing))]
    return style.finished(lines)


def _haul_rows(sharing: Sharing) -> list[tuple[str, ...]]:
    """Return hauls that repeat from week to week as one row."""
    alike: dict[tuple[str, str, str, int], list[Delivery]] = defaultdict(list)
    for one in sharing.deliveries:
        alike[one.giver, one.taker, one.residue, one.containers].append(one)
    rows: list[tuple[str, ...]] = [("week of", "from", "to", "what", "km", "why here")]
    for same in sorted(alike.values(), key=lambda hauls: (hauls[0].day, hauls[0].giver)):
        first = same[0]
        when = ", ".join(_runs([one.week for one in same], sharing))
        rows.append((when, first.giver, first.taker, _what(first), number(first.km), _why_here(first, sharing)))
    return rows


def _runs(weeks: list[int], sharing: Sharing) -> list[str]:
    """Return weeks as runs: "3 May to 17 May, 7 Jun"."""
    runs: list[tuple[int, int]] = []
    for week in sorted(weeks):
        if runs and week == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], week)
        else:
            runs.append((week, week))

    def day(week: int) -> str:
        return short_day(sharing.first_day + timedelta(weeks=week))

    return [day(a) if a == b else f"{day(a)} to {day(b)}" for a, b in runs]


def _what(one: Delivery) -> str:
    return f"{count_words(one.containers, one.container)} {residue_name(one.residue)}"


def _why_here(one: Delivery, sharing: Sharing) -> str:
    if one.next_best is None:
        return "nowhere else"
    if one.next_best_loses is None or one.next_best_loses < 1e-6:
        return f"{one.next_best} would do as well"
    return f"to {one.next_best}: {number(one.next_best_loses)} {sharing.price_unit} less each"


def _taker_words(taker: TakerShare, sharing: Sharing) -> str:
    if taker.soft_fresh + taker.dry <= 0.0:
        stops = ", ".join(_STOPS[one] for one in taker.stops)
        return f"{taker.name}: nothing" + (f"; what stops it: {stops}." if stops else ".")
    ratio = "" if taker.carbon_to_nitrogen is None else f", C:N {number(taker.carbon_to_nitrogen)} of all together"
    words = (
        f"{taker.name}: {count_words(taker.soft_fresh, sharing.container)} of soft fresh, {number(taker.dry)} of dry"
        f"{ratio}; "
        f"nitrogen {spread_words(taker.nitrogen, 'g/m²')}{_of(taker.nitrogen_ceiling)}, "
        f"phosphorus {spread_words(taker.phosphorus, 'g/m²')}{_of(taker.phosphorus_ceiling)}; "
        f"worth {number(taker.worth)} {sharing.price_unit}."
    )
    if taker.stops:
        words += f" What stops it from more: {', '.join(_STOPS[one] for one in taker.stops)}."
    return words


def _of(ceiling: float | None) -> str:
    return "" if ceiling is None else f", ceiling {number(ceiling)}"


def _giver_words(giver: GiverShare) -> str:
    why = "" if giver.why is None else _WHY[giver.why].format(because=giver.because or "no reason given")
    left = count_words(giver.came - giver.brought, giver.container)
    return f"{giver.name}: {left} of {giver.came} {residue_name(giver.residue)} stay; {why}."


def _how_known(sharing: Sharing) -> str:
    gap = "none better is possible" if sharing.gap < 1e-6 else f"proven within {100.0 * sharing.gap:.2f} % of the best"
    return (
        f"Worked out from {number(sharing.worth)} {sharing.price_unit} of worth, less {number(sharing.haul_cost)} for "
        f"hauls and {number(sharing.left_cost)} for what stays; {gap}. Ceilings hold for the middle estimate; the "
        "range takes all loads as low or as high together."
    )


def sharing_document(sharing: Sharing) -> dict[str, object]:
    """Return the JSON document."""
    return {
        "neighbourhood": sharing.neighbourhood,
        "first_day": sharing.first_day.isoformat(),
        "weeks": sharing.weeks,
        "price_unit": sharing.price_unit,
        "container": sharing.container,
        "value": sharing.value,
        "worth": sharing.worth,
        "haul_cost": sharing.haul_cost,
        "left_cost": sharing.left_cost,
        "gap": sharing.gap,
        "deliveries": [
            {
                "day": one.day.isoformat(),
                "giver": one.giver,
                "garden": one.taker,
                "residue": one.residue,
                "kind": str(one.matter),
                "containers": one.containers,
                "container": one.container,
                "standard": one.standard,
                "trips": one.trips,
                "km": one.km,
                "cost": one.cost,
                "nitrogen": _spread(one.nitrogen),
                "next_best": one.next_best,
                "next_best_loses": one.next_best_loses,
            }
            for one in sharing.deliveries
        ],
        "givers": [
            {
                "name": one.name,
                "residue": one.residue,
                "container": one.container,
                "came": one.came,
                "brought": one.brought,
                "stays_because": None if one.why is None else str(one.why),
                "held_because": one.because or None,
            }
            for one in sharing.givers
        ],
        "gardens": [
            {
                "name": one.name,
                "area_m2": one.area,
                "soft_fresh": one.soft_fresh,
                "dry": one.dry,
                "carbon_to_nitrogen": one.carbon_to_nitrogen,
                "nitrogen": _spread(one.nitrogen),
                "nitrogen_ceiling": one.nitrogen_ceiling,
                "phosphorus": _spread(one.phosphorus),
                "phosphorus_ceiling": one.phosphorus_ceiling,
                "worth": one.worth,
                "wants": [
                    {"kind": str(kind), "most": step.most, "worth": step.worth}
                    for kind, steps in one.wants
                    for step in steps
                ],
                "stopped_by": [str(stop) for stop in one.stops],
            }
            for one in sharing.takers
        ],
    }


def _spread(spread: Spread) -> dict[str, object]:
    return {
        "low": spread.low,
        "mid": spread.mid,
        "high": spread.high,
        "unit": spread.unit,
        "evidence": str(spread.evidence),
    }


def hauls_csv(sharing: Sharing) -> str:
    """Return the hauls as a table, one row a haul; units in the header."""
    stream = StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(
        ["week_of", "giver", "garden", "residue", "kind", "containers [1]", "container", "trips [1]", "way [km]",
         f"cost [{sharing.price_unit}]", "nitrogen_low [g]", "nitrogen_mid [g]", "nitrogen_high [g]"]
    )  # fmt: skip
    for one in sharing.deliveries:
        kind = "soft fresh" if one.matter is Matter.SOFT_FRESH else "dry"
        grams = (one.nitrogen.low, one.nitrogen.mid, one.nitrogen.high)
        writer.writerow(
            [one.day.isoformat(), *(_safe(text) for text in (one.giver, one.taker)), one.residue, kind, one.containers,
             _safe(one.container), one.trips, f"{one.km:.3g}", f"{one.cost:.4g}", *(f"{value:.3g}" for value in grams)]
        )  # fmt: skip
    return stream.getvalue()


def _safe(text: str) -> str:
    """Return a name that no spreadsheet takes for a formula."""
    return "'" + text if text[:1] in "=+-@\t\r" else text
