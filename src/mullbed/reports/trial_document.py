"""A trial as JSON: keys are told in docs/reference/json.md."""

from __future__ import annotations

import math
from dataclasses import asdict

from mullbed.domain.field_check import FieldCheck, ScoredCheck
from mullbed.domain.kept_trial import KeptTrial
from mullbed.domain.trial import Contrast, MeasureResult
from mullbed.domain.trial_answers import AnalysedTrial, TrialDesign, TrialSize
from mullbed.reports.trial_words import design_answer, relative, size_answer, verdict_heading


def _finite(value: float | None) -> float | None:
    """Return a number JSON knows."""
    return value if value is not None and math.isfinite(value) else None


def size_document(size: TrialSize) -> dict[str, object]:
    """Return what so many pairs can show; shares as fractions."""
    return {
        "detectable": size.detectable,
        "power": size.power,
        "alpha": size.alpha,
        "pairs": size.pairs,
        "treatments": size.treatments,
        "cv": size.variation,
        "correlation": size.correlation,
        "scale": size.scale.value,
        "effect": size.effect,
        "pairs_needed": size.needed,
        "sentence": size_answer(size),
    }


def design_document(design: TrialDesign) -> dict[str, object]:
    """Return a drawn plan."""
    plan = design.plan
    return {
        "sentence": design_answer(design),
        "name": plan.name,
        "question": plan.question,
        "arrangement": plan.arrangement.value,
        "fairness": plan.fairness.value,
        "control": plan.control,
        "treatments": [{"code": one.code, "way": one.way.value, "words": one.words} for one in plan.treatments],
        "plots": [asdict(plot) for plot in plan.plots],
        "detectable": dict(design.detectable),
        "power": design.power,
        "expected": [
            {"low": one.low, "high": one.high, "when": one.when, "source": one.source, "evidence": one.evidence.value}
            for one in design.expected
        ],
        "warnings": list(design.warnings),
        "locked_on": plan.locked_on.isoformat() if plan.locked_on else None,
        "seal": plan.seal,
    }


def analysis_document(analysed: AnalysedTrial) -> dict[str, object]:
    """Return what came out."""
    return {
        "sentence": verdict_heading(analysed),
        "verdict": analysed.result.primary.verdict.value,
        "locked": analysed.locked,
        "seal_holds": analysed.seal_holds,
        "otherwise": list(analysed.seen),
        "measures": [_measure(result) for result in analysed.result.results],
        "deviations": [
            {"day": one.day.isoformat() if one.day else None, "what": one.what, "why": one.why}
            for one in analysed.result.deviations
        ],
    }


def _measure(result: MeasureResult) -> dict[str, object]:
    """Return one measure."""
    return {
        "measure": result.measure.key,
        "unit": result.measure.unit,
        "primary": result.primary,
        "verdict": result.verdict.value,
        "contrasts": [_contrast(one) for one in result.contrasts],
        "cv": _finite(result.spread),
        "detectable": _finite(result.detectable),
        "blocks_needed": result.blocks_needed,
        "overall_p": result.overall_chance,
        "least_significant_difference": result.least_significant,
        "season_p": result.season_chance,
        "lost": list(result.lost),
        "method": result.method,
        "plot_values": [
            {"plot": code, "season": season, "value": _finite(value)} for code, season, value in result.plot_values
        ],
    }


def _contrast(one: Contrast) -> dict[str, object]:
    """Return one treatment against the control."""
    share, low, high = relative(one)
    return {
        "treatment": one.treatment,
        "control": one.control,
        "scale": one.scale.value,
        "difference": one.difference,
        "standard_error": one.error,
        "degrees_of_freedom": one.degrees,
        "interval": [one.low, one.high],
        "t": _finite(one.statistic),
        "p": one.chance,
        "p_corrected": one.corrected_chance,
        "p_permutation": one.permutation_chance,
        "p_permutation_floor": one.permutation_floor,
        "relative": _finite(share),
        "relative_interval": [_finite(low), _finite(high)],
        "control_mean": _finite(one.control_mean),
        "treatment_mean": _finite(one.treatment_mean),
        "probability_positive": one.probability_positive,
        "probability_worthwhile": one.probability_worthwhile,
    }


def trials_document(trials: tuple[KeptTrial, ...]) -> dict[str, object]:
    """Return every kept trial."""
    return {
        "trials": [
            {
                "name": one.name,
                "version": one.version,
                "locked_on": one.design.plan.locked_on.isoformat() if one.design.plan.locked_on else None,
                "plots": len(one.design.plan.plots),
                "readings": len(one.readings),
            }
            for one in trials
        ]
    }


def checks_document(checks: tuple[FieldCheck, ...]) -> dict[str, object]:
    """Return the table of field checks."""
    return {
        "checks": [
            {
                "key": check.key,
                "name": check.name,
                "unit": check.unit,
                "scale": check.scale.value,
                "cv": [check.variation_low, check.variation_high],
                "cv_evidence": check.variation_evidence.value,
                "steps": list(check.steps),
                "spoils": list(check.spoils),
                "repeats": check.repeats,
                "classes": [{"below": _finite(one.below), "word": one.word} for one in check.classes],
                "source": check.classes_source,
                "evidence": check.classes_evidence.value,
                "note": check.note,
            }
            for check in checks
        ]
    }


def scored_document(scored: ScoredCheck) -> dict[str, object]:
    """Return one scored check."""
    return {
        "check": scored.check.key,
        "unit": scored.check.unit,
        "value": scored.value,
        "low": scored.low,
        "high": scored.high,
        "repeats": scored.repeats,
        "classes": [one.word for one in scored.classes],
        "source": scored.check.classes_source,
        "evidence": scored.check.classes_evidence.value,
    }
