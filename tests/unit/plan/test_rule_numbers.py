"""Every numbered planning rule stands in the docs, in the code and in a test of its own."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from tests.unit.plan import invented as garden

from mullbed.domain.refusal import Refusal
from mullbed.domain.safety import Bar, SafetyLimits
from mullbed.plan.candidates import disturbed
from mullbed.plan.choice_model import RULES
from mullbed.plan.choose import solved
from mullbed.plan.layer_checks import CHECKS
from mullbed.plan.ready_made import ready_made
from mullbed.plan.solve import Effort
from mullbed.plan.terms import Growing, PlanTerms, Stock, Weights

EXACT = Effort(gap=1e-4, nodes=5000)


def numbers(text: str) -> set[str]:
    return set(re.findall(r"\bR\d+\b", text))


@pytest.fixture(scope="module")
def documented(repository: Path) -> list[str]:
    page = (repository / "docs/topics/planning-rules.md").read_text(encoding="utf-8")
    return sorted(set(re.findall(r"^\| (R\d+) \|", page, re.MULTILINE)), key=lambda rule: int(rule[1:]))


def test_the_page_numbers_its_rules_without_a_gap(documented: list[str]) -> None:
    assert documented == [f"R{number}" for number in range(1, len(documented) + 1)]
    assert len(documented) >= 23


def test_every_rule_is_cited_where_it_is_kept(documented: list[str], repository: Path) -> None:
    code = "\n".join(path.read_text(encoding="utf-8") for path in (repository / "src/mullbed/plan").glob("*.py"))
    assert set(documented) <= numbers(code)
    assert {*RULES, *CHECKS} <= set(documented)


def test_every_rule_has_a_test_of_its_own(documented: list[str], repository: Path) -> None:
    tests = "\n".join(path.read_text(encoding="utf-8") for path in (repository / "tests/unit/plan").glob("test_*.py"))
    tested = {f"R{number}" for number in re.findall(r"^def test_r(\d+)_", tests, re.MULTILINE)}
    assert set(documented) <= tested


def laid(problem: PlanTerms) -> list[tuple[date, int | None]]:
    """Return day and soft fresh stock of every layer of the plan."""
    offers = garden.offered(problem)
    chosen, _ = solved(problem, offers, EXACT)
    layers = [offer.candidates[place] for offer, of_bed in zip(offers, chosen, strict=True) for place in of_bed]
    return [(layer.day, layer.soft.stock if layer.soft else None) for layer in layers]


def with_clippings(stock: Stock) -> PlanTerms:
    hungry = garden.bed(nitrogen_fed_ceiling=1e3, nitrogen_ceiling=1e3, phosphorus_ceiling=1e3)
    return garden.terms((hungry,), (stock, garden.leaves()))


def test_r4_is_what_keeps_old_clippings_off_the_bed() -> None:
    """Without a shelf life the plan lays them weeks later; with one it does not."""
    fresh, old = (with_clippings(garden.clippings(shelf_life_days=days)) for days in (6.0, None))
    last = garden.FIRST + timedelta(days=6)
    assert all(day <= last for day, soft in laid(fresh) if soft is not None)
    assert any(day > last for day, soft in laid(old) if soft is not None)


def test_r5_is_what_keeps_a_held_batch_off_the_bed() -> None:
    held, free = (with_clippings(garden.clippings(held=held)) for held in (True, False))
    assert all(soft is None for _, soft in laid(held))
    assert any(soft is not None for _, soft in laid(free))


def test_r18_is_what_keeps_layers_out_of_weeks_away() -> None:
    problem = with_clippings(garden.clippings())
    days = [day for day, _ in laid(problem)]
    assert days
    away = tuple((day, day + timedelta(days=6)) for day in (day - timedelta(days=day.weekday()) for day in days))
    gone = replace(problem, weeks=garden.terms(away=away).weeks)
    assert not any(start <= day <= end for day, _ in laid(gone) for start, end in away)


def test_r22_lays_nothing_that_safety_bars_from_a_bed() -> None:
    refusal = Refusal("fire_strip", "Dry matter near a wall.", "common_practice", date(2027, 1, 1), True)
    bar = Bar(refusal, supply="leaves", bed="Low", until=garden.FIRST + timedelta(days=30))
    beds = (garden.bed("Low"), garden.bed("Wall"))
    problem = replace(garden.terms(beds), safety=SafetyLimits(bars=(bar,)))
    kept, free = ready_made(problem)[0], ready_made(problem, ("R22",))[0]
    assert all(layer.day >= garden.FIRST + timedelta(days=30) for layer in kept[0])
    assert any(layer.day < garden.FIRST + timedelta(days=30) for layer in free[0])
    assert len(kept[1]) == len(free[1])
    assert ready_made(problem)[1].by_bed["Low"]["R22"] > 0


def test_r24_lays_beside_sowing_and_harvest_rather_than_on_them() -> None:
    """Known: a crop is planted on the very day the plan would lay; the layer then moves out of its way."""
    want = np.where(np.arange(12) == 6, 8.0, 0.0)

    def days(weight: float, *growing: Growing) -> list[date]:
        bed = garden.bed(growing=growing, nitrogen_fed_ceiling=1e3, want=want)
        return [day for day, _ in laid(garden.terms((bed,), weights=Weights(disturbed=weight, bare=0.0)))]

    planted = days(0.0)[0]
    crop = Growing("kale", planted, planted + timedelta(days=90), 1.0, False)
    assert any(abs((day - planted).days) <= 7 for day in days(0.0, crop))
    moved = days(20.0, crop)
    assert moved
    assert not any(abs((day - planted).days) <= 7 for day in moved)


@pytest.mark.parametrize(
    ("day", "share"), [(0, 0.0), (13, 0.5), (20, 0.5), (27, 0.5), (28, 0.0), (60, 0.0), (83, 0.5), (90, 0.5), (91, 0.0)]
)
def test_r24_counts_the_share_that_is_planted_or_picked_then_known(day: int, share: float) -> None:
    """Known by hand: planted on day 20, picked on day 90, on half of the bed."""
    planted = garden.FIRST + timedelta(days=20)
    crop = Growing("kale", planted, planted + timedelta(days=70), 0.5, False)
    assert disturbed(garden.bed(growing=(crop,)), garden.FIRST + timedelta(days=day), 7) == share
