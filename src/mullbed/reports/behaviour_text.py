"""The catalogue of behaviour in the terminal and as a JSON document: expected, came, where from."""

from __future__ import annotations

from math import isfinite

from mullbed.domain.behaviour import Catalogue, Expectation, Judged
from mullbed.reports.terminal_style import Style, paragraph

Json = dict[str, object]


def rounded(value: float) -> str:
    """Return a number with at most three figures that count."""
    text = f"{value:.3g}" if abs(value) < 1000 else f"{value:.0f}"
    return ("0" if float(text) == 0.0 else text).replace("-", "−")


def expected_range(expected: Expectation, unit: str) -> str:
    """Return what was expected as a range in words."""
    low, high = expected.low, expected.high
    of = "difference " if expected.how == "difference" else ""
    if low is not None and high is not None:
        return f"{of}{rounded(low)} to {rounded(high)} {unit}"
    if low is not None:
        return f"{of}at least {rounded(low)} {unit}"
    return f"{of}at most {rounded(high or 0.0)} {unit}"


def came(one: Judged) -> str:
    """Return what came: the middle, and 8 members in 10."""
    return f"{rounded(one.p50)} ({rounded(one.p10)} to {rounded(one.p90)})"


def behaviour_text(found: Catalogue, style: Style | None = None) -> str:
    """Return the page of a catalogue."""
    style = style or Style()
    lines = [style.bold("How beds behave in the model, beside what is expected"), ""]
    for case in found.cases:
        lines += [style.bold(case.title), *paragraph(f"{case.setting}; {case.members} members.")]
        for one in case.judged:
            verdict = "as expected" if one.holds else "DIFFERS"
            lines += paragraph(
                f"{verdict}: {one.expected.says} Expected {expected_range(one.expected, one.unit)}, came {came(one)}; "
                f"in {round(100 * one.share)} of 100 members. [{one.expected.standing}]"
            )
            if not one.holds and one.expected.finding:
                lines += paragraph(f"Why: {one.expected.finding}")
        lines.append("")
    count = sum(len(case.judged) for case in found.cases)
    lines += paragraph(
        f"{count - len(found.disagreements)} of {count} expectations are met in the middle of the members. All weather "
        f"is made up. Seed {found.seed}."
    )
    return style.finished(lines)


def behaviour_document(found: Catalogue) -> Json:
    """Return the document of a catalogue."""
    return {
        "seed": found.seed,
        "cases": [
            {
                "case": case.key,
                "title": case.title,
                "setting": case.setting,
                "members": case.members,
                "expectations": [_entry(one) for one in case.judged],
            }
            for case in found.cases
        ],
    }


def _entry(one: Judged) -> Json:
    expected = one.expected
    return {
        "key": expected.key,
        "says": expected.says,
        "measure": expected.measure,
        "run": expected.run,
        "against": expected.against,
        "how": expected.how,
        "day": expected.day,
        "low": expected.low,
        "high": expected.high,
        "unit": one.unit,
        "standing": str(expected.standing),
        "sources": list(expected.sources),
        "p10": _finite(one.p10),
        "p50": _finite(one.p50),
        "p90": _finite(one.p90),
        "share": one.share,
        "holds": one.holds,
        "finding": expected.finding,
    }


def _finite(value: float) -> float | None:
    return value if isfinite(value) else None
