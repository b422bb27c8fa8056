"""Layouts drawn by chance, sealed plans and what they warn of."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date

import pytest

from mullbed.domain.trial import Arrangement, Fairness, Measure, Scale, Treatment, TrialPlan, Way
from mullbed.errors import InputFault
from mullbed.trials.layout import laid_out, locked, seal_holds, swapped, warnings

YIELD = Measure("harvest", "kg", Scale.PLAIN, 0.2, "from memory", ground_stays=False)


def open_plan(
    treatments: int = 2, blocks: int = 6, arrangement: Arrangement = Arrangement.PAIRS, **more: object
) -> TrialPlan:
    """Return a plan that is not laid out."""
    ways = list(Way)
    values: dict[str, object] = {
        "name": "layers",
        "question": "Do layers feed beans better than nothing?",
        "treatments": tuple(Treatment("ABCDEF"[k], ways[k]) for k in range(treatments)),
        "control": "B",
        "arrangement": arrangement,
        "fairness": Fairness.SAME_NITROGEN,
        "blocks": blocks,
        "measures": (YIELD,),
        "alpha": 0.05,
        "correlation": 0.3,
        "worthwhile": 0.2,
        "seed": 11,
        "plots": (),
    }
    return TrialPlan(**(values | more))  # type: ignore[arg-type]


def test_the_same_seed_draws_the_same_layout_and_another_seed_another():
    assert laid_out(open_plan()).plots == laid_out(open_plan()).plots
    assert laid_out(open_plan(blocks=20)).plots != laid_out(open_plan(blocks=20, seed=12)).plots


def test_every_block_holds_every_treatment_once():
    plan = laid_out(open_plan(4, 7, Arrangement.BLOCKS))
    for block in range(1, 8):
        assert sorted(p.treatment for p in plan.plots if p.block == block) == ["A", "B", "C", "D"]
    assert len({p.code for p in plan.plots}) == 28


def test_a_square_holds_every_treatment_once_in_every_row_and_column():
    plan = laid_out(open_plan(5, 5, Arrangement.SQUARE))
    for line in range(1, 6):
        assert len({p.treatment for p in plan.plots if p.block == line}) == 5
        assert len({p.treatment for p in plan.plots if p.position == line}) == 5


def test_sides_are_drawn_by_an_even_coin():
    first = Counter(
        plot.treatment
        for seed in range(60)
        for plot in laid_out(open_plan(blocks=20, seed=seed)).plots
        if plot.position == 1
    )
    # known: binomial with 1,200 throws, standard deviation 17.3; four of them allowed
    assert abs(first["A"] - 600) < 70


def test_a_locked_plan_shows_later_changes():
    plan = locked(laid_out(open_plan()), date(2026, 3, 1))
    assert seal_holds(plan)
    assert not seal_holds(replace(plan, worthwhile=0.1))
    assert not seal_holds(replace(plan, plots=plan.plots[::-1]))
    with pytest.raises(InputFault):
        locked(plan, date(2026, 3, 2))


def test_every_fault_of_a_plan_is_told_at_once():
    with pytest.raises(InputFault) as told:
        laid_out(open_plan(1, 1, alpha=0.7, correlation=1.0, measures=(), worthwhile=0.0))
    assert len(told.value.faults) >= 6


def test_swapping_sides_is_refused_for_what_stays_in_the_soil():
    plan = laid_out(open_plan())
    other = swapped(plan)
    assert all(a.treatment != b.treatment for a, b in zip(plan.plots, other.plots, strict=True))
    with pytest.raises(InputFault, match="Soil remembers"):
        swapped(replace(plan, measures=(replace(YIELD, ground_stays=True),)))


def test_five_pairs_are_warned_about_and_six_are_not():
    assert warnings(open_plan(blocks=5))
    assert not warnings(open_plan(blocks=6))
