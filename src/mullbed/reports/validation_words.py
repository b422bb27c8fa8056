"""Scores in words: which yardstick is told beside a score, and what a score means in a sentence."""

from __future__ import annotations

from mullbed.domain.validation import MissingSet, Score, SetResult, Yardstick

KINDS = {
    "cross-validated": "our documented figure, cross-validated",
    "in the sample": "our documented figure",
    "held out here": "our numbers fitted anew, places held out",
    "cross-validated reference": "reference model, cross-validated",
    "reference held out here": "reference model, places held out",
    "reference model": "reference model, fitted on these data",
}
#: Decimals by the size of the figures of a set.
_SMALL = 3


def figure(value: float | None, *, sign: bool = False) -> str:
    """Return a figure with three figures that count; a dash where it can't be told."""
    if value is None or value != value:
        return "–"
    size = abs(value)
    if size < 1e-6:
        return f"{value:.0e}" if size > 0 else "0"
    decimals = _SMALL if size < 1 else 2 if size < 10 else 1
    text = f"{value:+.{decimals}f}" if sign else f"{value:.{decimals}f}"
    return text.replace("-", "−")


def percent(value: float | None) -> str:
    """Return a share in whole %; a dash where it can't be told."""
    return "–" if value is None else f"{100 * value:.0f}"


FOLDED_RIVALS = ("cross-validated reference", "reference held out here")


def beside(one: SetResult, *kinds: str) -> Yardstick | None:
    """Return the strongest yardstick of these kinds that is held against the main figure of the set."""
    found = [stick for stick in one.yardsticks if stick.kind in kinds and stick.rmse is not None]
    found = [stick for stick in found if stick.figure in ("rmse", "rmse_mean_study")]
    return min(found, key=lambda stick: stick.rmse or 0.0) if found else None


def documented(one: SetResult) -> tuple[Yardstick, ...]:
    """Return our own documented figures of a set."""
    return tuple(stick for stick in one.yardsticks if stick.kind in ("cross-validated", "in the sample"))


def rival_crps(one: SetResult) -> float | None:
    """Return the ranked score of the reference model on places held out, with its own residual spread."""
    found = [stick.rmse for stick in one.yardsticks if stick.figure == "crps" and stick.rmse is not None]
    return min(found) if found else None


def absence_words(absent: MissingSet) -> str:
    """Return why a set was skipped."""
    return f"{absent.file} holds nothing to compare" if absent.there else f"there is no {absent.file}"


def coverage_words(score: Score) -> str:
    """Return whether the bands hold what they say."""
    if score.coverage80 is None or score.coverage90 is None:
        return "No bands: nothing is in doubt here."
    held = (
        f"{percent(score.coverage80)} % and {percent(score.coverage90)} % of the values lie in the bands of 80 and 90 %"
    )
    if 0.72 <= score.coverage80 <= 0.88 and 0.83 <= score.coverage90 <= 0.96:
        return f"{held}: they hold what they say."
    if score.coverage80 > 0.88 or score.coverage90 > 0.96:
        return f"{held}: wider than need be."
    return f"{held}: too narrow."


def set_sentence(one: SetResult) -> str:
    """Return a set in one or two sentences."""
    score = one.score
    if one.key == "rothc":
        most = score.further.get("max_abs_difference")
        return f"Every monthly pool within {figure(most)} t C/ha of the reference run."
    lean = ""
    if score.bias is not None and score.rmse and abs(score.bias) > 0.1 * score.rmse:
        lean = f", on average {figure(abs(score.bias))} too {'high' if score.bias > 0 else 'low'}"
    told = f"Off by {figure(score.rmse)} ({one.comparison.unit}) over {score.n} values{lean}."
    fitted = beside(one, "reference model")
    if fitted is not None and fitted.rmse is not None and score.rmse is not None:
        theirs = f"{figure(fitted.rmse)} of the best reference model fitted on these data ({fitted.name})"
        told += f" That is {_compared(score.rmse, fitted.rmse)} {theirs}."
    ours = beside(one, "held out here") or beside(one, "cross-validated")
    held = beside(one, *FOLDED_RIVALS)
    if ours is not None and held is not None and ours.rmse is not None and held.rmse is not None:
        mean = ", mean over studies" if ours.figure == "rmse_mean_study" else ""
        told += (
            f" On places held out{mean}: ours {figure(ours.rmse)}, {_compared(ours.rmse, held.rmse)} "
            f"{figure(held.rmse)} of the reference model ({held.name})."
        )
    ranked = rival_crps(one)
    if ranked is not None and score.crps is not None:
        told += f" CRPS {figure(score.crps)}, {_compared(score.crps, ranked)} its {figure(ranked)}."
    return f"{told} {coverage_words(score)}"


def _compared(ours: float, theirs: float) -> str:
    if abs(ours - theirs) < 0.0025:
        return "level with"
    return "better than" if ours < theirs else "behind"
