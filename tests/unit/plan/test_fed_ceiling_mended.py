"""A plan past its fed ceiling is planned anew with a sharper row before whole layers come off it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.unit.plan import invented as garden

from mullbed.plan import choose
from mullbed.plan.choose import past_fed_ceiling, solved
from mullbed.plan.ledger import whole_cost
from mullbed.plan.offers import BedOffers
from mullbed.plan.solve import Effort
from mullbed.plan.terms import PlanTerms


def uneven() -> tuple[PlanTerms, tuple[BedOffers, ...]]:
    """Three beds whose layers are rich in different members, so that the highest fifth depends on the plan."""
    want = np.full(12, 1.5)
    beds = tuple(
        garden.bed(name, want=want, nitrogen_fed_ceiling=ceiling, soil_given=np.full((20, 12), 0.2))
        for name, ceiling in (("Low", 7.0), ("Wall", 8.0), ("Pear", 9.0))
    )
    terms = garden.terms(beds, (garden.clippings(40.0), garden.leaves(120.0)))
    generator = np.random.default_rng(5)
    offers = tuple(
        replace(
            offer,
            given_by_member=offer.given.sum(axis=1)[:, None]
            * np.exp(0.5 * generator.standard_normal((len(offer.candidates), 20))),
        )
        for offer in garden.offered(terms)
    )
    return terms, offers


def test_a_mended_plan_keeps_the_ceiling_and_costs_no_more_than_one_with_layers_taken_off(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    terms, offers = uneven()
    mended, told = solved(terms, offers, Effort(gap=0.0))
    monkeypatch.setattr(choose, "MENDED", 0)
    stripped, _ = solved(terms, offers, Effort(gap=0.0))
    assert not past_fed_ceiling(terms, offers, mended)
    assert not past_fed_ceiling(terms, offers, stripped)
    costs = [whole_cost(terms, offers, one) for one in (mended, stripped)]
    assert costs[0] < costs[1] - 1e-6
    assert told.bound <= told.cost + 1e-9
    assert told.cost == pytest.approx(costs[0], abs=1e-6)
