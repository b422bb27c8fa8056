"""A laboratory's table taken in, told sample by sample."""

from __future__ import annotations

from mullbed.domain.laboratory import LaboratoryKept
from mullbed.domain.record_codec import entry_to_plain
from mullbed.domain.record_seen import SoilTested, TestedValue
from mullbed.reports.names import bed_title
from mullbed.reports.terminal_style import Style, paragraph
from mullbed.reports.words import capital, counted, day_words, listed, number


def value_words(one: TestedValue) -> str:
    """Return one value with its unit and method: "phosphorus 32 mg/kg (Bray 1)"."""
    if one.value is None:
        return f"{one.name} {one.method}"
    unit = "" if one.unit in ("1", "") else f" {one.unit}"
    method = f" ({one.method})" if one.method else ""
    return f"{one.name} {'below ' if one.below_limit else ''}{number(one.value)}{unit}{method}"


def laboratory_text(kept: LaboratoryKept, style: Style) -> str:
    """Return what was kept for the terminal."""
    head = f"{capital(counted(len(kept.fresh), 'soil test'))} written down."
    if kept.known:
        head += f" {capital(counted(kept.known, 'sample'))} had been kept before."
    lines = [style.bold(line) for line in paragraph(head, indent=0)]
    for entry in kept.fresh:
        if isinstance(entry.facts, SoilTested):
            place = bed_title(entry.bed) if entry.bed else f"plot {entry.facts.plot}"
            values = listed([value_words(one) for one in entry.facts.values])
            lines += paragraph(f"{place}, {day_words(entry.day, year=True)}: {values}. Id {entry.id}.")
    return style.finished(lines)


def laboratory_document(kept: LaboratoryKept) -> dict[str, object]:
    """Return what was kept as JSON."""
    return {"kept": [entry_to_plain(one) for one in kept.fresh], "known_before": kept.known}
