"""What may be said of a trial: one of three plain verdicts, never more than the interval bears."""

from __future__ import annotations

import math

from mullbed.domain.trial import Contrast, MeasureResult, Scale, TrialPlan, Verdict


def verdict_of(plan: TrialPlan, result: MeasureResult) -> Verdict:
    """Return the verdict on a measure: of its surest contrast.

    A real difference: the planned test, corrected where there are several, stays below alpha. No difference we can
    see: every interval lies inside the difference worth having, so a worthwhile one is all but ruled out. Else too
    few to say.
    """
    chances = [
        contrast.chance if contrast.corrected_chance is None else contrast.corrected_chance
        for contrast in result.contrasts
    ]
    if min(chances) < plan.alpha:
        return Verdict.REAL
    if all(_inside(plan, contrast) for contrast in result.contrasts):
        return Verdict.NONE_SEEN
    return Verdict.TOO_FEW


def _inside(plan: TrialPlan, contrast: Contrast) -> bool:
    """Tell whether an interval leaves no room for a worthwhile difference."""
    if contrast.scale is Scale.LOG:
        worth = math.log1p(plan.worthwhile)
    else:
        worth = plan.worthwhile * abs(contrast.control_mean)
    return -worth < contrast.low and contrast.high < worth
