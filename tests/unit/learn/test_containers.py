"""Containers that learn from weighings."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from math import exp, log

import pytest

from mullbed.domain.doings import Weighed
from mullbed.domain.filling import WEIGHING_LOG_SD, container_mass, fill, log_sd
from mullbed.learn.containers import PECULIAR_LOG_SD, learn_containers, with_learnt
from mullbed.reference.containers import all_containers
from mullbed.reference.residues import all_residues

RESIDUES = all_residues()
CONTAINERS = {one.name: one for one in all_containers().values()}
DAY = date(2026, 5, 1)
LEAVES = "leaves_dry_whole" if "leaves_dry_whole" in RESIDUES else next(key for key in RESIDUES if "leaves" in key)
GRASS = next(key for key in RESIDUES if "grass" in key)


def weighed(*masses: float, container: str = "bucket", residue: str = LEAVES) -> list[Weighed]:
    return [Weighed(DAY + timedelta(days=number), container, residue, mass) for number, mass in enumerate(masses)]


def prior(container: str = "bucket", residue: str = LEAVES) -> tuple[float, float]:
    mass = container_mass(RESIDUES[residue], CONTAINERS[container])
    return log(mass.fresh_kg), (mass.log_sd**2 + PECULIAR_LOG_SD**2) ** 0.5


def test_one_pair_is_the_known_normal() -> None:
    """Known: precisions add; the mean is weighed by them."""
    middle, doubt = prior()
    usual = exp(middle)
    found = learn_containers(CONTAINERS, RESIDUES, weighed(1.1 * usual, 1.2 * usual, 1.15 * usual))
    filling = found.filling("bucket", LEAVES)
    assert filling is not None
    seen = (log(1.1) + log(1.2) + log(1.15)) / 3.0
    belief, told = 1.0 / doubt**2, 3.0 / WEIGHING_LOG_SD**2
    assert log(filling.fresh_kg.mid) == pytest.approx(middle + seen * told / (told + belief), abs=1e-3)
    assert log_sd(filling.fresh_kg) == pytest.approx((told + belief) ** -0.5, rel=1e-2)


def test_after_three_weighings_the_bucket_is_known() -> None:
    usual = exp(prior()[0])
    spreads = []
    for count in range(4):
        found = learn_containers(CONTAINERS, RESIDUES, weighed(*[usual] * count), asked=[("bucket", LEAVES)])
        filling = found.filling("bucket", LEAVES)
        assert filling is not None
        assert filling.known == (count >= 3)
        spreads.append(log_sd(filling.fresh_kg))
    assert spreads == sorted(spreads, reverse=True)
    assert spreads[3] < 0.05 < spreads[0]


def test_a_weighing_tells_of_other_residues_in_it_and_of_other_containers() -> None:
    pairs = [("bucket", GRASS), ("bag", LEAVES), ("bag", GRASS)]
    heavy = 1.5 * exp(prior()[0])
    found = learn_containers(CONTAINERS, RESIDUES, weighed(heavy, heavy, heavy), asked=pairs)
    for container, residue in pairs[:2]:
        filling = found.filling(container, residue)
        assert filling is not None
        assert filling.fresh_kg.mid > 1.01 * filling.fresh_kg_before.mid
        assert log_sd(filling.fresh_kg) < log_sd(filling.fresh_kg_before)
        assert filling.weighings == 0
    strange = found.filling("bag", GRASS)
    assert strange is not None
    assert strange.fresh_kg.mid == pytest.approx(strange.fresh_kg_before.mid)


def test_pounds_taken_for_kilograms_are_held_for_a_slip() -> None:
    usual = exp(prior()[0])
    good = learn_containers(CONTAINERS, RESIDUES, weighed(usual, 1.05 * usual, 0.98 * usual))
    slip = learn_containers(CONTAINERS, RESIDUES, weighed(usual, 1.05 * usual, 0.98 * usual, 2.2 * usual))
    one, other = (found.filling("bucket", LEAVES) for found in (good, slip))
    assert one is not None
    assert other is not None
    assert other.fresh_kg.mid == pytest.approx(one.fresh_kg.mid, rel=0.01)
    assert other.weighings == 3
    assert [look.weighed.fresh_kg for look in slip.looks if look.slip > 0.5] == [2.2 * usual]


def test_the_order_of_weighings_changes_nothing() -> None:
    some = [*weighed(1.0, 1.2, 0.9), *weighed(3.0, container="bag", residue=LEAVES)]
    assert learn_containers(CONTAINERS, RESIDUES, some) == learn_containers(CONTAINERS, RESIDUES, some[::-1])


def test_amounts_of_plans_follow() -> None:
    usual = exp(prior()[0])
    found = learn_containers(CONTAINERS, RESIDUES, weighed(1.5 * usual, 1.5 * usual, 1.5 * usual))
    before, (after,) = CONTAINERS["bucket"], with_learnt([CONTAINERS["bucket"]], found)
    laid = [fill(RESIDUES[LEAVES], one, 4.0, 2.0).dry_matter for one in (before, after)]
    assert laid[1] == pytest.approx(1.5 * laid[0], rel=0.03)
    assert fill(RESIDUES[LEAVES], after, 4.0, 2.0).dry_matter_log_sd < fill(RESIDUES[LEAVES], before, 4.0, 2.0).dry_matter_log_sd  # noqa: E501  # fmt: skip


def test_dry_matter_carries_the_doubt_of_both() -> None:
    found = learn_containers(CONTAINERS, RESIDUES, weighed(1.0, 1.0, 1.0))
    filling = found.filling("bucket", LEAVES)
    assert filling is not None
    assert filling.dry_kg.mid == pytest.approx(filling.fresh_kg.mid * RESIDUES[LEAVES].dry_share)
    assert log_sd(filling.dry_kg) > log_sd(filling.fresh_kg)


def test_pressed_matter_tells_nothing_of_loose_matter() -> None:
    containers = {**CONTAINERS, "bale": replace(CONTAINERS["bucket"], name="bale", pressed=True)}
    found = learn_containers(
        containers, RESIDUES, weighed(5.0, 5.0, container="bale"), asked=[("bucket", LEAVES)]
    )  # fmt: skip
    loose = found.filling("bucket", LEAVES)
    assert loose is not None
    assert loose.fresh_kg.mid == pytest.approx(loose.fresh_kg_before.mid)
