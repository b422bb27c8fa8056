"""What is believed of a garden before anything is seen: its doubts, one standard normal deviate each.

Shared by the garden: the numbers of the model, the chemistry and rate of each residue, what a container of it weighs,
and how far rain and warmth here differ from the weather file. A bed's own: its factor on all rates, its soil's
nitrogen and worms, the water that reaches it, and each layer's dry matter.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.daily_weather import WeatherYears
from mullbed.domain.spread import Spread
from mullbed.simulate.case import BedCase, LaidLift, Lay
from mullbed.simulate.ensemble import standard_draws
from mullbed.simulate.learned import Learned
from mullbed.simulate.parameters import PARAMETERS

Array = NDArray[np.float64]
Columns = NDArray[np.int64]
Stream = tuple[str, ...]

#: Numbers of the model that are a bed's own.
OWN_NUMBERS = frozenset({"mineral_nitrogen_factor", "soil_pool_rate", "worm_mass", "place_rate"})
#: Share of the doubt of a lift's dry matter that is common to all fillings of its container; the rest is the lift's
#: own. Judgement.
COMMON_AMOUNT = 0.7
#: Rain in the garden per rain of the weather file, and water reaching a bed per rain of the garden, as log-sd each.
#: Judgement: a garden some km from the station, walls, gutters and cans nobody counts.
RAIN_LOG_SD = 0.15
#: How much warmer the garden is than the weather file says, as standard deviation. [°C] Judgement.
WARMTH_SD = 0.7
#: Biases are held at the middles of equally likely classes: normal deviates.
RAIN_LEVELS = (-1.2816, -0.5244, 0.0, 0.5244, 1.2816)
RAIN_EDGES = (-0.8416, -0.2533, 0.2533, 0.8416)
WARMTH_LEVELS = (-0.9674, 0.0, 0.9674)
WARMTH_EDGES = (-0.4307, 0.4307)
VARIANTS = len(RAIN_LEVELS) * len(WARMTH_LEVELS)

RAIN: Stream = ("weather", "rain")
WARMTH: Stream = ("weather", "warmth")
YEAR: Stream = ("weather", "year")
#: Kinds of streams that members are not drawn from as they are.
UNDRAWN = frozenset({"weather", "own amount"})


@dataclass(frozen=True, slots=True, eq=False)
class Belief:
    """Which column of the deviates is which doubt."""

    shared: Mapping[Stream, int]
    own: tuple[Mapping[Stream, int], ...]
    """By bed."""
    cases: tuple[BedCase, ...]
    """The beds that were seen, as they are run to learn: up to the last day something was seen there."""
    years_differ: bool
    """True where the weather before the last observation differs between years."""

    @property
    def doubts(self) -> int:
        """Number of doubts."""
        return len(self.shared) + sum(len(one) for one in self.own)

    @property
    def own_columns(self) -> tuple[Columns, ...]:
        """Columns of each bed's own doubts."""
        return tuple(np.array(sorted(one.values()), dtype=np.int64) for one in self.own)

    def learned(self, case: BedCase, deviates: Array) -> Learned:
        """Return a garden's particles as streams for the members of a case with named lifts and biases.

        What is a bed's own stays as it was believed where the bed is none of those that were seen.
        """
        count = deviates.shape[0]
        number = next((one for one, seen in enumerate(self.cases) if seen.name == case.name), None)
        own = {} if number is None else self.own[number]

        def of(stream: Stream) -> Array:
            column = self.shared.get(stream, own.get(stream))
            return standard_draws(0, count, *stream) if column is None else deviates[:, column]

        streams = {stream: of(stream) for stream in (*self.shared, *own) if stream[0] not in UNDRAWN}
        for stream in self.shared:
            if stream[0] == "amount":  # what is yet to be filled: the filling is not known
                streams[stream] = _amount(of(stream), standard_draws(0, count, "filling", *stream))
        for lift in case.lifts:
            common = ("amount", common_key(lift.draw_key))
            if lift.draw_key != common[1] and (common in self.shared or ("own amount", lift.draw_key) in own):
                streams["amount", lift.draw_key] = _amount(of(common), of(("own amount", lift.draw_key)))
        rain = (of(RAIN) + of(("weather", "reaching", case.name))) / np.sqrt(2.0)
        variant = np.searchsorted(RAIN_EDGES, rain) * len(WARMTH_LEVELS) + np.searchsorted(WARMTH_EDGES, of(WARMTH))
        year = None
        if self.years_differ:
            edges = _normal_edges(case.weather.years // VARIANTS)
            year = np.searchsorted(edges, of(YEAR)).astype(np.int64)
        return Learned(streams, count, VARIANTS, variant.astype(np.int64), year)


def common_streams(belief: Belief, deviates: Array) -> Learned:
    """Return what all beds of a garden share, for runs that stand for several beds; what is a bed's own is left open.

    How the weather here differs from the file is left open too: it belongs to the cases of single beds.
    """
    count = deviates.shape[0]
    streams = {stream: deviates[:, at] for stream, at in belief.shared.items() if stream[0] not in UNDRAWN}
    for stream in list(streams):
        if stream[0] == "amount":
            streams[stream] = _amount(streams[stream], standard_draws(0, count, "filling", *stream))
    return Learned(streams, count)


def believed(cases: Sequence[BedCase], last_days: Sequence[int]) -> Belief:
    """Return the belief about beds, all run to the last day on which something was seen on any of them.

    Beds that are given one weather share one in their runs too: with every bias laid out it is by far the largest part.
    """
    last = max(last_days, default=0)
    differ = any(not same_past(sky, last) for sky in {id(case.weather): case.weather for case in cases}.values())
    skies: dict[int, WeatherYears] = {}
    runs = []
    for case in cases:
        told = until(case, last)
        key = id(case.weather)
        if key not in skies:
            skies[key] = with_biases(told.weather if differ else _one_year(told.weather))
        runs.append(named_lifts(replace(told, weather=skies[key])))
    shared: dict[Stream, int] = {}
    own: list[dict[Stream, int]] = []
    lifts: list[LaidLift] = [lift for case in runs for lift in case.lifts]
    for parameter in PARAMETERS:
        if parameter.spread > 0.0 and parameter.name not in OWN_NUMBERS:
            shared[(parameter.name,)] = len(shared)
    for stream in (RAIN, WARMTH, *((YEAR,) if differ else ())):
        shared[stream] = len(shared)
    for lift in lifts:
        wanted: list[Stream] = [("rate", lift.residue.key)]
        spreads = (
            ("carbon", lift.residue.carbon),
            ("nitrogen", lift.residue.nitrogen),
            ("lignin", lift.residue.lignin),
        )
        wanted += [(kind, lift.residue.key) for kind, spread in spreads if _open(spread)]
        if lift.dry_matter_log_sd > 0.0:
            wanted.append(("amount", common_key(lift.draw_key)))
        for stream in wanted:
            shared.setdefault(stream, len(shared))
    column = len(shared)
    for case in runs:
        mine: dict[Stream, int] = {}
        names: list[Stream] = [(name,) for name in sorted(OWN_NUMBERS - {"place_rate"})]
        names += [(f"place {case.name}",), ("weather", "reaching", case.name)]
        names += [("own amount", lift.draw_key) for lift in case.lifts if lift.dry_matter_log_sd > 0.0]
        for stream in names:
            mine[stream] = column
            column += 1
        own.append(mine)
    return Belief(shared, tuple(own), tuple(runs), differ)


def common_key(draw_key: str) -> str:
    """Return the part of a lift's key that is common to all fillings of the container."""
    return draw_key.split(" # ")[0]


def named_lifts(case: BedCase, before: int | None = None) -> BedCase:
    """Return the case with every lift laid before a day named for itself, so that its own amount can be told."""
    number = 0
    events = []
    for event in sorted(case.events, key=lambda one: one.day):
        if isinstance(event, Lay) and (before is None or event.day < before):
            lifts = []
            for lift in event.lifts:
                lifts.append(replace(lift, draw_key=f"{common_key(lift.draw_key)} # {case.name} {number}"))
                number += 1
            event = replace(event, lifts=tuple(lifts))
        events.append(event)
    return replace(case, events=tuple(events))


def until(case: BedCase, last: int) -> BedCase:
    """Return the case up to a day; later weather, crops and events are left out."""
    days = last + 1
    sky = case.weather
    weather = replace(
        sky,
        low=sky.low[:, :days],
        high=sky.high[:, :days],
        rain=sky.rain[:, :days],
        reference_evaporation=sky.reference_evaporation[:, :days],
        radiation=sky.radiation[:, :days],
    )
    cover = case.cover
    if cover is not None:
        cover = replace(
            cover,
            basal_coefficient=cover.basal_coefficient[:days],
            ground_cover=cover.ground_cover[:days],
            nitrogen_demand=cover.nitrogen_demand[:days],
        )
    events = tuple(one for one in case.events if one.day < days)
    return replace(case, weather=weather, cover=cover, events=events)


def same_past(weather: WeatherYears, last: int) -> bool:
    """Return whether all years are alike up to a day."""
    past = (one[:, : last + 1] for one in (weather.low, weather.high, weather.rain))
    return all(bool(np.all(one == one[:1])) for one in past)


def with_biases(sky: WeatherYears) -> WeatherYears:
    """Return weather once for every bias the place may have, rain first, then warmth."""
    factors = np.exp(np.sqrt(2.0) * RAIN_LOG_SD * np.array(RAIN_LEVELS))
    shifts = WARMTH_SD * np.array(WARMTH_LEVELS)
    every = [(factor, shift) for factor in factors for shift in shifts]

    def repeated(values: Array) -> Array:
        return np.concatenate([values] * len(every))

    return replace(
        sky,
        low=np.concatenate([sky.low + shift for _, shift in every]),
        high=np.concatenate([sky.high + shift for _, shift in every]),
        rain=np.concatenate([sky.rain * factor for factor, _ in every]),
        reference_evaporation=repeated(sky.reference_evaporation),
        radiation=repeated(sky.radiation),
        labels=sky.labels * len(every),
    )


def _amount(common: Array, own: Array) -> Array:
    mixed: Array = np.sqrt(COMMON_AMOUNT) * common + np.sqrt(1.0 - COMMON_AMOUNT) * own
    return mixed


def _one_year(sky: WeatherYears) -> WeatherYears:
    return replace(
        sky,
        low=sky.low[:1],
        high=sky.high[:1],
        rain=sky.rain[:1],
        reference_evaporation=sky.reference_evaporation[:1],
        radiation=sky.radiation[:1],
        labels=sky.labels[:1],
    )


def _open(spread: Spread) -> bool:
    return spread.high > spread.low


def _normal_edges(classes: int) -> Array:
    """Return the deviates that part a standard normal into so many equally likely classes."""
    from statistics import NormalDist

    return np.array([NormalDist().inv_cdf(one / classes) for one in range(1, classes)])
