"""The document ``mullbed validate --json`` prints: every score by the key of its set, its yardsticks beside it."""

from __future__ import annotations

from math import isfinite

from mullbed.domain.validation import Score, SetResult, Validation

Json = dict[str, object]


def validation_document(found: Validation) -> Json:
    """Return the document: the hash of the numbers, what was missing, then every set under its key."""
    return {
        "parameters": found.fingerprint,
        "members": found.members,
        "seed": found.seed,
        "missing": [{"set": one.key, "file": one.file} for one in found.missing],
        **{one.key: set_entry(one) for one in found.sets},
    }


def set_entry(one: SetResult) -> Json:
    """Return the entry of one set."""
    compared = one.comparison
    return {
        "title": compared.title,
        "unit": compared.unit,
        **score_entry(one.score),
        "by": compared.grouped_by,
        "groups": {group.group: score_entry(group.score) for group in one.groups},
        "yardsticks": [
            {
                "name": stick.name,
                "kind": stick.kind,
                "figure": stick.figure,
                "value": stick.rmse,
                "bias": stick.bias,
                "n": stick.n,
                "ours": figure_of(one.score, stick.figure),
            }
            for stick in one.yardsticks
        ],
    }


def score_entry(score: Score) -> Json:
    """Return the figures of a score; one that can't be told is null."""
    return {
        "n": score.n,
        "rmse": _finite(score.rmse),
        "bias": _finite(score.bias),
        "r2": _finite(score.r2),
        "efficiency": _finite(score.efficiency),
        "coverage80": _finite(score.coverage80),
        "coverage90": _finite(score.coverage90),
        "crps": _finite(score.crps),
        **{name: _finite(value) for name, value in score.further.items()},
    }


def figure_of(score: Score, figure: str) -> float | None:
    """Return one figure of a score by its name."""
    return _finite(score.rmse if figure == "rmse" else score.further.get(figure))


def _finite(value: float | None) -> float | None:
    return None if value is None or not isfinite(value) else float(value)
