"""A mix check in the terminal: what a mix or a rule of thumb implies, and whether it feeds or robs."""

from __future__ import annotations

from mullbed.domain.garden import UnitSystem
from mullbed.domain.mix import MixCheck
from mullbed.domain.spread import Spread
from mullbed.reports.amounts import (
    area_words,
    field_rate_words,
    mass_words,
    per_area_factor,
    per_area_unit,
    per_area_words,
    thickness_words,
    volume_words,
)
from mullbed.reports.bed_cut import Cut, CutLift
from mullbed.reports.cut_scene import squeeze_word
from mullbed.reports.findings import finding_words
from mullbed.reports.matter import matter_of
from mullbed.reports.names import residue_name
from mullbed.reports.terminal_cut import cut_lines
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.words import cannot_be_told, capital, counted, evenly, evidence_words, number, spread_words
from mullbed.units import from_canonical


def check_text(check: MixCheck, *, units: UnitSystem, style: Style | None = None) -> str:
    """Return the page of a check."""
    style = style or Style()
    lines = [*(style.bold(line) for line in paragraph(check_answer(check, units), indent=0)), ""]
    lines += cut_lines(_cut(check, units), style, inches=units is UnitSystem.US)
    lines.append("")
    rows: list[tuple[str, ...]] = [
        ("C:N", spread_words(check.carbon_to_nitrogen), evidence_words(check.carbon_to_nitrogen.evidence)),
        (
            "Nitrogen, one layer",
            per_area_words(check.nitrogen, units, short=True),
            evidence_words(check.nitrogen.evidence),
        ),
        (
            "Phosphorus, one layer",
            per_area_words(check.phosphorus, units, short=True),
            evidence_words(check.phosphorus.evidence),
        ),
        ("Dry matter", _dry_matter(check.dry_matter, units), evidence_words(check.dry_matter.evidence)),
        (
            "Dry matter in all",
            mass_words(check.dry_matter.mid * check.area / 1000, units),
            evidence_words(check.dry_matter.evidence),
        ),
        (
            "Moisture as laid",
            f"{spread_words(check.moisture.scaled(100), '%')}, {squeeze_word(check.moisture.mid)}",
            evidence_words(check.moisture.evidence),
        ),
        (
            "Thickness",
            f"{thickness_words(check.fresh_thickness, units)} fresh, "
            f"{thickness_words(check.wilted_thickness, units)} once wilted",
            "worked out",
        ),
        ("Water the dry lifts need", volume_words(check.water_needed_litres, units), "worked out"),
        (
            "Lost to the air",
            per_area_words(check.ammonia_lost, units, short=True),
            evidence_words(check.ammonia_lost.evidence),
        ),
        ("Washed down", per_area_words(check.leached, units, short=True), evidence_words(check.leached.evidence)),
    ]
    lines += columns(rows)
    lines += ["", *paragraph(f"The season: {counted(check.visits, 'layer')}.")]
    lines += columns(
        [
            (
                "  Nitrogen",
                field_rate_words(check.season_nitrogen, units),
                per_area_words(check.season_nitrogen, units, short=True),
            ),
            (
                "  Phosphorus",
                field_rate_words(check.season_phosphorus, units),
                per_area_words(check.season_phosphorus, units, short=True),
            ),
        ]
    )
    lines += ["", *_effect(check, units)]
    if check.findings:
        lines.append("")
        for finding in check.findings:
            text = f"{finding_words(finding, units)} ({capital(evidence_words(finding.evidence))}.)"
            lines += paragraph(text)
    lines += ["", *paragraph(f"Area {area_words(check.area, units)}. Weather: {check.weather}.")]
    return style.finished(lines)


def check_answer(check: MixCheck, units: UnitSystem) -> str:
    """Return whether one layer feeds or robs, when, as a heading; far too much is said first."""
    if not check.net_nitrogen:
        return "Nothing was run."
    over = next((one for one in check.findings if one.code == "more_nitrogen_than_any_crop_wants"), None)
    answer = _one_layer(check, units)
    if over is None:
        return answer
    times = number(float(over.values["times_most"]))
    return f"Too much for any crop: the season lays {times} times what the hungriest one wants. {answer}"


def _one_layer(check: MixCheck, units: UnitSystem) -> str:
    last, days = check.net_nitrogen[-1], check.net_nitrogen_days[-1]
    pairs = list(zip(check.net_nitrogen_days, check.net_nitrogen, strict=True))
    robbing = [day for day, spread in pairs if spread.mid < -0.05]
    if cannot_be_told(last):
        return f"Whether one layer feeds or robs within {days} days can't be told yet."
    amount = f"{number(abs(last.mid) * per_area_factor(units))} {per_area_unit(units)}"
    if last.mid < 0:
        return f"One layer robs: it takes about {amount} in {days} days."
    if robbing:
        turn = next(day for day, spread in pairs if day > robbing[-1] and spread.mid > 0)
        return f"One layer robs at first, then feeds from about day {turn}: {amount} in {days} days."
    return f"One layer feeds: about {amount} in {days} days."


def _effect(check: MixCheck, units: UnitSystem) -> list[str]:
    factor = per_area_factor(units)
    rows: list[tuple[str, ...]] = [("Day", "Low", "Middle", "High", "")]
    shown = _chosen(len(check.net_nitrogen))
    texts = evenly([value * factor for spread in check.net_nitrogen for value in (spread.low, spread.mid, spread.high)])
    for index in shown:
        low, mid, high = texts[3 * index : 3 * index + 3]
        spread = check.net_nitrogen[index]
        word = "takes" if spread.mid < -0.05 else ("gives" if spread.mid > 0.05 else "neither")
        rows.append((str(check.net_nitrogen_days[index]), low, mid, high, word))
    unit = per_area_unit(units)
    return [
        *paragraph(f"Nitrogen one layer has given to the soil by day, {unit}; a minus is taken."),
        *columns(rows, indent=4, right=frozenset({0, 1, 2, 3})),
    ]


def _chosen(count: int, most: int = 9) -> list[int]:
    if count <= most:
        return list(range(count))
    return sorted({round(index * (count - 1) / (most - 1)) for index in range(most)})


def _dry_matter(spread: Spread, units: UnitSystem) -> str:
    return (
        spread_words(spread.scaled(from_canonical(1.0, "lb/1000ft2")), "lb/1000 sq ft")
        if units is UnitSystem.US
        else spread_words(spread.scaled(from_canonical(1.0, "kg/m2")), "kg/m²")
    )


def _cut(check: MixCheck, units: UnitSystem) -> Cut:
    lifts = tuple(
        CutLift(
            residue_name(lift.residue),
            matter_of(lift.residue, lift.fresh),
            lift.thickness * 100,
            thickness_words(lift.thickness, units),
            seed=f"check {index} {lift.residue}",
        )
        for index, lift in enumerate(check.layer.lifts)
    )
    return Cut("Check", "", lifts, soil_words=("Soil", ""))
