"""How far a finished plan may be from the best there can be, by what it was chosen for."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from mullbed.plan.offers import BedOffers
from mullbed.plan.scenarios import Scenarios
from mullbed.plan.terms import PlanTerms
from mullbed.plan.uncertain import BedScenarios, Chosen, Outlook, charged, charged_terms, charges


def proven_gap(
    prove: Callable[[PlanTerms, tuple[BedOffers, ...]], float],
    terms: PlanTerms,
    offers: Sequence[BedOffers],
    chosen: Chosen,
    scenarios: Scenarios,
    outlook: Outlook | None,
) -> float:
    """Return the proven gap of a plan. [fraction]

    A plan for the mean and the bad tenth is measured by what layers are charged beside it (R23); a plan for the mean
    season by its cost there.

    Parameters
    ----------
    prove : callable
        From terms and offers to the gap of the plan against every plan of all beds.
    terms : PlanTerms
    offers : sequence of BedOffers
        What the plan promises.
    chosen : tuple
        Candidates laid by bed.
    scenarios : Scenarios
    outlook : Outlook or None
        How the mean and the bad tenth count; None for the mean season alone.
    """
    if outlook is None:
        return prove(terms, tuple(offers))
    beds = tuple(BedScenarios(bed, offer, scenarios, terms) for bed, offer in zip(terms.beds, offers, strict=True))
    return prove(charged_terms(terms), charged(terms, offers, charges(beds, chosen, outlook)))
