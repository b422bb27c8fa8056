"""Members: doubt in numbers, chemistry, amounts, place and weather, from named streams of random numbers.

Every draw comes from a stream named after what it is (a parameter, a residue's nitrogen, a bed), so that
member *i* has the same doubt in every case that is compared, and nothing depends on the order of calls.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from math import isfinite, log, sqrt
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.daily_weather import WeatherKnown
from mullbed.domain.spread import Spread
from mullbed.errors import Fault, InputFault
from mullbed.reference.place_doubt import doubt_of_weather
from mullbed.simulate import layout as at
from mullbed.simulate import parameters as par
from mullbed.simulate.case import BedCase, LaidLift
from mullbed.simulate.learned import Learned

Array = NDArray[np.float64]

GROUPS = frozenset({"weather", "chemistry", "amount", "place", "rates"})
NOTHING: frozenset[str] = frozenset()
#: Standard normal deviate of the 90th percentile.
NINETIETH = 1.2815515655446004
#: Draws of so many members are kept: the same streams are asked for again for every bed, and cost more than a run.
SMALL = 1024


@dataclass(frozen=True, slots=True)
class Members:
    """Draws of an ensemble; first axis members."""

    records: Array
    """Shape (members, parameters)."""
    draws: Array
    """Shape (members, lifts, 5): dry matter [g m-2], carbon [fraction], nitrogen [%], lignin [%], rate factor."""
    year_of: NDArray[np.int64]
    """Weather year of each member."""

    @property
    def count(self) -> int:
        """Number of members."""
        return int(self.records.shape[0])

    @property
    def mineral_factor(self) -> Array:
        """Factor on the mineral nitrogen at the start, shape (members,)."""
        return self.records[:, par.MINERAL_NITROGEN_FACTOR]


def stream(seed: int, *names: str) -> np.random.Generator:
    """Return the generator of a named stream."""
    return np.random.default_rng(np.random.SeedSequence([seed, *(crc32(name.encode()) for name in names)]))


def standard_draws(seed: int, count: int, *names: str) -> Array:
    """Return standard normal draws of a named stream, shape (count,); a longer draw begins with the shorter."""
    return _small_draws(seed, count, names) if count <= SMALL else stream(seed, *names).standard_normal(count)


@lru_cache(maxsize=1024)
def _small_draws(seed: int, count: int, names: tuple[str, ...]) -> Array:
    """Return draws that are asked for again for every bed and layer; nobody may write into them."""
    values = stream(seed, *names).standard_normal(count)
    values.flags.writeable = False
    return values


def deviates_of(seed: int, count: int, learned: Learned | None, varied: bool, *names: str) -> Array:
    """Return the deviates of a stream: learnt ones where there are any, their mean where it does not vary."""
    known = None if learned is None else learned.deviates(names, count)
    if varied:
        return standard_draws(seed, count, *names) if known is None else known
    return np.zeros(count) if known is None else np.full(count, known.mean())


def from_spread(spread: Spread, deviates: Array) -> Array:
    """Turn standard normal deviates into values whose 10th, 50th and 90th percentile are the spread's.

    Lognormal on either side of the middle where all three are above zero, else normal on either side.
    """
    if spread.low > 0.0 and spread.mid > 0.0:
        below, above = log(spread.mid / spread.low) / NINETIETH, log(spread.high / spread.mid) / NINETIETH
        positive: Array = spread.mid * np.exp(np.where(deviates < 0.0, below, above) * np.clip(deviates, -3.0, 3.0))
        return positive
    below, above = (spread.mid - spread.low) / NINETIETH, (spread.high - spread.mid) / NINETIETH
    values: Array = np.maximum(0.0, spread.mid + np.where(deviates < 0.0, below, above) * deviates)
    return values


def parameter_values(parameter: par.Parameter, deviates: Array) -> Array:
    """Return a parameter's values for standard normal deviates, within its bounds."""
    if parameter.kind == "cv":
        values = parameter.middle * np.exp(sqrt(log(1.0 + parameter.spread**2)) * deviates)
    elif parameter.kind == "log":
        values = parameter.middle * np.exp(parameter.spread * deviates)
    elif parameter.kind == "sd":
        values = parameter.middle + parameter.spread * deviates
    else:
        values = np.full(deviates.shape, parameter.middle)
    clipped: Array = np.clip(values, parameter.lowest, parameter.highest)
    return clipped


def _refuse_absurd(override: Mapping[str, float]) -> None:
    """Refuse middle values the model has no meaning for.

    Raises
    ------
    InputFault
        Naming every parameter that does not exist or whose value is no number of zero or more.
    """
    faults = []
    for name, value in override.items():
        if name not in par.COLUMN:
            faults.append(Fault("override", name, "a parameter of the model", "Check its name."))
        elif not (isfinite(value) and (value >= 0.0 or par.PARAMETERS[par.COLUMN[name]].lowest < 0.0)):
            faults.append(Fault(f"override {name}", f"{value}", "a number of zero or more", "Correct the value."))
    if faults:
        raise InputFault(faults)


def draw_records(
    count: int,
    seed: int,
    place: str,
    vary: Collection[str],
    override: Mapping[str, float] | None = None,
    learned: Learned | None = None,
    known: WeatherKnown = WeatherKnown.DAILY,
) -> Array:
    """Return parameter records, shape (count, parameters); an override replaces a parameter's middle value.

    How far the factor of the place may be from 1 follows from how the weather is known.

    Raises
    ------
    InputFault
        When an override names no parameter or is no number of zero or more.
    """
    override = override or {}
    _refuse_absurd(override)
    records = np.empty((count, len(par.PARAMETERS)))
    for column, parameter in enumerate(par.PARAMETERS):
        middle = override.get(parameter.name)
        if parameter.name == "place_rate":
            parameter = place_parameter(known)
        if middle is not None:
            parameter = par.Parameter(
                parameter.name,
                middle,
                parameter.spread,
                parameter.kind,
                parameter.unit,
                parameter.evidence,
                min(parameter.lowest, middle),
                max(parameter.highest, middle),
            )
        group = "place" if parameter.name == "place_rate" else "rates"
        name = f"place {place}" if group == "place" else parameter.name
        deviates = deviates_of(seed, count, learned, group in vary, name)
        records[:, column] = parameter_values(parameter, deviates)
    records[:, par.WET_END] = np.maximum(records[:, par.WET_END], records[:, par.DRY_END] + 0.3)
    return records


def place_parameter(known: WeatherKnown) -> par.Parameter:
    """Return the factor of a place on all rates with the doubt of weather known in this way."""
    return replace(par.PARAMETERS[par.PLACE_RATE], spread=doubt_of_weather(known).place_log_sd)


def draw_lifts(
    lifts: Iterable[LaidLift],
    count: int,
    seed: int,
    vary: Collection[str],
    learned: Learned | None = None,
    known: WeatherKnown = WeatherKnown.DAILY,
) -> Array:
    """Return draws for lifts, shape (count, lifts, 5)."""
    every = list(lifts)
    draws = np.empty((count, len(every), at.LIFT_DRAWS))
    drawn: dict[tuple[str, str], Array] = {}
    material_log_sd = doubt_of_weather(known).material_log_sd

    def deviates(kind: str, key: str, group: str) -> Array:
        if (kind, key) not in drawn:
            drawn[kind, key] = deviates_of(seed, count, learned, group in vary, kind, key)
        return drawn[kind, key]

    for number, lift in enumerate(every):
        residue = lift.residue
        amount = np.clip(deviates("amount", lift.draw_key, "amount"), -3.0, 3.0)
        draws[:, number, at.D_MASS] = lift.dry_matter * np.exp(lift.dry_matter_log_sd * amount)
        carbon = from_spread(residue.carbon, deviates("carbon", residue.key, "chemistry"))
        draws[:, number, at.D_CARBON] = np.clip(carbon, 0.2, 0.6)
        nitrogen = from_spread(residue.nitrogen, deviates("nitrogen", residue.key, "chemistry"))
        draws[:, number, at.D_NITROGEN] = np.clip(100.0 * nitrogen, 0.02, 12.0)
        lignin = from_spread(residue.lignin, deviates("lignin", residue.key, "chemistry"))
        draws[:, number, at.D_LIGNIN] = np.clip(100.0 * lignin, 0.2, 60.0)
        draws[:, number, at.D_RATE] = np.exp(material_log_sd * deviates("rate", residue.key, "place"))
    return draws


def draw_members(
    case: BedCase,
    count: int,
    seed: int,
    *,
    vary: Collection[str] = GROUPS,
    override: Mapping[str, float] | None = None,
    place: str | None = None,
    learned: Learned | None = None,
) -> Members:
    """Return the members of a case.

    Parameters
    ----------
    case : BedCase
        Its lifts and weather years are drawn for.
    count : int
        Number of members.
    seed : int
        Equal seeds give equal members.
    vary : collection of str
        Groups that differ: weather, chemistry, amount, place, rates.
    override : dict, optional
        Middle values of parameters by name.
    place : str, optional
        Name of the place factor's stream; the case's name where not given.
    learned : Learned, optional
        What observations taught; its streams take the place of the random ones.
    """
    in_all = case.weather.years
    years = in_all // (learned.variants if learned is not None else 1)
    order = stream(seed, "weather").permutation(years) if years > 1 else np.zeros(1, dtype=np.int64)
    year_of = order[np.arange(count) % years] if "weather" in vary else np.full(count, order[0])
    if learned is not None:
        year_of = learned.years(count, year_of, in_all, varied="weather" in vary)
    return Members(
        records=draw_records(count, seed, place or case.name, vary, override, learned, case.weather.known),
        draws=draw_lifts(case.lifts, count, seed, vary, learned, case.weather.known),
        year_of=np.ascontiguousarray(year_of, dtype=np.int64),
    )


def spread_shares(run: Callable[[Collection[str]], Array], groups: Iterable[str] = sorted(GROUPS)) -> dict[str, float]:
    """Return each group's share of the spread: variance with only that group varied, per sum over groups.

    ``run`` takes the groups to vary and returns the values of the members.
    """
    variances = {group: float(np.var(run(frozenset({group})))) for group in groups}
    total = sum(variances.values())
    return {group: value / total if total > 0.0 else 0.0 for group, value in variances.items()}
