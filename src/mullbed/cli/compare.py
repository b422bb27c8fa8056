"""``mullbed compare``: the plan beside rules of thumb, a pile, chips, digging in and nothing."""

from __future__ import annotations

from mullbed.cli.screen import GARDEN, GardenArgument, JsonOption, PlainOption, Screen, SeedOption


def compare(
    garden: GardenArgument = GARDEN, seed: SeedOption = 1, as_json: JsonOption = False, plain: PlainOption = False
) -> None:
    """Compare ways of gardening in years they do not know.

    The garden is planned, and fixed rules are set, with every second year of its weather; each then works in the other
    years with the same residues, containers, ceilings, work and water: nitrogen fed in time, lost and kept, cover,
    carbon, phosphorus, hours and water, with ranges. It takes as long as three plans.
    """
    from mullbed.reports.ways_text import ways_document, ways_text
    from mullbed.usecases.compare_ways import compare_ways

    screen = Screen(as_json, plain)
    found = compare_ways(garden, seed=seed, progress=screen.progress)
    screen.show(lambda style: ways_text(found, style), lambda: ways_document(found))
