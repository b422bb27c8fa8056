"""The whole of planning: price, choose, rehearse, correct, and put the season plan together."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.forecast import BedForecast, RelativeBalance
from mullbed.domain.garden import Garden
from mullbed.domain.season_plan import Budget, Fed, OverScenarios, PlannedLayer, SeasonPlan
from mullbed.plan.bed_classes import PLACE, BedClass, bed_classes
from mullbed.plan.bed_forecast import after, forecast_of
from mullbed.plan.candidates import Candidate, layer_of
from mullbed.plan.choose import solved
from mullbed.plan.garden_tables import Tables
from mullbed.plan.lift_rows import lifts_through
from mullbed.plan.look_ahead import ROUNDS, PlannedAhead, planned_ahead
from mullbed.plan.next_best import alternatives, worth_of_more
from mullbed.plan.offers import BedOffers
from mullbed.plan.outcomes import Ensemble, middle_of, priced, strata_of
from mullbed.plan.proven_gap import proven_gap
from mullbed.plan.ready_made import Refusals, ready_made
from mullbed.plan.rehearse import Agreed, Chosen, Rehearsal, agreed_plan, rehearsed
from mullbed.plan.safety_refusals import held_because, plan_refusals
from mullbed.plan.scenarios import scenarios_of
from mullbed.plan.season_facts import gathered, planned_layers, promised, rehearsal_fed, shortages_of, unmet_by_month
from mullbed.plan.season_terms import base_run, ceilings, plan_terms
from mullbed.plan.solve import Effort
from mullbed.plan.standing_plan import StandingPlan, standing_candidates, with_wishes
from mullbed.plan.stocks import stocks_of
from mullbed.plan.supply_weeks import supply_weeks
from mullbed.plan.terms import PlanTerms, Series, Weights, weeks_of
from mullbed.plan.uncertain import Outlook
from mullbed.simulate.bed_case import bed_case
from mullbed.simulate.case import BedCase
from mullbed.simulate.ensemble import draw_members
from mullbed.simulate.run import simulate

#: Members of the rehearsals.
REHEARSAL_MEMBERS = 64
#: How the mean of what may come and its bad tenth count, where nobody says otherwise.
USUAL_OUTLOOK = Outlook()


def season_span(garden: Garden, longest: int = 730) -> tuple[date, date]:
    """Return the Monday the runs begin and the Sunday they end: every layer that still lies is run from its laying."""
    monday = garden.first_day - timedelta(days=garden.first_day.weekday())
    oldest = min((layer.day for bed in garden.beds for layer in bed.layers), default=monday)
    oldest = max(min(oldest, monday), monday - timedelta(days=longest))
    last = garden.last_day + timedelta(days=6 - garden.last_day.weekday())
    return oldest - timedelta(days=oldest.weekday()), last


@dataclass(frozen=True, slots=True, eq=False)
class Rehearsed:
    """The last rehearsal of one bed."""

    forecast: BedForecast
    fed: Fed
    layers: tuple[PlannedLayer, ...]
    fed_high: float


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """A garden as a planning problem: terms, candidates, and the cases outcomes come from."""

    terms: PlanTerms
    candidates: tuple[tuple[Candidate, ...], ...]
    refusals: Refusals
    cases: tuple[BedCase, ...]
    """By bed, as it is without new layers."""
    classes: tuple[BedClass, ...]
    first_day: int
    """Day index of the Monday of the season's first week."""


def problem_of(
    garden: Garden,
    weather: WeatherYears,
    tables: Tables,
    ensemble: Ensemble,
    weights: Weights | None = None,
    standing: StandingPlan | None = None,
) -> Problem:
    """Return a garden as a planning problem; its beds are run as they are, the plan so far is looked at again."""
    weeks = weeks_of(garden.first_day, garden.last_day, garden.site.weeks_away)
    first_day = (weeks[0].monday - weather.first_day).days
    cases = tuple(bed_case(bed, weather, tables.crops, tables.residues) for bed in garden.beds)
    runs = [base_run(case, ensemble, first_day) for case in cases]
    classes = bed_classes(cases, first_day)
    stocks = stocks_of(
        garden.supplies, tables.residues, tables.containers, garden.containers, garden.last_day, tables.safety
    )
    terms = plan_terms(
        garden, weeks, stocks, cases, runs, classes, tables.crops, tables.residues, first_day, tables.safety, weights
    )
    standing = standing or StandingPlan()
    terms = with_wishes(terms, standing.wishes)
    candidates, refusals = ready_made(terms, standing=standing_candidates(terms, standing))
    return Problem(terms, candidates, refusals, cases, classes, first_day)


def priced_by(terms: PlanTerms, members: tuple[int, ...]) -> PlanTerms:
    """Return the terms with what beds give by themselves told by some of the members."""
    rows = list(members)
    return replace(terms, beds=tuple(replace(bed, soil_given=bed.soil_given[rows]) for bed in terms.beds))


def plan_season(
    garden: Garden,
    weather: WeatherYears,
    tables: Tables,
    *,
    ensemble: Ensemble | None = None,
    effort: Effort | None = None,
    weights: Weights | None = None,
    outlook: Outlook | None = USUAL_OUTLOOK,
    standing: StandingPlan | None = None,
    progress: Callable[[str], None] = lambda sentence: None,
) -> SeasonPlan:
    """Plan a season.

    Parameters
    ----------
    garden : Garden
    weather : WeatherYears
        From the Monday to the Sunday of `season_span`.
    tables : Tables
    ensemble : Ensemble, optional
        Members, seed, threads and overridden parameters.
    effort : Effort, optional
        When the solver may stop.
    weights : Weights, optional
        What each goal costs.
    outlook : Outlook, optional
        How what may come counts; None plans for the mean season.
    standing : StandingPlan, optional
        The plan so far, of which as little is changed as is worth changing, and the grower's wishes.
    progress : callable

    Raises
    ------
    NoPlan
        When no choice of layers keeps the limits.
    BalanceError, DirectionError
        When the books of a run do not close.
    """
    ensemble, effort = ensemble or Ensemble(), effort or Effort()
    progress(f"Running {len(garden.beds)} beds as they are.")
    large = replace(ensemble, members=max(REHEARSAL_MEMBERS, ensemble.members), chosen=())
    problem = problem_of(garden, weather, tables, large, weights, standing)
    cases, first_day = problem.cases, problem.first_day
    strata = strata_of(problem.classes[0], problem.terms, tables.residues, large, ensemble.members, first_day)
    few = middle_of(strata)
    terms = priced_by(problem.terms, few)
    offers, count = priced(
        problem.classes, terms, problem.candidates, tables.residues, replace(large, chosen=few), first_day, progress
    )

    prices: list[Series] = []
    scenarios = scenarios_of(terms, len(few), ensemble.seed, whole=problem.terms, strata=strata)
    ahead: list[PlannedAhead] = []

    def solve(
        current: tuple[BedOffers, ...], lowered: Series, kept: Mapping[int, tuple[int, ...]]
    ) -> tuple[Chosen, float]:
        beds = tuple(replace(bed, fed_lowered=float(lower)) for bed, lower in zip(terms.beds, lowered, strict=True))
        limited = replace(terms, beds=beds)

        def choose(priced_terms: PlanTerms, priced_offers: tuple[BedOffers, ...]) -> tuple[Chosen, float]:
            progress(f"Choosing among {sum(len(offer.candidates) for offer in current)} layers.")
            chosen, solution = solved(priced_terms, priced_offers, effort, kept=kept)
            if len(kept) < len(beds):
                prices[:] = [solution.prices]
            return chosen, solution.gap

        if len(kept) == len(beds):
            chosen = tuple(kept[number] for number in range(len(beds)))
            gap = proven_gap(lambda *asked: choose(*asked)[1], limited, current, chosen, scenarios, outlook)
        elif outlook is None:
            chosen, gap = choose(limited, current)
        else:
            begin, rounds = (ahead[-1].ahead.chosen, 1) if ahead else (None, ROUNDS)
            carried = ahead[-1].charges if ahead else ()
            ahead.append(planned_ahead(choose, limited, current, scenarios, outlook, rounds, begin, kept, carried))
            chosen, gap = ahead[-1].ahead.chosen, ahead[-1].gap
        return chosen, gap

    def rehearse(current: tuple[BedOffers, ...], chosen: Chosen) -> Rehearsal:
        return rehearsed(cases, current, chosen, terms, tables.residues, large, first_day, few)

    agreed = agreed_plan(solve, rehearse, offers, progress=progress, stop=effort.stop)
    progress("Running the whole season once more.")

    def last(number: int) -> Rehearsed:
        return last_rehearsal(number, garden, weather, terms, agreed, tables, ensemble, first_day)

    with ThreadPoolExecutor(ensemble.threads) as pool:
        beds = list(pool.map(last, range(len(terms.beds))))
    progress("Looking for the limits that bite.")
    beds = [with_alternatives(number, bed, terms, agreed) for number, bed in enumerate(beds)]
    gather, left = gathered(terms, agreed.offers, agreed.chosen)
    worst = RelativeBalance(
        max((bed.forecast.balance.carbon for bed in beds), default=0.0),
        max((bed.forecast.balance.nitrogen for bed in beds), default=0.0),
        max((bed.forecast.balance.water for bed in beds), default=0.0),
    )
    names = [bed.name for bed in garden.beds]
    return SeasonPlan(
        garden=garden.site.name,
        first_day=garden.first_day,
        last_day=garden.last_day,
        seed=ensemble.seed,
        layers=tuple(
            sorted((one for bed in beds for one in bed.layers), key=lambda one: (one.layer.day, one.layer.bed))
        ),
        gather=gather,
        gap=agreed.gap,
        outcomes=count,
        budget={
            name: budget_of(number, garden, terms, agreed, tables, beds[number]) for number, name in enumerate(names)
        },
        promise={
            name: promised(terms.beds[number], agreed.offers[number], agreed.chosen[number])
            for number, name in enumerate(names)
        },
        rehearsal={name: bed.fed for name, bed in zip(names, beds, strict=True)},
        corrections=agreed.corrections,
        unmet={name: unmet_of(number, terms, agreed) for number, name in enumerate(names)},
        supply_left=left,
        shortages=shortages_of(terms, agreed.offers, agreed.chosen, problem.refusals),
        held=tuple(
            (stock.name, held_because(stock.name, supply.held_because, terms), stock.held_until)
            for stock, supply in zip(terms.stocks, garden.supplies, strict=True)
            if stock.held
        ),
        worth=worth_of_more(terms, agreed.offers, prices[0]) if prices else (),
        supply=supply_weeks(terms, agreed.offers, agreed.chosen),
        forecasts={name: bed.forecast for name, bed in zip(names, beds, strict=True)},
        balance=worst,
        weather=weather.source,
        scenarios=over_scenarios(ahead[0], scenarios.count, outlook) if outlook is not None and ahead else None,
        refusals=plan_refusals(terms, problem.refusals),
        set_aside=tables.safety.set_aside,
    )


def with_alternatives(number: int, bed: Rehearsed, terms: PlanTerms, agreed: Agreed) -> Rehearsed:
    """Return a bed whose layers tell the next best thing to do instead."""
    found = alternatives(number, agreed.offers, agreed.chosen, terms)
    order = agreed.rehearsal.attributed[number].chosen
    layers = tuple(replace(one, instead=found.get(index)) for index, one in zip(order, bed.layers, strict=True))
    return replace(bed, layers=layers)


def over_scenarios(found: PlannedAhead, count: int, outlook: Outlook) -> OverScenarios:
    """Return what a plan and the one for the mean season cost over the scenarios."""
    plan, mean = found.ahead, found.in_the_mean
    return OverScenarios(
        count, outlook.share, plan.mean, plan.bad_tenth, mean.mean, mean.bad_tenth, mean.chosen != plan.chosen
    )


def unmet_of(number: int, terms: PlanTerms, agreed: Agreed) -> dict[str, float]:
    """Return the unmet want of one bed by month, by the rehearsal."""
    found, offers = agreed.rehearsal.attributed[number], agreed.offers[number]
    given = found.given.mean(axis=1).sum(axis=0)
    cover = offers.cover_depth[list(found.chosen)].sum(axis=0)
    return unmet_by_month(terms.beds[number], given, cover, terms)


def last_rehearsal(
    number: int,
    garden: Garden,
    weather: WeatherYears,
    terms: PlanTerms,
    agreed: Agreed,
    tables: Tables,
    ensemble: Ensemble,
    first_day: int,
) -> Rehearsed:
    """Run one bed with its plan over the large ensemble, day by day."""
    bed = garden.beds[number]
    offers, found = agreed.offers[number], agreed.rehearsal.attributed[number]
    planned = [layer_of(offers.candidates[index], terms) for index in found.chosen]
    base_case = bed_case(bed, weather, tables.crops, tables.residues)
    case = bed_case(bed, weather, tables.crops, tables.residues, planned)
    override = dict(ensemble.override)
    learned = ensemble.learned
    members = draw_members(case, REHEARSAL_MEMBERS, ensemble.seed, place=PLACE, override=override, learned=learned)
    same = draw_members(base_case, REHEARSAL_MEMBERS, ensemble.seed, place=PLACE, override=override, learned=learned)
    forecast, outcome = forecast_of(case, (), members, ensemble.seed, threads=1)
    base = simulate(base_case, same, threads=1)
    lying = [layer for layer in bed.layers if layer.day >= weather.first_day]
    forecast = replace(forecast, lifts=lifts_through(case, [*lying, *planned], outcome, members))
    shown = (garden.first_day - weather.first_day).days
    soil = soil_in_season(base_case, base.daily, same.mineral_factor, first_day)
    fed = rehearsal_fed(terms.beds[number], case, outcome, base, soil, first_day)
    layers = planned_layers(
        number, terms, offers, found, outcome, members, case, first_day, tables.can_litres, tables.residues
    )
    net = outcome.daily["net_nitrogen"][:, -1] - base.daily["net_nitrogen"][:, -1]
    high = float(np.percentile(soil + net, 90.0))
    return Rehearsed(after(forecast, shown), fed, layers, high)


def soil_in_season(case: BedCase, daily: Mapping[str, object], mineral_factor: object, first_day: int) -> np.ndarray:
    """Return what a bed gives in the season without new layers, with the mineral nitrogen it starts with. (members,)"""
    values = {name: np.asarray(series) for name, series in daily.items()}
    given = values["soil_nitrogen"] + values["net_nitrogen"]
    if first_day == 0:
        start = (case.soil.start_ammonium + case.soil.start_nitrate) * np.asarray(mineral_factor)
        return np.asarray(start + given[:, -1])
    gone = values["crop_nitrogen"] + values["leached"] + values["denitrified"]
    mineral = np.maximum(0.0, values["soil_side_nitrogen"] - gone)[:, first_day - 1]
    return np.asarray(mineral + given[:, -1] - given[:, first_day - 1])


def budget_of(
    number: int, garden: Garden, terms: PlanTerms, agreed: Agreed, tables: Tables, rehearsed_bed: Rehearsed
) -> Budget:
    """Return what a bed receives in the year against its ceilings."""
    bed, chosen = terms.beds[number], agreed.chosen[number]
    most = ceilings(
        garden.beds[number], garden.limits, tables.crops, tables.residues, float(bed.want.sum()), garden.first_day
    )
    candidates = agreed.offers[number].candidates
    return Budget(
        nitrogen_laid=most.nitrogen_laid + sum(candidates[index].nitrogen for index in chosen),
        nitrogen_ceiling=most.nitrogen,
        nitrogen_fed_high=rehearsed_bed.fed_high,
        nitrogen_fed_ceiling=most.nitrogen_fed,
        phosphorus_laid=most.phosphorus_laid + sum(candidates[index].phosphorus for index in chosen),
        phosphorus_ceiling=most.phosphorus,
        phosphorus_removed=most.phosphorus_removed,
    )
