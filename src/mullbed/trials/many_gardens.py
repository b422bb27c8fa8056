"""Many gardens as blocks of one trial: each garden is one pair, whatever it repeated at home."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from mullbed.domain.trial import Arrangement, Fairness, Measure, Plot, Reading, Treatment, TrialPlan


def letter_of(number: int) -> str:
    """Return the letters of a garden, A to Z, then AA."""
    letters = ""
    while number >= 0:
        letters = chr(ord("A") + number % 26) + letters
        number = number // 26 - 1
    return letters


def joined_plan(
    question: str,
    treatments: Sequence[Treatment],
    control: str,
    fairness: Fairness,
    measures: Sequence[Measure],
    alpha: float,
    worthwhile: float,
    gardens: int,
) -> TrialPlan:
    """Return the plan of so many gardens: one block each, one plot a way, coded by garden and way."""
    plots = tuple(
        Plot(f"{letter_of(garden)}-{one.code}", garden + 1, place, one.code)
        for garden in range(gardens)
        for place, one in enumerate(treatments, start=1)
    )
    return TrialPlan(
        name="Many gardens",
        question=question,
        treatments=tuple(treatments),
        control=control,
        arrangement=Arrangement.PAIRS if len(treatments) == 2 else Arrangement.BLOCKS,
        fairness=fairness,
        blocks=gardens,
        measures=tuple(replace(one, ground_stays=True) for one in measures),
        alpha=alpha,
        correlation=0.0,
        worthwhile=worthwhile,
        seed=1,
        plots=plots,
    )


def joined_readings(gardens: Sequence[Sequence[tuple[str, str, str, float]]]) -> tuple[Reading, ...]:
    """Return the means of gardens as readings of their plots; a season is counted from each garden's own first one.

    Gardens that lie in different years join by their first, second, third season of treatment.
    """
    found = []
    for number, values in enumerate(gardens):
        order = {season: str(place) for place, season in enumerate(sorted({one[1] for one in values}), start=1)}
        found += [
            Reading(f"{letter_of(number)}-{treatment}", measure, order[season], mean)
            for measure, season, treatment, mean in values
        ]
    return tuple(found)
