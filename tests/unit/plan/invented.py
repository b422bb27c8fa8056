"""A small garden with invented outcomes: simple enough that the best plan is known by hand or by trying all."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np

from mullbed.domain.layer import Lift
from mullbed.domain.spread import Evidence
from mullbed.plan.candidates import Candidate
from mullbed.plan.offers import BedOffers
from mullbed.plan.ready_made import ready_made
from mullbed.plan.terms import Arrival, BedTerms, DayLimits, PlanTerms, Stock, Weights, weeks_of

FIRST = date(2027, 3, 1)  # a Monday


def clippings(count: float = 10.0, **changes: object) -> Stock:
    """One bucket: 2 kg fresh, 80 % water, 400 g dry matter, 3.5 % N."""
    unit = Lift("clippings", "bucket", 1.0, 400.0, 0.3, Evidence.GUESS, 0.010, True, 1.6, 0.0)
    fields: dict[str, object] = {
        "name": "clippings",
        "unit": unit,
        "soft_fresh": True,
        "nitrogen": 0.035,
        "phosphorus": 0.004,
        "carbon": 0.44,
        "arrivals": (Arrival(FIRST, count),),
        "shelf_life_days": 180.0,
    }
    return Stock(**{**fields, **changes})  # type: ignore[arg-type]


def leaves(count: float = 60.0, **changes: object) -> Stock:
    """One bag: 1.2 kg, 15 % water, 1,000 g dry matter, 0.8 % N."""
    unit = Lift("leaves", "bag", 1.0, 1000.0, 0.3, Evidence.GUESS, 0.022, False, 0.0, 0.18)
    fields: dict[str, object] = {
        "name": "leaves",
        "unit": unit,
        "soft_fresh": False,
        "nitrogen": 0.008,
        "phosphorus": 0.0008,
        "carbon": 0.46,
        "arrivals": (Arrival(FIRST, count),),
    }
    return Stock(**{**fields, **changes})  # type: ignore[arg-type]


def bed(name: str = "Low", weeks: int = 12, area: float = 4.0, **changes: object) -> BedTerms:
    """A bed that wants 8 g of nitrogen in weeks 6 to 9; its soil gives 0.2 a week."""
    want = np.zeros(weeks)
    want[6:10] = 2.0
    fields: dict[str, object] = {
        "name": name,
        "area": area,
        "bed_class": 0,
        "want": want,
        "soil_given": np.full((8, weeks), 0.2),
        "kept": np.full(weeks, 0.95),
        "cover_depth": np.zeros(weeks),
        "thickness": np.zeros(weeks),
        "nitrogen_ceiling": 60.0,
        "nitrogen_fed_ceiling": 9.6,
        "phosphorus_ceiling": 5.0,
    }
    return BedTerms(**{**fields, **changes})  # type: ignore[arg-type]


def terms(
    beds: tuple[BedTerms, ...] | None = None,
    stocks: tuple[Stock, ...] | None = None,
    weeks: int = 12,
    limits: DayLimits | None = None,
    weights: Weights | None = None,
    away: tuple[tuple[date, date], ...] = (),
) -> PlanTerms:
    """A planning problem over so many weeks."""
    last = FIRST + timedelta(days=7 * weeks - 1)
    return PlanTerms(
        weeks_of(FIRST, last, away),
        stocks if stocks is not None else (clippings(), leaves()),
        beds if beds is not None else (bed(weeks=weeks),),
        limits or DayLimits(),
        weights or Weights(),
    )


def outcome(candidate: Candidate, weeks: int, members: int = 8) -> tuple[np.ndarray, np.ndarray]:
    """Invented: a tenth of the soft fresh nitrogen a week for five weeks; dry residue takes a little for two."""
    soft = 0.0 if candidate.soft is None else candidate.soft_load * 0.035
    given = np.zeros(weeks)
    for age in range(5):
        if candidate.week + age < weeks:
            given[candidate.week + age] += 0.1 * soft
    for age in range(2):
        if candidate.week + age < weeks:
            given[candidate.week + age] -= 0.0002 * candidate.dry_load
    return given, given.sum() * np.linspace(0.6, 1.4, members)


def offers_for(problem: PlanTerms, candidates: tuple[tuple[Candidate, ...], ...]) -> tuple[BedOffers, ...]:
    """Invented outcomes for every candidate."""
    weeks = len(problem.weeks)
    found = []
    for number, of_bed in enumerate(candidates):
        members = problem.beds[number].soil_given.shape[0]
        pairs = [outcome(candidate, weeks, members) for candidate in of_bed]
        age = np.array([[week - c.week for week in range(weeks)] for c in of_bed]).reshape(len(of_bed), weeks)
        loads = np.array([c.soft_load + c.dry_load for c in of_bed]).reshape(-1, 1)
        lies = np.where(age >= 0, 0.93 ** np.maximum(age, 0), 0.0)
        found.append(
            BedOffers(
                of_bed,
                np.array([pair[0] for pair in pairs]).reshape(len(of_bed), weeks),
                np.array([pair[1] for pair in pairs]).reshape(len(of_bed), members),
                np.array([0.02 * c.nitrogen for c in of_bed]),
                np.array([0.01 * c.nitrogen for c in of_bed]),
                lies * loads * 0.0037,
                lies * loads / 60000.0,
            )
        )
    return tuple(found)


def offered(problem: PlanTerms, without: tuple[str, ...] = ()) -> tuple[BedOffers, ...]:
    """Candidates that keep the rules, with invented outcomes."""
    return offers_for(problem, ready_made(problem, without)[0])
