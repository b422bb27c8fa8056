"""``mullbed season``: the plan kept in the record, and how far it went."""

from __future__ import annotations

from mullbed.cli.screen import JsonOption, PlainOption, Screen, today
from mullbed.cli.signing import DayOption, RecordOption, WhichOption, day_typed, where


def season(
    day: DayOption = None,
    record: RecordOption = None,
    garden: WhichOption = None,
    as_json: JsonOption = False,
    plain: PlainOption = False,
) -> None:
    """Show the kept plan: what is to come, what is short."""
    from mullbed.reports.season_words import season_document, season_text
    from mullbed.usecases.show_plan import show_plan

    shown, now = show_plan(where(record, garden)), day_typed(day) or today()
    plan, coming, gather = shown.plan, shown.coming(now), shown.gather(now)
    Screen(as_json, plain).show(
        lambda style: season_text(plan, coming, gather, shown.made_on, shown.units, style),
        lambda: season_document(plan, coming, gather, shown.made_on, shown.version),
    )
