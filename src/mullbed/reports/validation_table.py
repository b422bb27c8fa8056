"""The scores of a validation in the terminal: one row a set, its yardsticks beside it, what was missing below."""

from __future__ import annotations

from mullbed.domain.validation import SetResult, Validation
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.validation_document import figure_of
from mullbed.reports.validation_words import (
    FOLDED_RIVALS,
    absence_words,
    beside,
    documented,
    figure,
    percent,
    rival_crps,
)

_HEAD = ("set", "n", "error", "bias", "r2", "80%", "90%", "CRPS")
_BESIDE = ("set", "ours", "theirs", "folds", "doc.", "theirs", "CRPS")


def validation_text(found: Validation, style: Style | None = None) -> str:
    """Return the page of a validation."""
    style = style or Style()
    lines = [style.bold("The model against open data"), ""]
    lines += columns([_HEAD, *(_row(one) for one in found.sets)], right=frozenset(range(1, 8)))
    lines.append("")
    lines += paragraph(
        "error: root mean square of predicted less seen, in the unit of the set (share of what was laid; rye in % of "
        "the nitrogen added; warmth in °C). 80%, 90%: values within the bands. r2: squared correlation."
    )
    held = [one for one in found.sets if beside(one, "reference model") or beside(one, "cross-validated")]
    if held:
        lines += ["", style.bold("Yardsticks"), ""]
        lines += columns([_BESIDE, *(_yardsticks(one) for one in held)], right=frozenset(range(1, 7)))
        lines.append("")
        lines += paragraph(
            "ours, theirs: here, and the best of several simple models fitted on the development half of these data. "
            "folds: our numbers fitted anew, sites and studies held out; doc.: our documented figure of the same; "
            "theirs: the best simple model in folds; CRPS: its own, with its residual spread. * mean over studies."
        )
    lines.append("")
    for one in found.sets:
        lines += _further(one)
    if found.missing:
        files: dict[str, list[str]] = {}
        for absent in found.missing:
            files.setdefault(absence_words(absent), []).append(absent.key)
        for why, keys in files.items():
            lines += paragraph(f"Skipped {', '.join(keys)}: {why}.")
    lines += paragraph(
        f"Nothing was fitted. One set of numbers for all sets, its hash {found.fingerprint}; "
        f"{found.members} members, seed {found.seed}."
    )
    return style.finished(lines)


def _row(one: SetResult) -> tuple[str, ...]:
    score = one.score
    return (
        one.key, str(score.n), figure(score.rmse), figure(score.bias, sign=True), figure(score.r2),
        percent(score.coverage80), percent(score.coverage90), figure(score.crps),
    )  # fmt: skip


def _yardsticks(one: SetResult) -> tuple[str, ...]:
    """Return a set's own figure and those it is held against; a mean over studies is marked."""
    sticks = [
        beside(one, "reference model"),
        beside(one, "held out here"),
        beside(one, "cross-validated"),
        beside(one, *FOLDED_RIVALS),
    ]
    by_study = any(stick is not None and stick.figure != "rmse" for stick in sticks)
    ours = one.score.further.get("rmse_mean_study") if by_study else one.score.rmse
    return (
        one.key,
        figure(ours) + ("*" if by_study else ""),
        *("–" if stick is None else figure(stick.rmse) + ("*" if stick.figure != "rmse" else "") for stick in sticks),
        figure(rival_crps(one)),
    )


def _further(one: SetResult) -> list[str]:
    """Return figures of a set that have a yardstick of their own, or that its key asks for."""
    told = []
    for stick in documented(one):
        if stick.figure != "rmse":
            ours = figure_of(one.score, stick.figure)
            told.append(f"{stick.figure} {figure(ours)} (documented {figure(stick.rmse)})")
    for name in ("rmse_median_study", "sign_right", "q10_seen_median", "q10_model_median", "rmse_without"):
        if name in one.score.further:
            told.append(f"{name} {figure(one.score.further[name])}")
    return paragraph(f"{one.key}: {', '.join(told)}") if told else []
