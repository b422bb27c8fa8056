"""From what was read in the ground to a value with its error and its class."""

from __future__ import annotations

import math
from collections.abc import Sequence

from mullbed.domain.field_check import FieldCheck, ScoredCheck, ValueClass
from mullbed.domain.trial import Scale
from mullbed.errors import Fault, InputFault

NITRATE_TO_NITROGEN = 0.226
"""Mass of N in a mass of NO3: 14.007 / 62.005."""
EIGHT_IN_TEN = 1.2816
"""Standard normal quantile of 0.9."""
INCH_M = 0.0254
WORMS_A_SQUARE_METRE = 25.0
"""One over the area of a pit of 20 x 20 cm. [m-2]"""


def ring_volume_litres(bore_m: float, depth_m: float = INCH_M) -> float:
    """Return the water that stands so deep in a ring. [L]; 0.463 for one inch in a bore of 6.00 in.

    Raises
    ------
    InputFault
        When the bore is not between 5 and 60 cm.
    """
    if not 0.05 <= bore_m <= 0.6:
        fault = Fault("bore of the ring", f"{bore_m:g} m", "0.05 to 0.6 m", "Measure inside, edge to edge.")
        raise InputFault([fault])
    return math.pi / 4.0 * bore_m**2 * depth_m * 1000.0


def infiltration_inch_per_hour(seconds: float, poured_litres: float, bore_m: float) -> float:
    """Return the intake of the second pouring. [in h-1]; one inch in 3 minutes is 20.

    Raises
    ------
    InputFault
        When time, water or bore are out of range; all at once.
    """
    faults = []
    if not 0.0 < seconds < 86_400.0 * 3:
        faults.append(
            Fault("time of the ring", f"{seconds:g} s", "above 0, under 3 days", "Stop when the shine is gone.")
        )
    if not 0.0 < poured_litres < 100.0:
        faults.append(Fault("water poured", f"{poured_litres:g} L", "above 0, under 100 L", "Pour one inch."))
    if faults:
        raise InputFault(faults)
    return poured_litres / ring_volume_litres(bore_m) / (seconds / 3600.0)


def jar_reading_seconds(column_m: float, temperature: float, diameter_m: float) -> float:
    """Return when all grains coarser than a diameter have sunk through the column. [s]

    Read sand when 0.05 mm is down, silt when 0.002 mm is. A column of 10 cm at 20 degC: 45 s and 7.7 h.
    """
    from mullbed.processes.settling_tube import sinking_seconds, water_viscosity

    return float(sinking_seconds(column_m, diameter_m, water_viscosity(temperature), 2650.0))


def nitrate_nitrogen(reading: float, reads: str) -> float:
    """Return nitrate nitrogen of a strip that reads "nitrate" or "nitrate-N". [unit as read]

    Raises
    ------
    InputFault
        When it is not said which of the two the strip reads; a factor of four hangs on it.
    """
    factors = {"nitrate": NITRATE_TO_NITROGEN, "nitrate-N": 1.0}
    if reads not in factors:
        raise InputFault([Fault("strip", f"reads '{reads}'", "nitrate or nitrate-N", "It is printed on the tube.")])
    return reading * factors[reads]


def slake_class(seconds_to_half: float | None, share_left: float | None) -> int:
    """Return the class of one crumb, 1 to 6: by time while still, by what the dips leave after five minutes.

    Parameters
    ----------
    seconds_to_half : float or None
        When half of it had fallen apart in still water; None if it held for five minutes. [s]
    share_left : float or None
        What five dips left on the sieve. [fraction]

    Raises
    ------
    InputFault
        When neither is known.
    """
    if seconds_to_half is not None and seconds_to_half < 300.0:
        return 1 if seconds_to_half < 5.0 else 2 if seconds_to_half < 30.0 else 3
    if share_left is None:
        raise InputFault([Fault("crumb", "nothing known", "a time or a share", "Give what was left after the dips.")])
    return 3 if share_left < 0.10 else 4 if share_left < 0.25 else 5 if share_left < 0.75 else 6


def structure_score(layers: Sequence[tuple[float, float]]) -> float:
    """Return the score of a block: scores of its layers weighted by their thickness.

    Parameters
    ----------
    layers : sequence of (thickness [m], score 1-5)
    """
    faults = [
        Fault("layer of the block", f"{thickness:g} m, Sq {score:g}", "above 0 m, Sq 1 to 5", "Measure and score each.")
        for thickness, score in layers
        if not (thickness > 0.0 and 1.0 <= score <= 5.0)
    ]
    if faults or not layers:
        raise InputFault(faults or [Fault("block", "no layer", "one at least", "Score the whole block as one.")])
    whole = math.fsum(thickness for thickness, _ in layers)
    return math.fsum(thickness * score for thickness, score in layers) / whole


def scored(check: FieldCheck, values: Sequence[float], warnings: Sequence[str] = ()) -> ScoredCheck:
    """Return the mean of repeats with its range and every class the range touches.

    The error of one reading comes from the repeats where there are three or more, else from the table's variation.

    Raises
    ------
    InputFault
        When there is no reading, or one that can't be.
    """
    faults = [
        Fault(check.name, f"{value:g}", "a number of zero or more", "Leave a lost reading out.")
        for value in values
        if not (math.isfinite(value) and (value >= 0.0 or check.unit == "Cel"))
    ]
    if faults or not values:
        raise InputFault(faults or [Fault(check.name, "no reading", "one at least", f"Read {check.repeats}.")])
    count = len(values)
    shift = 0.5 if check.scale is Scale.LOG and min(values) <= 0.0 else 0.0
    ratio = check.scale is Scale.LOG
    turned = [math.log(value + shift) if ratio else value for value in values]
    mean = math.fsum(turned) / count
    if count >= 3:
        spread = math.sqrt(math.fsum((one - mean) ** 2 for one in turned) / (count - 1))
    else:
        spread = math.sqrt(math.log1p(check.variation**2)) if ratio else check.variation * abs(mean)
    reach = EIGHT_IN_TEN * spread / math.sqrt(count)
    ends = (mean - reach, mean, mean + reach)
    low, value, high = (math.exp(end) - shift for end in ends) if ratio else ends
    return ScoredCheck(check, value, low, high, count, _touched(check, low, value, high), tuple(warnings))


def _touched(check: FieldCheck, low: float, value: float, high: float) -> tuple[ValueClass, ...]:
    """Return the classes between two values, the middle one's first."""
    middle = check.class_of(value)
    if middle is None:
        return ()
    floor = -math.inf
    found = [middle]
    for one in check.classes:
        if one is not middle and floor < high and low < one.below:
            found.append(one)
        floor = one.below
    return tuple(found)
