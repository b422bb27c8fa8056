"""One bed in the terminal and as a document: its answer, its cut, what the roots get, dates, notes."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from mullbed.domain.shown_bed import ShownBed
from mullbed.reports.amounts import area_words, is_us, thickness_mm
from mullbed.reports.bed_words import bed_dates, bed_heading, roots_words
from mullbed.reports.cut_scene import bare_cut
from mullbed.reports.kept_words import entry_words
from mullbed.reports.names import bed_title, crop_name
from mullbed.reports.terminal_cut import cut_lines
from mullbed.reports.terminal_style import Style, paragraph, said
from mullbed.reports.words import short_day

SHOWN_NOTES = 6


def bed_text(shown: ShownBed, style: Style) -> str:
    """Return the page of a bed."""
    units, bed = shown.units, shown.bed
    crops = ", ".join(crop_name(one.crop) for one in bed.crops if one.planted <= shown.today <= one.harvested)
    where = ", ".join(part for part in (bed_title(bed.name), crops, area_words(bed.area, units)) if part)
    lines = [style.quiet(where), *(style.bold(line) for line in paragraph(bed_heading(shown), indent=0)), ""]
    lines += cut_lines(bare_cut(bed, shown.forecast, shown.today, units), style, inches=is_us(units))
    lines += ["", *said("ROOTS", roots_words(shown), style)]
    for day, what in bed_dates(shown):
        lines += said("THEN", f"{day}: {what}.", style)
    if shown.notes:
        lines.append("")
        for note in shown.notes[:SHOWN_NOTES]:
            lines += paragraph(f"{short_day(note.day)}: {entry_words(note, units, bed.area)}")
    return style.finished(lines)


def bed_document(shown: ShownBed) -> Mapping[str, object]:
    """Return a bed's page as one document."""
    place = max(0, (shown.today - shown.forecast.first_day).days)

    def spread(name: str) -> dict[str, float | None]:
        band = shown.forecast.series[name]
        ends = {"low": band.p10, "mid": band.p50, "high": band.p90}
        values = {key: float(one[min(place, one.size - 1)]) for key, one in ends.items()}
        return {key: round(value, 4) if np.isfinite(value) else None for key, value in values.items()}

    return {
        "bed": shown.bed.name,
        "date": shown.today.isoformat(),
        "answer": bed_heading(shown),
        "roots": roots_words(shown),
        "thickness": spread("thickness"),
        "moisture": spread("moisture"),
        "layer_temperature": spread("layer_temperature"),
        "soil_temperature": spread("soil_temperature"),
        "mineral_nitrogen": spread("mineral_nitrogen"),
        "next_layer": shown.planned[0].layer.day.isoformat() if shown.planned else None,
        "late_layer": shown.late.layer.day.isoformat() if shown.late else None,
        "earliest_seed": shown.earliest_seed.isoformat(),
        "earliest_fine_seed": shown.earliest_fine_seed.isoformat(),
        "layers": [
            {"day": layer.day.isoformat(), "thickness_mm": thickness_mm(layer.thickness)} for layer in shown.bed.layers
        ],
        "notes": [{"id": note.id, "day": note.day.isoformat(), "kind": note.kind} for note in shown.notes],
        "members": shown.members,
    }
