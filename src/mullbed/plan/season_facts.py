"""The facts of a finished plan: what each bed is fed, what each layer gives, what to gather, what stays short."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, timedelta

import numpy as np

from mullbed.domain.layer import Layer
from mullbed.domain.residue import Residue
from mullbed.domain.season_plan import Fed, Gathering, PlannedLayer, Shortage
from mullbed.domain.spread import Evidence, Spread
from mullbed.plan.candidates import layer_of
from mullbed.plan.choice_model import COVERED, Choice, built
from mullbed.plan.explain import reasons_of
from mullbed.plan.ledger import bed_ledger, drawn, left_over, taken_from
from mullbed.plan.lift_rows import rows_of_layers
from mullbed.plan.offers import BedOffers
from mullbed.plan.ready_made import Refusals
from mullbed.plan.rehearse import Attributed
from mullbed.plan.solve import biting
from mullbed.plan.terms import DAYS_A_WEEK, BedTerms, PlanTerms, Series
from mullbed.simulate import layout as at
from mullbed.simulate.case import BedCase
from mullbed.simulate.ensemble import NINETIETH, Members
from mullbed.simulate.run import Outcome

MODEL = "mullbed_model"
#: Days after which a layer has settled, for the thickness to expect. [d]
SETTLED_AFTER = 14
FEEDS_WITHIN = 28

#: What each liftable rule is called, and its unit.
LIMIT_WORDS = {
    "R3": ("supply", "containers"),
    "R10": ("nitrogen laid in the year", "g m-2"),
    "R11": ("nitrogen fed", "g m-2"),
    "R12": ("phosphorus laid in the year", "g m-2"),
    "R16": ("work in a day", "minutes"),
    "R17": ("water in a day", "litres"),
    "R21": ("reserve of dry matter", "kg"),
}
#: What turned candidates away, where no layer at all was possible.
REFUSAL_WORDS = {
    "R3": "nothing in hand",
    "R7": "one container is too thick for this bed",
    "R8": "too wet without dry matter",
    "R9": "too little to cap with",
    "R10": "nitrogen laid in the year",
    "R12": "phosphorus laid in the year",
    "R13": "wait before sowing",
    "R14": "seedlings",
    "R15": "wait before harvest",
    "R16": "work in a day",
    "R18": "away",
    "R22": "safety",
    "R25": "left alone as you wish",
}


def spread_of(values: Series, unit: str, evidence: Evidence = Evidence.WORKED_OUT) -> Spread:
    """Return 10th, 50th and 90th percentile of members."""
    low, mid, high = np.percentile(values, (10.0, 50.0, 90.0))
    return Spread(float(low), float(mid), float(high), unit, evidence, MODEL)


def promised(bed: BedTerms, offers: BedOffers, chosen: Sequence[int]) -> Fed:
    """Return what the priced candidates of a bed promise, added up."""
    index = list(chosen)
    ammonia, leached = float(offers.ammonia[index].sum()), float(offers.leached[index].sum())
    depth = bed.cover_depth + offers.cover_depth[index].sum(axis=0)
    days = float(DAYS_A_WEEK * np.count_nonzero(depth >= COVERED))
    return Fed(
        crop_want=float(bed.want.sum()),
        soil_alone=spread_of(bed.soil_given.sum(axis=1), "g m-2"),
        layers=spread_of(offers.given_by_member[index].sum(axis=0), "g m-2"),
        ammonia_lost=Spread(ammonia, ammonia, ammonia, "g m-2", Evidence.WORKED_OUT, MODEL),
        leached=Spread(leached, leached, leached, "g m-2", Evidence.WORKED_OUT, MODEL),
        covered_days=Spread(days, days, days, "d", Evidence.WORKED_OUT, MODEL),
    )


def rehearsal_fed(bed: BedTerms, case: BedCase, outcome: Outcome, base: Outcome, soil: Series, first_day: int) -> Fed:
    """Return what the whole simulated season shows of a bed.

    Parameters
    ----------
    bed : BedTerms
    case : BedCase
    outcome, base : Outcome
        With and without the planned layers, same members, by day.
    soil : array
        Given without new layers in the season, by member. (members,) [g m-2]
    first_day : int
        Day index of the season's first Monday.
    """
    last = -1
    layers = outcome.daily["net_nitrogen"][:, last] - base.daily["net_nitrogen"][:, last]
    canopy = case.cover.ground_cover if case.cover is not None else np.zeros(case.weather.days)
    bare = (1.0 - np.nan_to_num(outcome.daily["cover"])) * (1.0 - canopy)
    days = np.count_nonzero(bare[:, first_day:] <= 0.2, axis=1).astype(np.float64)
    return Fed(
        crop_want=float(bed.want.sum()),
        soil_alone=spread_of(soil, "g m-2"),
        layers=spread_of(layers, "g m-2"),
        ammonia_lost=spread_of(outcome.daily["ammonia_lost"][:, last] - base.daily["ammonia_lost"][:, last], "g m-2"),
        leached=spread_of(outcome.daily["leached"][:, last] - base.daily["leached"][:, last], "g m-2"),
        covered_days=spread_of(days, "d"),
    )


def within(by_week: Series, laid_on: int, days: int) -> Series:
    """Return what was given within so many days of laying, by member. (members,) [g m-2]

    Weekly sums are spread evenly over their days; nothing is given before the day of laying.
    """
    week = laid_on // DAYS_A_WEEK
    sums = np.cumsum(by_week[:, week:], axis=1)
    ends = np.arange(1, sums.shape[1] + 1) * DAYS_A_WEEK - laid_on % DAYS_A_WEEK
    found = [np.interp(days, np.concatenate(([0.0], ends)), np.concatenate(([0.0], one))) for one in sums]
    return np.array(found)


def gives_from(by_week: Series, laid_on: int, monday: date) -> tuple[date | None, date | None, date | None]:
    """Return the day from which the sum given stays above zero: early, middle and late among the members."""
    sums = np.cumsum(by_week, axis=1)
    weeks = sums.shape[1]
    below = sums <= 0.0
    first = np.where(below.any(axis=1), weeks - np.argmax(below[:, ::-1], axis=1), 0)
    laid_week = laid_on // DAYS_A_WEEK
    found: list[date | None] = []
    for share in (0.1, 0.5, 0.9):
        week = float(np.quantile(first, share, method="higher"))
        if week >= weeks:
            found.append(None)
        else:
            found.append(
                monday + timedelta(days=max(laid_on, int(week) * DAYS_A_WEEK if week > laid_week else laid_on))
            )
    return found[0], found[1], found[2]


def nitrogen_laid(members: Members, rows: slice) -> Spread:
    """Return the nitrogen of some lifts over the members. [g m-2]"""
    draws = members.draws[:, rows]
    return spread_of((draws[:, :, at.D_MASS] * draws[:, :, at.D_NITROGEN] / 100.0).sum(axis=1), "g m-2")


def phosphorus_laid(layer: Layer, members: Members, rows: slice, residues: Mapping[str, Residue]) -> Spread:
    """Return the phosphorus of a layer: doubt of its mass over the members, of its content by its range. [g m-2]"""
    mass = members.draws[:, rows, at.D_MASS]
    middle = np.array([residues[lift.residue].phosphorus.mid for lift in layer.lifts])
    total = spread_of((mass * middle).sum(axis=1), "g m-2", Evidence.WORKED_OUT)
    wide = [residues[lift.residue].phosphorus for lift in layer.lifts]
    share = np.array([lift.dry_matter for lift in layer.lifts]) * middle
    weight = share / max(1e-12, float(share.sum()))
    content = sum(
        float(part) * (np.log(max(one.high, 1e-9) / max(one.low, 1e-9)) / (2.0 * NINETIETH) if one.low > 0.0 else 0.5)
        for part, one in zip(weight, wide, strict=True)
    )
    amount = np.log(max(total.high, 1e-9) / max(total.low, 1e-9)) / (2.0 * NINETIETH)
    doubt = float(np.exp(NINETIETH * np.hypot(content, amount)))
    return Spread(total.mid / doubt, total.mid, total.mid * doubt, "g m-2", Evidence.WORKED_OUT, MODEL)


def planned_layers(
    number: int,
    terms: PlanTerms,
    offers: BedOffers,
    found: Attributed,
    outcome: Outcome,
    members: Members,
    case: BedCase,
    first_day: int,
    can_litres: float,
    residues: Mapping[str, Residue],
) -> tuple[PlannedLayer, ...]:
    """Return the layers of one bed with what each gives, why it is laid and what to mind.

    Parameters
    ----------
    number : int
        The bed.
    terms : PlanTerms
    offers : BedOffers
        What the plan was chosen from.
    found : Attributed
        What each layer gave in the rehearsal.
    outcome, members, case
        The rehearsal by day, with the planned layers.
    first_day : int
        Day index of the season's first Monday.
    can_litres : float
        What a can holds. [L]
    residues : mapping
    """
    bed, monday = terms.beds[number], terms.weeks[0].monday
    layers = [layer_of(offers.candidates[index], terms) for index in found.chosen]
    height = np.nanmedian(np.nan_to_num(outcome.daily["thickness"]), axis=0)
    planned = []
    for place, (index, layer, rows) in enumerate(zip(found.chosen, layers, rows_of_layers(case, layers), strict=True)):
        candidate = offers.candidates[index]
        day = (layer.day - case.weather.first_day).days
        in_season = (layer.day - monday).days
        cautions = dict.fromkeys(key for p in candidate.portions for key in terms.stocks[p.stock].cautions)
        planned.append(
            PlannedLayer(
                layer=layer,
                cans=candidate.litres / can_litres,
                litres=candidate.litres,
                minutes=candidate.minutes,
                settled_thickness=float(height[min(day + SETTLED_AFTER, len(height) - 1)]),
                lying_before=float(height[day - 1]) if day else 0.0,
                nitrogen_laid=nitrogen_laid(members, rows),
                phosphorus_laid=phosphorus_laid(layer, members, rows, residues),
                net_nitrogen_28d=spread_of(within(found.given[place], in_season, FEEDS_WITHIN), "g m-2"),
                gives_from=gives_from(found.given[place], in_season, monday),
                reasons=reasons_of(bed, offers, found.chosen, index, terms),
                cautions=tuple(cautions),
            )
        )
    return tuple(planned)


def gathered(
    terms: PlanTerms, offers: Sequence[BedOffers], chosen: Sequence[Sequence[int]]
) -> tuple[tuple[Gathering, ...], dict[str, float]]:
    """Return what to collect by week and from where, and what is left of each supply in containers."""
    taken = taken_from(offers, chosen, terms)
    gather: list[Gathering] = []
    left: dict[str, float] = {}
    for number, stock in enumerate(terms.stocks):
        from_arrival, _ = drawn(number, taken[number], terms)
        left[stock.name] = round(left_over(number, from_arrival, terms), 2)
        for week in np.flatnonzero(taken[number]):
            places = np.flatnonzero(from_arrival[:, week])
            until = None
            if stock.shelf_life_days is not None and len(places):
                until = min(stock.arrivals[p].day for p in places) + timedelta(days=int(stock.shelf_life_days))
            gather.append(
                Gathering(
                    terms.weeks[int(week)].monday,
                    stock.unit.residue,
                    stock.unit.container,
                    float(taken[number, week]),
                    stock.name,
                    until,
                )
            )
    return tuple(sorted(gather, key=lambda one: (one.week, one.supply))), left


def month_of(week: int, terms: PlanTerms) -> str:
    """Return the ISO month of a week's Thursday."""
    return (terms.weeks[week].monday + timedelta(days=3)).strftime("%Y-%m")


def unmet_by_month(bed: BedTerms, given: Series, cover: Series, terms: PlanTerms) -> dict[str, float]:
    """Return the want that is not met by month, with what the layers gave in the rehearsal. [g m-2]"""
    ledger = bed_ledger(bed, given, cover, np.zeros(()), terms)
    months: dict[str, float] = {}
    for week, amount in enumerate(ledger.short):
        if bed.want[week] > 0.0:
            month = month_of(week, terms)
            months[month] = months.get(month, 0.0) + float(amount)
    return {month: round(amount, 3) for month, amount in months.items()}


def shortages_of(
    terms: PlanTerms,
    offers: tuple[BedOffers, ...],
    chosen: Sequence[Sequence[int]],
    refusals: Refusals,
    most: int = 6,
    choice: Choice | None = None,
) -> tuple[Shortage, ...]:
    """Return the limits that keep crops short, by how much, those that matter most first.

    A bed that no layer at all fits is told with the rule that turned most away.
    """
    found: list[Shortage] = []
    sums: dict[tuple[str, str | None, str | None, str], float] = defaultdict(float)
    for bite in biting(choice or built(terms, offers), chosen):
        word, unit = LIMIT_WORDS[bite.rule]
        month = None if bite.week is None else month_of(bite.week, terms)
        if bite.stock is not None:
            stock = terms.stocks[bite.stock]
            word, unit = stock.unit.residue, stock.unit.container
            if month is None and stock.arrivals:
                month = stock.arrivals[0].day.strftime("%Y-%m")
        bed = None if bite.bed is None else terms.beds[bite.bed].name
        sums[word, bed, month, unit] += bite.amount
    for (word, name, month, unit), amount in sorted(sums.items(), key=lambda pair: -pair[1])[:most]:
        found.append(
            Shortage(word, name, month, float(np.ceil(amount)) if unit not in {"g m-2", "kg"} else amount, unit)
        )
    for number, (terms_bed, offer) in enumerate(zip(terms.beds, offers, strict=True)):
        short = bed_ledger(
            terms_bed, np.zeros(terms_bed.weeks), np.zeros(terms_bed.weeks), np.zeros(()), terms
        ).short.sum()
        if not offer.candidates and short > 0.1:
            rule = refusals.most(terms_bed.name) or "R3"
            found.append(Shortage(REFUSAL_WORDS.get(rule, rule), terms.beds[number].name, None, float(short), "g m-2"))
    return tuple(found)
