"""The season plan in the terminal: the answer, the season, what to do day by day, what it gives, what stays short."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from itertools import groupby

from mullbed.domain.garden import Garden, UnitSystem
from mullbed.domain.plan_changes import LayerChange
from mullbed.domain.season_plan import SeasonPlan
from mullbed.reports.amounts import (
    cans_words,
    count_words,
    layer_thickness_mm,
    lift_amount,
    millimetres_words,
    per_area_factor,
    per_area_unit,
    scaled_to,
)
from mullbed.reports.names import bed_title, residue_name
from mullbed.reports.plan_change_words import change_sentences
from mullbed.reports.reasons import answer_words, layer_why, shortage_words, unmet_words
from mullbed.reports.safety_rules import refusal_lines
from mullbed.reports.terminal_layer import caution_lines
from mullbed.reports.terminal_ribbons import ribbon_lines
from mullbed.reports.terminal_style import Style, columns, paragraph, said
from mullbed.reports.what_else import worth_saying, worth_words
from mullbed.reports.words import capital, counted, day_words, number, spread_words, times_words, weekday_words


def plan_text(
    plan: SeasonPlan,
    garden: Garden,
    *,
    units: UnitSystem,
    made_on: date,
    today: date | None = None,
    style: Style | None = None,
    written_to: str | None = None,
    changes: Sequence[LayerChange] | None = None,
) -> str:
    """Return the whole plan as a page of at most 80 columns."""
    style = style or Style()
    period = f"{day_words(plan.first_day)} to {day_words(plan.last_day, year=True)}"
    lines = [
        f"{plan.garden}, {period}",
        "",
        *(style.bold(line) for line in paragraph(answer_words(plan), indent=0)),
        "",
    ]
    if changes:
        lines += [line for sentence in change_sentences(changes) for line in paragraph(sentence)]
        lines += [""]
    lines += ribbon_lines(plan, style, units=units, today=today)
    lines += ["", *_visits(plan, units, style)]
    lines += ["", *_fed(plan, units, style)]
    lines += ["", *_short(plan, units)]
    lines += [*_budget(plan, units)]
    lines += [*_gather(plan)]
    keys = list(dict.fromkeys(key for planned in plan.layers for key in planned.cautions))
    lines += caution_lines(keys, style)
    told = refusal_lines(plan.refusals, plan.set_aside, style)
    lines += ["", *told] if told else []
    lines += ["", *_method(plan, made_on)]
    if written_to is not None:
        lines += ["", *paragraph(f"Written to {written_to}: plan.json, layers.csv, gather.csv, calendar.ics, "
                                 "cards.pdf, report.html.")]  # fmt: skip
    return style.finished(lines)


def _visits(plan: SeasonPlan, units: UnitSystem, style: Style) -> list[str]:
    lines = []
    layers = sorted(plan.layers, key=lambda planned: planned.layer.day)
    for day, group in groupby(layers, key=lambda planned: planned.layer.day):
        todo = list(group)
        minutes = sum(planned.minutes for planned in todo)
        lines.append(style.bold(f"  {weekday_words(day)}") + f"   {counted(len(todo), 'bed')}, {minutes:.0f} minutes")
        for planned in todo:
            amounts = ", then ".join(
                f"{lift_amount(lift)} {residue_name(lift.residue)}" for lift in planned.layer.lifts
            )
            depth = millimetres_words(layer_thickness_mm(planned.layer), units)
            told = f"{bed_title(planned.layer.bed)}: {amounts}; {cans_words(planned.cans)}. {depth} deep."
            lines += said("LAY", told, style, indent=4)
            lines += said("WHY", layer_why(planned, units), style, indent=4)
    return lines


def _fed(plan: SeasonPlan, units: UnitSystem, style: Style) -> list[str]:
    if not plan.rehearsal:
        return []
    factor = per_area_factor(units)
    rows: list[tuple[str, ...]] = [("Bed", "Crop wants", "Promised", "Rehearsed", "Soil alone")]
    for bed, rehearsed in plan.rehearsal.items():
        promised = plan.promise[bed]
        rows.append(
            (
                bed[:14],
                number(rehearsed.crop_want * factor),
                spread_words(scaled_to(promised.layers, units))
                if promised.layers.low >= 0
                else _signed(promised.layers.mid * factor),
                spread_words(scaled_to(rehearsed.layers, units))
                if rehearsed.layers.low >= 0
                else _signed(rehearsed.layers.mid * factor),
                spread_words(scaled_to(rehearsed.soil_alone, units)),
            )
        )
    return [
        *paragraph(f"Nitrogen over the season, {per_area_unit(units)}; 8 years in 10 fall within the brackets."),
        *columns(rows, right=frozenset({1})),
        *paragraph("Promised: priced layer by layer. Rehearsed: the whole plan simulated. Worked out, not measured."),
    ]


def _signed(value: float) -> str:
    return f"takes {number(-value)}" if value < 0 else number(value)


def _short(plan: SeasonPlan, units: UnitSystem) -> list[str]:
    lines = []
    for shortage in plan.shortages:
        lines += paragraph(shortage_words(shortage))
    for bed, months in plan.unmet.items():
        words = unmet_words(bed, months, units)
        if "nothing" not in words:
            lines += paragraph(words)
    for one in worth_saying(plan, 2):
        lines += paragraph(worth_words(one))
    for name, why, until in plan.held:
        end = f" until {day_words(until)}" if until else ""
        lines += paragraph(f"Held back: {residue_name(name)}{end}: {why}.")
    return lines or paragraph("Nothing stays short.")


def _budget(plan: SeasonPlan, units: UnitSystem) -> list[str]:
    factor = per_area_factor(units)
    full = [
        f"{bed_title(bed)} is at its ceiling of {what}; more would not help"
        for bed, budget in plan.budget.items()
        for what, laid, ceiling in (
            ("nitrogen laid", budget.nitrogen_laid, budget.nitrogen_ceiling),
            ("nitrogen fed", budget.nitrogen_fed_high, budget.nitrogen_fed_ceiling),
            ("phosphorus", budget.phosphorus_laid, budget.phosphorus_ceiling),
        )
        if ceiling > 0 and laid >= 0.95 * ceiling
    ]
    rows: list[tuple[str, ...]] = [("Bed", "N laid", "ceiling", "P laid", "ceiling")]
    rows += [
        (
            bed[:14],
            number(budget.nitrogen_laid * factor),
            number(budget.nitrogen_ceiling * factor),
            number(budget.phosphorus_laid * factor),
            number(budget.phosphorus_ceiling * factor),
        )
        for bed, budget in plan.budget.items()
    ]
    if not plan.budget:
        return []
    lines = ["", *paragraph(f"Laid in the year against the ceilings, {per_area_unit(units)}.")]
    lines += columns(rows, right=frozenset({1, 2, 3, 4}))
    for sentence in full:
        lines += paragraph(f"{sentence}.")
    return lines


def _gather(plan: SeasonPlan) -> list[str]:
    if not plan.gather:
        return []
    rows: list[tuple[str, ...]] = []
    for week, group in groupby(sorted(plan.gather, key=lambda item: item.week), key=lambda item: item.week):
        things = [f"{count_words(item.count, item.container)} {residue_name(item.residue)}" for item in group]
        rows.append((day_words(week), ", ".join(things)))
    left = [f"{number(count)} from {name}" for name, count in plan.supply_left.items() if count > 0.05]
    lines = ["", *paragraph("Gather in the week of"), *columns(rows, indent=4)]
    return lines + (paragraph(f"Left over at the end: {', '.join(left)}.") if left else [])


def _method(plan: SeasonPlan, made_on: date) -> list[str]:
    outcomes, balance = plan.outcomes, plan.balance
    closed = max(balance.carbon, balance.nitrogen, balance.water)
    corrected = f" Outcomes were corrected {times_words(plan.corrections)}." if plan.corrections else ""
    return paragraph(
        f"{capital(counted(outcomes.classes, 'kind'))} of bed, {outcomes.candidates} candidate layers, "
        f"{outcomes.members} members, {outcomes.simulated_seasons:,} simulated seasons. The plan is within "
        f"{plan.gap * 100:.1f} % of the best there can be.{corrected} "
        f"Carbon, nitrogen and water close to {closed:.0e}. "
        f"Weather: {plan.weather}. Seed {plan.seed}. Made on {day_words(made_on, year=True)}."
    )
