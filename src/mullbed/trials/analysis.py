"""Analyse a trial as it was planned: every treatment against the control, blocks and seasons taken out.

One model serves pairs, blocks and squares: ``value = block (and row, column) + treatment + error``, with a baseline
reading as covariate where one was made on every plot. For pairs this is Student's paired t. Over several seasons
plots have a random effect and the difference is judged by the plots there are, not by the readings.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from mullbed.domain.trial import (
    Arrangement,
    Contrast,
    Deviation,
    Measure,
    MeasureResult,
    Reading,
    Scale,
    TrialPlan,
    TrialResult,
    Verdict,
)
from mullbed.errors import Fault, InputFault
from mullbed.trials.chances import belief, holm, shuffled_blocks, t_chance, t_reach, turned_signs
from mullbed.trials.linear import Fit, Floats, dummies, least_squares, ratio_chance, with_plot_effect
from mullbed.trials.plot_values import BASELINE, PlotValue, PlotValues, plot_values
from mullbed.trials.power import POWER, blocks_needed, detectable
from mullbed.trials.verdict import verdict_of


class TooFewPlots(InputFault):
    """So few plots were read that ways and ground cannot be told apart."""


def analyse(plan: TrialPlan, readings: Iterable[Reading], deviations: Iterable[Deviation] = ()) -> TrialResult:
    """Analyse every planned measure; the first one carries the verdict.

    A second measure that was read on too few plots is left out; :func:`mullbed.trials.design.seen_deviations` says so.

    Raises
    ------
    InputFault
        When readings do not belong to the plan, or too few plots are left to compare.
    """
    kept = tuple(readings)
    read = {one.measure for one in kept if one.value is not None and one.season != BASELINE}
    results = []
    for number, measure in enumerate(plan.measures):
        if number > 0 and measure.key not in read:
            continue
        try:
            results.append(_measure_result(plan, measure, plot_values(plan, measure, kept), primary=number == 0))
        except TooFewPlots:
            if number == 0:
                raise
    return TrialResult(plan, _corrected(plan, results), tuple(deviations))


def _measure_result(plan: TrialPlan, measure: Measure, values: PlotValues, *, primary: bool) -> MeasureResult:
    """Fit one measure and judge each treatment against the control."""
    try:
        fit, columns, degrees = _fit(plan, values)
    except ValueError as error:
        raise TooFewPlots(
            [
                Fault(
                    f"trial {plan.name}, {measure.key}",
                    f"{len(values.rows)} plot values",
                    "two whole pairs or blocks at least",
                    f"Too few plots are left: {error}. Read more plots.",
                )
            ]
        ) from error
    contrasts = tuple(
        _contrast(plan, measure, values, fit, columns, degrees, treatment.code)
        for treatment in plan.treatments
        if treatment.code != plan.control
    )
    relative = _relative_spread(plan, measure, fit, values, contrasts[0])
    blocks = max(2, len({row.plot.block for row in values.rows}))
    treatments = len(plan.treatments)
    square = plan.arrangement is Arrangement.SQUARE
    notes = []
    if values.shift > 0.0:
        notes.append(f"{values.shift:.3g} was added to every value before taking logs, because some are zero.")
    if values.baseline:
        notes.append("The reading before the first treatment was used to even out the plots.")
    return MeasureResult(
        measure=measure,
        primary=primary,
        contrasts=contrasts,
        verdict=Verdict.TOO_FEW,
        spread=relative,
        detectable=detectable(
            blocks,
            relative,
            correlation=0.0,
            alpha=plan.alpha,
            treatments=treatments,
            scale=measure.scale,
            square=square,
        ),
        blocks_needed=blocks_needed(
            plan.worthwhile, relative, correlation=0.0, alpha=plan.alpha, treatments=treatments, scale=measure.scale
        ),
        overall_chance=_overall_chance(plan, values) if treatments > 2 else None,
        least_significant=_least_significant(plan, values, fit, degrees),
        lost=values.lost,
        season_chance=_season_chance(values) if len(values.seasons) > 1 else None,
        method=_method(plan, values, degrees),
        notes=tuple(notes),
        plot_values=tuple((row.plot.code, row.season, _plain(measure, row.value, values.shift)) for row in values.rows),
        baseline=tuple((code, _plain(measure, value, values.shift)) for code, value in values.baseline.items()),
    )


def _plain(measure: Measure, value: float, shift: float) -> float:
    """Return a value of the analysis in the unit it was read in."""
    return math.exp(value) - shift if measure.scale is Scale.LOG else value


def _design(plan: TrialPlan, rows: tuple[PlotValue, ...], baseline: dict[str, float]) -> tuple[Floats, list[int]]:
    """Return the columns of the model, and which belong to the treatments beside the control."""
    seasons = tuple(dict.fromkeys(row.season for row in rows))
    blocks = sorted({row.plot.block for row in rows})
    parts = [np.ones((len(rows), 1))]
    cells = [(row.season, row.plot.block) for row in rows]
    parts.append(dummies(cells, [(season, block) for season in seasons for block in blocks], drop_first=True))
    if plan.arrangement is Arrangement.SQUARE:
        places = sorted({row.plot.position for row in rows})
        across = [(row.season, row.plot.position) for row in rows]
        parts.append(dummies(across, [(s, p) for s in seasons for p in places if p != places[0]], drop_first=False))
    if baseline:
        column = np.array([[baseline[row.plot.code]] for row in rows])
        parts.append(column - column.mean())
    others = [treatment.code for treatment in plan.treatments if treatment.code != plan.control]
    start = sum(part.shape[1] for part in parts)
    parts.append(dummies([row.plot.treatment for row in rows], others, drop_first=False))
    return np.hstack(parts), list(range(start, start + len(others)))


def _fit(plan: TrialPlan, values: PlotValues) -> tuple[Fit, list[int], int]:
    """Fit the planned model; the degrees of freedom are those between plots."""
    design, columns = _design(plan, values.rows, values.baseline)
    observed = np.array([row.value for row in values.rows])
    if len(values.seasons) < 2:
        fit = least_squares(design, observed)
        degrees = fit.degrees
    else:
        fit = with_plot_effect(design, observed, [row.plot.code for row in values.rows])
        degrees = _degrees_between_plots(plan, values)
    _, error = fit.contrast(_unit(design.shape[1], columns[0]))
    if error > 1e6 * (1.0 + float(np.abs(observed).max())):
        raise ValueError("the treatments cannot be told from the blocks")
    return fit, columns, degrees


def _degrees_between_plots(plan: TrialPlan, values: PlotValues) -> int:
    """Return the degrees of freedom of one value a plot, as if seasons were averaged."""
    first = {row.plot.code: replace(row, season="") for row in values.rows}
    design, _ = _design(plan, tuple(first.values()), values.baseline)
    degrees = len(first) - int(np.linalg.matrix_rank(design))
    if degrees < 1:
        raise ValueError("no degrees of freedom are left between plots")
    return degrees


def _unit(size: int, place: int) -> Floats:
    """Return a vector that picks one coefficient."""
    picked = np.zeros(size)
    picked[place] = 1.0
    return picked


def _contrast(
    plan: TrialPlan, measure: Measure, values: PlotValues, fit: Fit, columns: list[int], degrees: int, treatment: str
) -> Contrast:
    """Return one treatment against the control."""
    others = [one.code for one in plan.treatments if one.code != plan.control]
    column = columns[others.index(treatment)]
    difference, error = fit.contrast(_unit(len(fit.coefficients), column))
    reach = t_reach(degrees, plan.alpha) * error
    statistic = difference / error if error > 0.0 else math.copysign(math.inf, difference) if difference else 0.0
    back = (lambda value: math.exp(value) - values.shift) if measure.scale is Scale.LOG else (lambda value: value)
    control_mean = back(_mean(values, plan.control))
    treatment_mean = back(_mean(values, treatment))
    differences = pair_differences(values, treatment, plan.control)
    permuted: tuple[float | None, float | None] = (None, None)
    if plan.arrangement is not Arrangement.SQUARE and differences:
        permuted = turned_signs(differences, plan.seed)
    whole = 1.0 if measure.scale is Scale.LOG else abs(control_mean)
    worth = math.log1p(plan.worthwhile) if measure.scale is Scale.LOG else plan.worthwhile * abs(control_mean)
    positive, worthwhile = belief(difference, error, degrees, whole, worth)
    return Contrast(
        treatment=treatment,
        control=plan.control,
        measure=measure.key,
        scale=measure.scale,
        difference=difference,
        error=error,
        degrees=float(degrees),
        low=difference - reach,
        high=difference + reach,
        statistic=statistic,
        chance=t_chance(statistic, degrees) if math.isfinite(statistic) else 0.0,
        control_mean=control_mean,
        treatment_mean=treatment_mean,
        pairs_used=len(differences),
        permutation_chance=permuted[0],
        permutation_floor=permuted[1],
        probability_positive=None if math.isnan(positive) else positive,
        probability_worthwhile=None if math.isnan(worthwhile) else worthwhile,
    )


def _mean(values: PlotValues, treatment: str) -> float:
    """Return the mean of a treatment on the scale of the analysis."""
    found = [row.value for row in values.rows if row.plot.treatment == treatment]
    return math.fsum(found) / len(found) if found else math.nan


def pair_differences(values: PlotValues, treatment: str, control: str) -> list[float]:
    """Return treatment minus control within every block, over the seasons both were read in; lost ones left out."""
    means: dict[tuple[int, str, str], list[float]] = {}
    for row in values.rows:
        means.setdefault((row.plot.block, row.season, row.plot.treatment), []).append(row.value)
    found: dict[int, list[float]] = {}
    for (block, season, code), inside in means.items():
        other = means.get((block, season, control))
        if code == treatment and other:
            found.setdefault(block, []).append(math.fsum(inside) / len(inside) - math.fsum(other) / len(other))
    return [math.fsum(one) / len(one) for _, one in sorted(found.items())]


def _relative_spread(plan: TrialPlan, measure: Measure, fit: Fit, values: PlotValues, contrast: Contrast) -> float:
    """Return the spread between plots treated alike within a block, as a coefficient of variation."""
    blocks = max(1, len({row.plot.block for row in values.rows}))
    spread = contrast.error * math.sqrt(blocks / 2.0)
    if measure.scale is Scale.LOG:
        return math.sqrt(math.expm1(min(50.0, spread**2)))
    mean = abs(contrast.control_mean)
    return spread / mean if mean > 0.0 else math.inf


def _least_significant(plan: TrialPlan, values: PlotValues, fit: Fit, degrees: int) -> float | None:
    """Return Fisher's least significant difference where every block is whole, else None."""
    if values.lost or len(values.seasons) > 1 or values.baseline:
        return None
    blocks = len({row.plot.block for row in values.rows})
    return t_reach(degrees, plan.alpha) * math.sqrt(2.0 * fit.variance / blocks)


def _overall_chance(plan: TrialPlan, values: PlotValues) -> float | None:
    """Return the p value over all treatments: shuffled within blocks where blocks are whole, else by F."""
    codes = [treatment.code for treatment in plan.treatments]
    if plan.arrangement is Arrangement.BLOCKS and not values.lost and len(values.seasons) == 1:
        blocks = sorted({row.plot.block for row in values.rows})
        table = {(row.plot.block, row.plot.treatment): row.value for row in values.rows}
        return shuffled_blocks(np.array([[table[block, code] for code in codes] for block in blocks]), plan.seed)
    design, columns = _design(plan, values.rows, values.baseline)
    observed = np.array([row.value for row in values.rows])
    without = np.delete(design, columns, axis=1)
    _, chance = ratio_chance(least_squares(without, observed), least_squares(design, observed))
    return None if math.isnan(chance) else chance


def _season_chance(values: PlotValues) -> float | None:
    """Return the p value of a difference that changes from season to season, by F within plots."""
    rows = values.rows
    plots = list(dict.fromkeys(row.plot.code for row in rows))
    cells = [(row.season, row.plot.block) for row in rows]
    base = np.hstack(
        [
            np.ones((len(rows), 1)),
            dummies([row.plot.code for row in rows], plots, drop_first=True),
            dummies(cells, list(dict.fromkeys(cells)), drop_first=True),
        ]
    )
    both = [(row.season, row.plot.treatment) for row in rows]
    observed = np.array([row.value for row in rows])
    try:
        smaller = least_squares(base, observed)
        larger = least_squares(np.hstack([base, dummies(both, list(dict.fromkeys(both)), drop_first=True)]), observed)
    except ValueError:
        return None
    _, chance = ratio_chance(smaller, larger)
    return None if math.isnan(chance) else chance


def _corrected(plan: TrialPlan, results: list[MeasureResult]) -> tuple[MeasureResult, ...]:
    """Correct for several comparisons: within the primary measure, and over all secondary ones together."""
    done: list[MeasureResult] = []
    secondary = [contrast.chance for result in results if not result.primary for contrast in result.contrasts]
    told = iter(holm(secondary))
    for result in results:
        if result.primary:
            chances: Iterable[float] = holm([contrast.chance for contrast in result.contrasts])
            alone = len(result.contrasts) == 1
        else:
            chances = [next(told) for _ in result.contrasts]
            alone = len(secondary) == 1
        contrasts = tuple(
            replace(contrast, corrected_chance=None if alone else chance)
            for contrast, chance in zip(result.contrasts, chances, strict=True)
        )
        judged = replace(result, contrasts=contrasts)
        done.append(replace(judged, verdict=verdict_of(plan, judged)))
    return tuple(done)


def _method(plan: TrialPlan, values: PlotValues, degrees: int) -> str:
    """Return what was computed, for a statistician."""
    layout = {
        Arrangement.PAIRS: "paired differences",
        Arrangement.BLOCKS: "randomised complete blocks",
        Arrangement.SQUARE: "Latin square",
    }[plan.arrangement]
    parts = [f"Analysis of variance of plot means, {layout}, {degrees} degrees of freedom between plots"]
    if len(values.seasons) > 1:
        parts.append(f"{len(values.seasons)} seasons with a random plot effect (restricted maximum likelihood)")
    if values.baseline:
        parts.append("baseline as covariate")
    parts.append(f"two-sided at {plan.alpha:g}, power quoted at {POWER:g}")
    return "; ".join(parts) + "."
