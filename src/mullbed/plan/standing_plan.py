"""The plan made before, looked at again: its layers as candidates, and the grower's wishes in the terms.

A layer of the plan so far costs a little less than another like it, so that a new plan changes as little as is worth
changing; a layer somebody wants kept is a rule (R26); days on which a bed is to be left alone are a rule (R25).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from mullbed.domain.layer import Layer
from mullbed.domain.wishes import Wishes
from mullbed.errors import Fault, InputFault
from mullbed.plan.candidates import Candidate, Portion, made
from mullbed.plan.layer_checks import CHECKS
from mullbed.plan.terms import DAYS_A_WEEK, PlanTerms


@dataclass(frozen=True, slots=True)
class StandingPlan:
    """Layers planned before, and what is wished of the next plan."""

    layers: tuple[Layer, ...] = ()
    wishes: Wishes = field(default_factory=Wishes)


def with_wishes(terms: PlanTerms, wishes: Wishes) -> PlanTerms:
    """Return terms in which beds are left alone and stocks used first as wished.

    Raises
    ------
    InputFault
        When a wish names a bed or a supply that is not there; all faults at once.
    """
    beds = {bed.name.casefold() for bed in terms.beds}
    stocks = {stock.name.casefold() for stock in terms.stocks}
    known_beds, known_stocks = (", ".join(one.name for one in known) for known in (terms.beds, terms.stocks))
    faults = [
        Fault("--not-on", f"'{one.bed}'", known_beds, "Name a bed of the garden.")
        for one in wishes.not_on
        if one.bed.casefold() not in beds
    ]
    faults += [
        Fault("--first", f"'{one}'", known_stocks, "Name what is in hand or expected.")
        for one in wishes.first
        if one.casefold() not in stocks
    ]
    if faults:
        raise InputFault(faults)
    first = {one.casefold() for one in wishes.first}
    return replace(
        terms,
        stocks=tuple(replace(stock, first=stock.name.casefold() in first) for stock in terms.stocks),
        beds=tuple(
            replace(
                bed,
                left_alone=tuple(
                    (one.first_day, one.last_day) for one in wishes.not_on if one.bed.casefold() == bed.name.casefold()
                ),
            )
            for bed in terms.beds
        ),
    )


def standing_candidates(terms: PlanTerms, plan: StandingPlan) -> dict[int, tuple[Candidate, ...]]:
    """Return the layers of the plan so far that can still be laid, by bed; those to be kept are marked.

    Raises
    ------
    InputFault
        When a layer to be kept is not in the plan, or a rule forbids it now; all faults at once.
    """
    found: dict[int, list[Candidate]] = {}
    wanted = {(one.bed.casefold(), one.day) for one in plan.wishes.keep}
    names = {bed.name: number for number, bed in enumerate(terms.beds)}
    met, faults = set(), []
    for layer in plan.layers:
        number = names.get(layer.bed)
        key = (layer.bed.casefold(), layer.day)
        if number is None:
            continue
        candidate = as_candidate(number, layer, terms)
        broken = "it is past, or what it takes is not there" if candidate is None else _broken(candidate, terms)
        if key in wanted:
            met.add(key)
            if broken:
                faults.append(
                    Fault(
                        "--keep",
                        f"{layer.bed}, {layer.day}",
                        "a layer that can be laid",
                        f"It cannot be kept: {broken}.",
                    )
                )
                continue
        if candidate is not None and not broken:
            found.setdefault(number, []).append(replace(candidate, standing=True, wanted=key in wanted))
    planned = ", ".join(f"{one.bed} {one.day}" for one in plan.layers) or "no layers"
    faults += [
        Fault("--keep", f"{one.bed}, {one.day}", planned, "Name a layer of the plan so far by bed and day.")
        for one in plan.wishes.keep
        if (one.bed.casefold(), one.day) not in met
    ]
    if faults:
        raise InputFault(faults)
    return {number: tuple(candidates) for number, candidates in found.items()}


def _broken(candidate: Candidate, terms: PlanTerms) -> str:
    """Return the rules a layer breaks now, in a few words; empty where it breaks none."""
    bed = terms.beds[candidate.bed]
    return ", ".join(f"rule {rule} forbids it" for rule, check in CHECKS.items() if check(candidate, bed, terms))


def as_candidate(number: int, layer: Layer, terms: PlanTerms) -> Candidate | None:
    """Return a planned layer as a candidate of its bed; None where its day or its residues are not there any more."""
    week = (layer.day - terms.weeks[0].monday).days // DAYS_A_WEEK
    if not 0 <= week < len(terms.weeks) or layer.day not in terms.weeks[week].days:
        return None
    portions: dict[bool, Portion] = {}
    counts: dict[tuple[str, str, bool], float] = {}
    for lift in layer.lifts:
        key = (lift.residue, lift.container, lift.fresh)
        counts[key] = counts.get(key, 0.0) + lift.count
    for key, count in counts.items():
        stock, whole = _stock_of(key, count, week, terms), round(count)
        if stock is None or whole < 1 or abs(whole - count) > 1e-6 or terms.stocks[stock].soft_fresh in portions:
            return None
        portions[terms.stocks[stock].soft_fresh] = Portion(stock, whole)
    if False not in portions:
        return None
    return made(number, terms.weeks[week], layer.day, portions.get(True), portions[False], terms)


def _stock_of(key: tuple[str, str, bool], count: float, week: int, terms: PlanTerms) -> int | None:
    """Return the stock of a residue in a container that has so many in a week, the first of them."""
    for number, stock in enumerate(terms.stocks):
        unit, day = stock.unit, terms.stock_days[number][week]
        if (unit.residue, unit.container, unit.fresh) == key and day is not None and stock.most_on(day) >= count - 1e-6:
            return number
    return None
