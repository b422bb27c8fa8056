"""Why a container goes where it goes, and why another stays: room, worth and hauls of a finished sharing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from mullbed.domain.neighbourhood import Ceiling, GiverShare, Matter, Neighbourhood, Taker, TakerShare, Unused
from mullbed.domain.spread import Evidence, Spread, weakest
from mullbed.plan.neighbourhood_matter import Load

#: What is smaller than this is not told.
LEAST = 1e-6


@dataclass(slots=True)
class Account:
    """What was brought, and what each garden got of it."""

    neighbourhood: Neighbourhood
    loads: Sequence[Load]
    km: Mapping[tuple[int, int], float]
    """Way by giver and garden, for those in reach that want and take the residue. [km]"""
    brought: Mapping[tuple[int, int, int], int]
    """Containers by giver, garden and week."""
    got: dict[tuple[int, Matter], float] = field(init=False)
    """Standard containers by garden and kind."""

    def __post_init__(self) -> None:
        self.got = {(g, matter): 0.0 for g in range(len(self.neighbourhood.takers)) for matter in Matter}
        for (s, g, _), count in self.brought.items():
            self.got[g, self.loads[s].matter] += count * self.loads[s].standard

    def from_giver(self, s: int) -> int:
        """Return the containers a giver brings to anybody."""
        return sum(count for (giver, _, _), count in self.brought.items() if giver == s)

    def next_worth(self, g: int, matter: Matter) -> float | None:
        """Return what one more standard container is worth to a garden; None where it wants no more."""
        left = self.got[g, matter]
        for step in dict(self.neighbourhood.takers[g].wants).get(matter, ()):
            if left < step.most - LEAST:
                return step.worth
            left -= step.most
        return None

    def haul(self, s: int, g: int) -> float:
        """Return what hauling one container costs, its share of a full trip counted. [price unit]"""
        haul, load, way = self.neighbourhood.haul, self.loads[s], self.km[s, g]
        trip = (haul.per_trip + haul.per_trip_km * way) / max(1e-9, haul.containers_per_trip)
        return load.standard * (haul.per_container + haul.per_km * way + trip)

    def gain(self, s: int, g: int) -> float | None:
        """Return worth less haul of one more container; None where the garden wants no more. [price unit]"""
        worth = self.next_worth(g, self.loads[s].matter)
        return None if worth is None else worth * self.loads[s].standard - self.haul(s, g)

    def used(self, g: int, of: str) -> float:
        """Return the nitrogen, phosphorus or carbon brought to a garden, middle estimate. [g]"""
        total = 0.0
        for (s, garden, _), count in self.brought.items():
            if garden == g:
                amount = getattr(self.loads[s], of)
                total += count * (amount.mid if isinstance(amount, Spread) else amount)
        return total

    def in_week(self, g: int, week: int) -> float:
        """Return the standard containers a garden gets in a week."""
        return sum(
            count * self.loads[s].standard
            for (s, garden, when), count in self.brought.items()
            if garden == g and when == week
        )


def stopped(account: Account, s: int, g: int) -> tuple[Ceiling, ...]:
    """Return what keeps a garden from one more container of a giver; none where it has room."""
    taker, load = account.neighbourhood.takers[g], account.loads[s]
    found = []
    if _room(taker, load.matter) - account.got[g, load.matter] < load.standard - LEAST:
        found.append(Ceiling.WANT)
    for ceiling, limit, amount, of in (
        (Ceiling.NITROGEN, taker.nitrogen_ceiling, load.nitrogen.mid, "nitrogen"),
        (Ceiling.PHOSPHORUS, taker.phosphorus_ceiling, load.phosphorus.mid, "phosphorus"),
    ):
        if limit is not None and limit * taker.area - account.used(g, of) < amount - LEAST:
            found.append(ceiling)
    if taker.dry_per_soft is not None and load.matter is Matter.SOFT_FRESH:
        covered = account.got[g, Matter.DRY]
        if covered < taker.dry_per_soft * (account.got[g, Matter.SOFT_FRESH] + load.standard) - LEAST:
            found.append(Ceiling.COVER)
    if taker.most_per_week is not None:
        weeks = _weeks_it_can(account, s)
        if all(taker.most_per_week - account.in_week(g, week) < load.standard - LEAST for week in weeks):
            found.append(Ceiling.WEEK)
    return tuple(found)


def _room(taker: Taker, matter: Matter) -> float:
    return sum(step.most for step in dict(taker.wants).get(matter, ()))


def _weeks_it_can(account: Account, s: int) -> list[int]:
    """Return the weeks in which a giver has something that may be brought."""
    load = account.loads[s]
    found = []
    for week in range(load.first_week, account.neighbourhood.weeks):
        oldest = 0 if load.keeps is None else max(0, week - load.keeps)
        if sum(load.weekly[oldest : week + 1]) > 0:
            found.append(week)
    return found


def next_best(account: Account, s: int, g: int) -> tuple[int | None, float | None]:
    """Return the garden that would be next for a giver, and what one container loses there against this one."""
    gains = [
        (gain, -other)
        for other in range(len(account.neighbourhood.takers))
        if other != g and (s, other) in account.km and not stopped(account, s, other)
        for gain in (account.gain(s, other),)
        if gain is not None
    ]
    if not gains:
        return None, None
    best, minus = max(gains)
    last = _last_worth(account, g, account.loads[s].matter) * account.loads[s].standard - account.haul(s, g)
    return -minus, max(0.0, last - best)


def _last_worth(account: Account, g: int, matter: Matter) -> float:
    """Return what the last standard container a garden got is worth to it."""
    left, worth = account.got[g, matter], 0.0
    for step in dict(account.neighbourhood.takers[g].wants).get(matter, ()):
        if left <= LEAST:
            break
        worth = step.worth
        left -= step.most
    return worth


def giver_shares(account: Account) -> tuple[GiverShare, ...]:
    """Return what becomes of each giver's residue."""
    found = []
    for s, giver in enumerate(account.neighbourhood.givers):
        came, brought = sum(account.loads[s].weekly), account.from_giver(s)
        why = _why(account, s, came - brought) if came > brought else None
        because = (giver.held_because or "") if why is Unused.HELD else ""
        found.append(GiverShare(giver.name, giver.residue, giver.container.name, came, brought, why, because))
    return tuple(found)


def _why(account: Account, s: int, left: int) -> Unused:
    """Return why containers of a giver stay."""
    load, weeks = account.loads[s], account.neighbourhood.weeks
    if load.first_week > 0 and left <= _lost_to_a_hold(load, weeks):
        return Unused.HELD
    reach = [g for g in range(len(account.neighbourhood.takers)) if (s, g) in account.km]
    if not reach:
        return Unused.OUT_OF_REACH
    stops = {g: stopped(account, s, g) for g in reach}
    if not all(stops.values()):
        return Unused.NOT_WORTH_IT
    by_time_alone = all(set(one) <= {Ceiling.WEEK} for one in stops.values())
    return Unused.SPOILT if by_time_alone and load.keeps is not None else Unused.FULL


def _lost_to_a_hold(load: Load, weeks: int) -> int:
    """Return the containers that no longer keep when their hold ends."""
    if load.first_week >= weeks:
        return sum(load.weekly)
    if load.keeps is None:
        return 0
    return sum(count for week, count in enumerate(load.weekly) if week + load.keeps < load.first_week)


def taker_shares(account: Account) -> tuple[TakerShare, ...]:
    """Return what each garden gets, and what keeps it from more."""
    neighbourhood = account.neighbourhood
    left = [
        s
        for s, load in enumerate(account.loads)
        if load.first_week < neighbourhood.weeks and sum(load.weekly) > account.from_giver(s)
    ]
    found = []
    for g, taker in enumerate(neighbourhood.takers):
        nitrogen, carbon = account.used(g, "nitrogen"), account.used(g, "carbon")
        stops = {one for s in left if (s, g) in account.km for one in stopped(account, s, g)}
        found.append(
            TakerShare(
                taker.name,
                taker.area,
                account.got[g, Matter.SOFT_FRESH],
                account.got[g, Matter.DRY],
                carbon / nitrogen if nitrogen > 0.0 else None,
                _per_area(account, g, "nitrogen"),
                _per_area(account, g, "phosphorus"),
                taker.nitrogen_ceiling,
                taker.phosphorus_ceiling,
                sum(_worth(taker, matter, account.got[g, matter]) for matter in Matter),
                taker.wants,
                tuple(one for one in Ceiling if one in stops),
            )
        )
    return tuple(found)


def _worth(taker: Taker, matter: Matter, amount: float) -> float:
    """Return what so many standard containers are worth in all. [price unit]"""
    total = 0.0
    for step in dict(taker.wants).get(matter, ()):
        total += step.worth * min(step.most, max(0.0, amount))
        amount -= step.most
    return total


def _per_area(account: Account, g: int, of: str) -> Spread:
    """Return nitrogen or phosphorus brought to a garden; low and high as if all were low or high together. [g m-2]"""
    low = mid = high = 0.0
    known = Evidence.WORKED_OUT
    for (s, garden, _), count in account.brought.items():
        if garden == g and count:
            one: Spread = getattr(account.loads[s], of)
            low, mid, high = low + count * one.low, mid + count * one.mid, high + count * one.high
            known = weakest(known, one.evidence)
    area = account.neighbourhood.takers[g].area
    return Spread(low / area, mid / area, high / area, "g m-2", known)
