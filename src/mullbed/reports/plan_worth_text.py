"""What planning for bad years is worth: a table in the terminal and a JSON document."""

from __future__ import annotations

from mullbed.domain.plan_worth import PlanInYears, PlanWorth
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.words import number

_HEADS = ("", "for what may come", "for the mean season")
#: Key of the figure, its words and the factor to the unit told.
_ROWS = (
    ("nitrogen_short", "crops miss, g N", 1.0),
    ("nitrogen_over", "lost or left over, g N", 1.0),
    ("ammonia_lost", "lost to the air, g N", 1.0),
    ("bare_weeks", "bare, bed-weeks", 1.0),
    ("minutes", "work, hours", 1.0 / 60.0),
    ("cost", "all goals, mean year", 1.0),
    ("bad_tenth_cost", "all goals, bad tenth", 1.0),
)


def worth_sentence(worth: PlanWorth) -> str:
    """Return the answer in a sentence."""
    ahead, mean = worth.for_what_may_come, worth.for_the_mean
    of_mean = (mean.cost - ahead.cost) / max(1e-9, mean.cost)
    of_tail = (mean.bad_tenth_cost - ahead.bad_tenth_cost) / max(1e-9, mean.bad_tenth_cost)
    return (
        f"In {worth.seasons} seasons that neither plan knew, planning for what may come was better in "
        f"{100.0 * worth.better_in:.0f} of 100: {_change(of_mean)} in the mean, {_change(of_tail)} in the bad tenth."
    )


def _change(share: float) -> str:
    if abs(share) < 0.005:
        return "no different"
    return f"{100.0 * abs(share):.0f} % {'better' if share > 0.0 else 'worse'}"


def plan_worth_text(worth: PlanWorth, style: Style) -> str:
    """Return the page for the terminal."""
    ahead, mean = worth.for_what_may_come, worth.for_the_mean
    rows = [
        (words, number(factor * float(getattr(ahead, key))), number(factor * float(getattr(mean, key))))
        for key, words, factor in _ROWS
    ]
    low, middle, high = worth.saved
    told = (
        f"Season by season it saves {number(middle)} g of nitrogen missed or its worth, {number(low)} to "
        f"{number(high)} in 8 of 10 seasons. All goals are weighed in grams of nitrogen that crops miss; less is "
        "better."
    )
    known = f"Planned with {_years(worth.planned_with)}; tried in {_years(worth.tried_in)}."
    lines = [style.bold(line) for line in paragraph(worth_sentence(worth))]
    lines += ["", *columns([_HEADS, *rows], right=frozenset({1, 2})), "", *paragraph(told), *paragraph(known)]
    return style.finished(lines)


def _years(labels: tuple[str, ...]) -> str:
    kinds = {label.split(", no.")[0] for label in labels}
    return f"{len(labels)} seasons {kinds.pop()}" if len(kinds) == 1 else ", ".join(labels)


def plan_worth_document(worth: PlanWorth) -> dict[str, object]:
    """Return the JSON document."""
    return {
        "garden": worth.garden,
        "planned_with": list(worth.planned_with),
        "tried_in": list(worth.tried_in),
        "seasons": worth.seasons,
        "for_what_may_come": _plan(worth.for_what_may_come),
        "for_the_mean_season": _plan(worth.for_the_mean),
        "saved": dict(zip(("low", "mid", "high"), worth.saved, strict=True)),
        "better_in": worth.better_in,
    }


def _plan(plan: PlanInYears) -> dict[str, object]:
    return {
        "layers": plan.layers,
        "cost": plan.cost,
        "bad_tenth_cost": plan.bad_tenth_cost,
        "nitrogen_short": plan.nitrogen_short,
        "nitrogen_over": plan.nitrogen_over,
        "ammonia_lost": plan.ammonia_lost,
        "bare_weeks": plan.bare_weeks,
        "minutes": plan.minutes,
    }
