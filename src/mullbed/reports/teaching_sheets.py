"""Claims and lessons as sheets, text and JSON."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date
from pathlib import Path

from mullbed.domain.teaching import Claim, Lesson, Standing
from mullbed.reports.lesson_pictures import lesson_picture
from mullbed.reports.plan_folder import write_folder
from mullbed.reports.sheet import Framed, Grid, Part, Picture, Sheet, SheetPart, Steps, Words, sheets_html, sheets_pdf
from mullbed.reports.terminal_style import Style, paragraph
from mullbed.reports.words import capital, counted, day_words, evidence_words


def settling_words(claim: Claim) -> str:
    """Return what would settle a claim, with the pairs it takes."""
    one = claim.settling
    told = one.words
    if one.pairs is not None:
        told += f" About {one.pairs} pairs show a difference of {round(100 * one.difference)} % 8 times in 10."
    return told


def claims_sheet(claims: Sequence[Claim], made_on: date) -> Sheet:
    """Return the table of claims."""
    rows = tuple(
        (one.says, capital(one.standing.value), f"{one.why} ({evidence_words(one.evidence)})", settling_words(one))
        for one in claims
    )
    grid = Grid("", ("They say", "How it stands", "What is known", "What would settle it"), rows)
    sources = Words("Sources: " + ", ".join(sorted({key for one in claims for key in one.sources})) + ".", quiet=True)
    return Sheet("Popular claims", ("Popular claims", day_words(made_on, year=True)), _heading(claims), (grid, sources))


def _heading(claims: Sequence[Claim]) -> str:
    """Return how many claims stand, counted."""
    counts = {kind: sum(one.standing is kind for one in claims) for kind in Standing}
    whole, part = counts[Standing.SUPPORTED], counts[Standing.PARTLY]
    first = f"{capital(counted(whole, 'claim'))} hold whole" if whole else "None of these claims holds whole"
    return f"{first}: {part} hold in part, {counts[Standing.NOT_SUPPORTED]} do not."


def lesson_sheet(lesson: Lesson, made_on: date) -> Sheet:
    """Return a lesson."""
    picture, told_by_it = lesson_picture(lesson.key)
    parts: list[SheetPart] = [Picture(picture, told_by_it)] if picture else []
    parts += [Words(sentence) for sentence in lesson.sentences]
    parts += [Part(f"{lesson.minutes} minutes"), Words(f"You need: {'; '.join(lesson.needs)}.")]
    if lesson.before:
        parts.append(Words(f"Before: {lesson.before}"))
    parts += [Steps(tuple(f"{step.minutes} min. {step.text}" for step in lesson.steps)), Framed("Mind", lesson.dont)]
    parts += [Part("Ask"), *(Words(one) for one in lesson.ask), Words(f"What it does not show: {lesson.limits}")]
    told = f"{capital(evidence_words(lesson.evidence))}: {', '.join(lesson.sources)}."
    top = (lesson.question, day_words(made_on, year=True))
    return Sheet(lesson.question, top, lesson.answer, (*parts, Words(told, quiet=True)))


def write_sheets(folder: Path, name: str, sheets: Sequence[Sheet], made_on: date) -> tuple[Path, ...]:
    """Write sheets as page and print, both or none; raises InputFault where it can't."""
    page = sheets_html(sheets, sheets[0].title if len(sheets) == 1 else name.capitalize())
    return write_folder(folder, {f"{name}.html": page, f"{name}.pdf": sheets_pdf(sheets, made_on)})


def sheets_text(sheets: Sequence[Sheet], style: Style) -> str:
    """Return sheets for the terminal."""
    lines: list[str] = []
    for sheet in sheets:
        lines += [style.bold(line) for line in paragraph(f"{sheet.top[0]}: {sheet.heading}", indent=0)]
        for part in sheet.parts:
            if isinstance(part, Words):
                lines += paragraph(part.text)
            elif isinstance(part, Part):
                lines += ["", style.bold(part.text)]
            elif isinstance(part, Steps):
                lines += [line for step in part.steps for line in paragraph(step)]
            elif isinstance(part, Framed):
                lines += paragraph(f"{part.word}: {part.text}")
            elif isinstance(part, Grid):
                for row in part.rows:
                    lines += ["", *(line for cell in row for line in paragraph(cell))]
        lines.append("")
    return style.finished(lines)


def claims_document(claims: Sequence[Claim]) -> dict[str, object]:
    """Return claims as JSON."""
    return {"claims": [asdict(one) for one in claims]}


def lessons_document(lessons: Sequence[Lesson]) -> dict[str, object]:
    """Return lessons as JSON."""
    return {"lessons": [asdict(one) for one in lessons]}
