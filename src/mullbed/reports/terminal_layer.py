"""One layer in the terminal: LAY, WHY, DON'T, the cut, GIVES, COSTS."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from mullbed.domain.bed import Bed
from mullbed.domain.forecast import BedForecast
from mullbed.domain.garden import UnitSystem
from mullbed.domain.refusal import Override, Refusal
from mullbed.domain.season_plan import PlannedLayer
from mullbed.domain.spread import Spread
from mullbed.reports.amounts import area_words, cans_words, is_us, lift_amount, per_area_words, volume_words
from mullbed.reports.cautions import caution_words, dated_line
from mullbed.reports.cut_scene import planned_cut
from mullbed.reports.names import bed_title, crop_name, residue_name
from mullbed.reports.reasons import layer_dont, layer_gives, layer_net, layer_why, thickness_line
from mullbed.reports.safety_rules import refusal_lines
from mullbed.reports.terminal_cut import cut_lines
from mullbed.reports.terminal_style import WIDTH, Style, paragraph, said
from mullbed.reports.words import capital, day_words, evidence_words, listed, spread_words, weekday_words


def layer_text(
    planned: PlannedLayer,
    bed: Bed | None,
    forecast: BedForecast | None,
    *,
    units: UnitSystem,
    made_on: date,
    carbon_to_nitrogen: Spread | None = None,
    traded: Sequence[str] = (),
    refusals: Sequence[Refusal] = (),
    set_aside: Sequence[tuple[Refusal, Override]] = (),
    style: Style | None = None,
) -> str:
    """Return the page of one layer."""
    style = style or Style()
    lines = [_heading(planned, bed, units, style), ""]
    lines += layer_lines(planned, units=units, style=style)
    lines.append("")
    lines += cut_lines(planned_cut(planned, bed, forecast, units), style, inches=is_us(units))
    lines.append("")
    word, _, rest = layer_gives(planned).partition(" ")
    known = capital(evidence_words(planned.net_nitrogen_28d.evidence))
    lines += said(word.upper(), f"{rest} {layer_net(planned, units)} {known}.", style)
    lines += said("COSTS", _costs(planned, units), style)
    lines += said("DEPTH", thickness_line(planned, units), style)
    if carbon_to_nitrogen is not None:
        lines += said("C:N", f"{spread_words(carbon_to_nitrogen)}, of the whole layer.", style)
    if traded:
        lines.append("")
        lines += said("TRADED", " ".join(traded), style)
    lines += caution_lines(planned.cautions, style)
    told = refusal_lines(refusals, set_aside, style)
    lines += ["", *told] if told else []
    lines += ["", *paragraph(f"Made on {day_words(made_on, year=True)}.")]
    return style.finished(lines)


def layer_lines(planned: PlannedLayer, *, units: UnitSystem, style: Style) -> list[str]:
    """Return LAY, WHY and DON'T of one layer."""
    parts = [f"{lift_amount(lift)} of {residue_name(lift.residue)}" for lift in planned.layer.lifts]
    water = cans_words(planned.cans)
    lay = ", then ".join(parts)
    if planned.litres > 0:
        lay += f", {water} of water ({volume_words(planned.litres, units)})"
    dont, second = layer_dont(planned)
    return [
        *said("LAY", lay, style),
        *said("WHY", layer_why(planned, units), style),
        *said("DON'T", f"{capital(dont)} {second}", style),
    ]


def caution_lines(keys: Sequence[str], style: Style) -> list[str]:
    """Return cautions with their date; nothing when there are none."""
    if not keys:
        return []
    lines = [""]
    for key in keys:
        lines += said("CARE", caution_words(key), style)
    return lines + paragraph(dated_line(tuple(keys)), indent=10)


def _heading(planned: PlannedLayer, bed: Bed | None, units: UnitSystem, style: Style) -> str:
    words = bed_title(planned.layer.bed)
    if bed is not None:
        growing = [crop_name(crop.crop) for crop in bed.crops if crop.harvested >= planned.layer.day]
        crops = listed(list(dict.fromkeys(growing))[:2])
        words = "   ".join(part for part in (words, crops, area_words(bed.area, units)) if part)
    day = weekday_words(planned.layer.day)
    room = WIDTH - 2 - len(day)
    return style.bold(f"{words[: room - 2]:<{room}}") + day


def _costs(planned: PlannedLayer, units: UnitSystem) -> str:
    return (
        f"{planned.minutes:.0f} minutes, {volume_words(planned.litres, units)} of water. It lays down "
        f"{per_area_words(planned.nitrogen_laid, units)} of nitrogen, most of it held for later."
    )
