"""``mullbed worth``: what planning for bad years is worth."""

from __future__ import annotations

from mullbed.cli.screen import GARDEN, GardenArgument, JsonOption, PlainOption, Screen, SeedOption


def worth(
    garden: GardenArgument = GARDEN, seed: SeedOption = 1, as_json: JsonOption = False, plain: PlainOption = False
) -> None:
    """Try plans in years they do not know.

    The garden is planned twice with every second year of its weather: for what may come, the bad tenth included, and
    for the mean season. Both plans are then set into the other years, with supplies that fail as often as the garden
    file says. It takes as long as two plans.
    """
    from mullbed.reports.plan_worth_text import plan_worth_document, plan_worth_text
    from mullbed.usecases.weigh_plan import weigh_plan

    screen = Screen(as_json, plain)
    found = weigh_plan(garden, seed=seed, progress=screen.progress)
    screen.show(lambda style: plan_worth_text(found, style), lambda: plan_worth_document(found))
