"""Tell before the season what a trial of so many pairs can show."""

from __future__ import annotations

from mullbed.domain.trial import Scale
from mullbed.domain.trial_answers import TrialSize
from mullbed.errors import Fault, InputFault
from mullbed.trials.power import ALPHA, CORRELATION, POWER, blocks_needed, detectable, power


def size_trial(
    pairs: int,
    variation: float,
    *,
    correlation: float = CORRELATION,
    effect: float | None = None,
    treatments: int = 2,
    scale: Scale = Scale.PLAIN,
    alpha: float = ALPHA,
) -> TrialSize:
    """Return what a trial of so many pairs or blocks can show.

    Parameters
    ----------
    pairs : int
        Pairs, or blocks of more than two treatments.
    variation : float
        Coefficient of variation between plots treated alike. [fraction]
    correlation : float
        Likeness of plots within a pair. [fraction]
    effect : float or None
        A difference to ask about. [fraction of the control]

    Raises
    ------
    InputFault
        With everything out of range.
    """
    faults = []
    if not 2 <= pairs <= 400:
        faults.append(Fault("pairs", f"{pairs}", "2 to 400", "One pair shows no error; take four at least."))
    if not 0.001 <= variation <= 3.0:
        faults.append(Fault("variation", f"{variation:g}", "0.1 % to 300 %", "Yield is often 15 to 30 %."))
    if not 0.0 <= correlation < 1.0:
        faults.append(Fault("correlation", f"{correlation:g}", "0 to below 1", "0.3 is usual within a pair."))
    if effect is not None and not 0.001 <= effect <= 20.0:
        faults.append(Fault("difference", f"{effect:g}", "0.1 % to 2000 %", "Give a share of the control."))
    if not 2 <= treatments <= 20:
        faults.append(Fault("treatments", f"{treatments}", "2 to 20", "Count the ways compared."))
    if not 0.0 < alpha < 0.5:
        faults.append(Fault("alpha", f"{alpha:g}", "above 0, below 0.5", "0.05 is usual."))
    if faults:
        raise InputFault(faults)

    def seen(number: int) -> float:
        return detectable(number, variation, correlation=correlation, alpha=alpha, treatments=treatments, scale=scale)

    smallest = seen(pairs)
    asked = smallest if effect is None else effect
    chance = power(pairs, asked, variation, correlation=correlation, alpha=alpha, treatments=treatments, scale=scale)
    needed = None
    if effect is not None:
        needed = blocks_needed(
            effect, variation, correlation=correlation, alpha=alpha, treatments=treatments, scale=scale
        )
    others = tuple((number, seen(number)) for number in (4, 6, 8, 10, 16) if number != pairs)
    return TrialSize(
        pairs, treatments, variation, correlation, scale, alpha, smallest, POWER, effect, chance, needed, others
    )
