"""A fit in folds as text and as a document: numbers beside those in use, scores of what was held out."""

from __future__ import annotations

from mullbed.domain.validation import CalibrationResult, FoldedSet
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.validation_document import score_entry
from mullbed.reports.validation_words import figure

Json = dict[str, object]


def calibration_document(found: CalibrationResult) -> Json:
    """Return the document of `mullbed calibrate`."""
    return {
        "folds": found.folds,
        "missing": list(found.missing),
        "numbers": {
            one.name: {"in_use": one.in_use, "fitted": one.fitted, "lowest": one.lowest, "highest": one.highest}
            for one in found.numbers
        },
        "sets": {
            one.comparison.key: {
                **score_entry(one.score),
                "by": one.comparison.grouped_by,
                "reference": one.rival,
                "reference_rmse": one.rival_rmse,
                "reference_rmse_by_group": one.rival_rmse_by_group,
                "reference_crps": one.rival_crps,
            }
            for one in found.sets
        },
    }


def calibration_text(found: CalibrationResult, style: Style | None = None) -> str:
    """Return the page of a fit."""
    style = style or Style()
    lines = [style.bold(f"What was held out, {found.folds} folds"), ""]
    head = ("set", "n", "error", "bias", "by group", "reference", "by group")
    lines += columns([head, *(_row(one) for one in found.sets)], right=frozenset(range(1, 7)))
    lines.append("")
    lines += paragraph(
        "error: root mean square of predicted less seen; by group: its mean over sites, studies or sources. reference: "
        "the best of three simple models fitted in the same folds. The factor of a place is 1 when it is predicted."
    )
    lines += ["", style.bold("Numbers"), ""]
    numbers = [("number", "in use", "fitted", "folds")]
    numbers += [
        (
            one.name, figure(one.in_use), figure(one.fitted), f"{figure(one.lowest)} to {figure(one.highest)}",
        )
        for one in found.numbers
    ]  # fmt: skip
    lines += columns(numbers, right=frozenset({1, 2}))
    lines.append("")
    lines += paragraph("The numbers in use are those of the parameter table; a fit changes nothing by itself.")
    for name in found.missing:
        lines += paragraph(f"Left out: there is no {name}.")
    return style.finished(lines)


def _row(one: FoldedSet) -> tuple[str, ...]:
    score = one.score
    return (
        one.comparison.key, str(score.n), figure(score.rmse), figure(score.bias, sign=True),
        figure(score.further.get(f"rmse_mean_{one.comparison.grouped_by}")), figure(one.rival_rmse),
        figure(one.rival_rmse_by_group),
    )  # fmt: skip
