"""Many gardens as one trial, told: the verdict, who was left out, hours and kilograms."""

from __future__ import annotations

from datetime import date

from mullbed.domain.kept_trial import JoinedTrial
from mullbed.reports.sheet import sheets_pdf
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.terminal_trial import analysis_text
from mullbed.reports.trial_document import analysis_document
from mullbed.reports.trial_parts import trial_sheet
from mullbed.reports.words import capital, counted


def joined_sentence(joined: JoinedTrial) -> str:
    """Return how many gardens were joined, and that each is one block."""
    return (
        f"{capital(counted(joined.gardens, 'garden'))} joined, each as one block, whatever it repeated at home: "
        "what differs from garden to garden is the error the ways are judged by."
    )


def joined_text(joined: JoinedTrial, style: Style) -> str:
    """Return many gardens for the terminal."""
    lines = [joined_sentence(joined)]
    lines = [line for one in lines for line in paragraph(one, indent=0)]
    for one in joined.left_out:
        lines += paragraph(f"Left out, {one}.", indent=0)
    told = "\n".join(lines) + "\n\n" + analysis_text(joined.outcome, style)
    if not joined.work:
        return told
    rows: list[tuple[str, ...]] = [("", "hours", "kg", "kg/m2", "kg/h")]
    rows += [
        (
            one.bed,
            f"{one.hours:.1f}",
            f"{one.harvested:.1f}",
            f"{one.harvested / one.area:.2f}" if one.area else "-",
            f"{one.harvested / one.hours:.2f}" if one.hours > 0.0 else "-",
        )
        for one in joined.work
    ]
    return told + "\n" + style.finished(columns(rows, right=frozenset({1, 2, 3, 4})))


def joined_pdf(joined: JoinedTrial, made_on: date) -> bytes:
    """Return many gardens as PDF."""
    return sheets_pdf([trial_sheet(joined.outcome, made_on, work=joined.work)], made_on)


def joined_document(joined: JoinedTrial) -> dict[str, object]:
    """Return many gardens as JSON."""
    return analysis_document(joined.outcome) | {
        "gardens": joined.gardens,
        "left_out": list(joined.left_out),
        "work": [
            {"garden": one.bed, "hours": one.hours, "kilograms": one.harvested, "square_metres": one.area}
            for one in joined.work
        ],
    }
