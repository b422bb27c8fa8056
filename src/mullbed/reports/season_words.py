"""The kept plan in sentences: its answer, what comes next, what to gather, what is short."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from mullbed.domain.garden import UnitSystem
from mullbed.domain.season_plan import Gathering, PlannedLayer, SeasonPlan
from mullbed.language import marked, say
from mullbed.reports.amounts import count_words
from mullbed.reports.names import bed_title, residue_name
from mullbed.reports.reasons import answer_words, lay_words, shortage_words, unmet_words
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.words import day_words, short_day

NO_PLAN = marked("No plan yet.")
HOW_TO_PLAN = "`mullbed plan --as-done` makes one from what lies, grows and is in hand."


def gathering_words(one: Gathering) -> str:
    """Return one thing to gather."""
    by = say(", use it by {day}", day=short_day(one.use_by)) if one.use_by else ""
    amount = count_words(one.count, one.container)
    return say("{amount} of {thing}", amount=amount, thing=residue_name(one.residue)) + by


def short_sentences(plan: SeasonPlan, units: UnitSystem) -> list[str]:
    """Return what is short: limits that bite, then wants that stay unmet."""
    told = [shortage_words(one) for one in plan.shortages[:5]]
    told += [unmet_words(bed, months, units) for bed, months in plan.unmet.items() if any(months.values())][:5]
    return told


def made_words(made_on: date | None) -> str:
    """Return when the plan was made."""
    return say("Planned on {day}, simulated, not measured.", day=day_words(made_on)) if made_on else ""


def season_text(
    plan: SeasonPlan | None,
    coming: Sequence[PlannedLayer],
    gather: Sequence[Gathering],
    made_on: date | None,
    units: UnitSystem,
    style: Style,
) -> str:
    """Return the page of the season."""
    if plan is None:
        return style.finished([style.bold(NO_PLAN), *paragraph(HOW_TO_PLAN)])
    lines = [style.bold(line) for line in paragraph(answer_words(plan), indent=0)]
    lines += [*paragraph(made_words(made_on), indent=0), ""]
    lines += columns([(short_day(one.layer.day), bed_title(one.layer.bed), lay_words(one)) for one in coming[:20]])
    if gather:
        lines += ["", style.bold("Gather")]
        lines += columns([(f"week of {short_day(one.week)}", gathering_words(one)) for one in gather[:12]])
    short = short_sentences(plan, units)
    if short:
        lines += ["", style.bold("Short")]
        for sentence in short:
            lines += paragraph(sentence)
    return style.finished(lines)


def season_document(
    plan: SeasonPlan | None,
    coming: Sequence[PlannedLayer],
    gather: Sequence[Gathering],
    made_on: date | None,
    version: int,
) -> Mapping[str, object]:
    """Return the season as one document."""
    return {
        "planned_on": made_on.isoformat() if made_on else None,
        "version": version,
        "answer": answer_words(plan) if plan is not None else NO_PLAN,
        "gap": plan.gap if plan is not None else None,
        "coming": [{"day": one.layer.day.isoformat(), "bed": one.layer.bed, "lay": lay_words(one)} for one in coming],
        "gather": [{"week": one.week.isoformat(), "what": gathering_words(one)} for one in gather],
        "short": [shortage_words(one) for one in plan.shortages] if plan is not None else [],
    }
