"""The crop table on the screen and as a document: a line each for many, every number for a few."""

from __future__ import annotations

from collections.abc import Sequence

from mullbed.domain.crop import Crop
from mullbed.domain.spread import Spread
from mullbed.reports.fact_rows import Json, known_how, publication, publications, shown_spread, spread_document
from mullbed.reports.terminal_style import Style, columns, paragraph, said
from mullbed.reports.words import capital, counted, evidence_words, number
from mullbed.units import from_canonical

#: So many crops are shown with every number; more are shown with a line each.
FEW = 2


def crops_text(found: Sequence[Crop], *, us: bool = False, style: Style | None = None) -> str:
    """Return the crops found: all numbers with ranges and sources for a few, a line each for many."""
    style = style or Style()
    if len(found) > FEW:
        return style.finished(_lines(found, us))
    lines: list[str] = []
    for crop in found:
        lines += [*_card(crop, us, style), ""]
    lines += [style.bold("Sources")]
    for cited in publications(_sources(found)):
        lines += paragraph(cited)
    return style.finished(lines)


def crops_document(found: Sequence[Crop]) -> Json:
    """Return the crops as a document; per m2 of crop, missing numbers null."""
    return {
        "crops": [
            {
                "key": crop.key,
                "name": crop.name,
                "also_called": list(crop.also_called),
                "yield_goal": spread_document(crop.yield_goal),
                "nitrogen_want": spread_document(crop.nitrogen_want),
                "phosphorus_removed": spread_document(crop.phosphorus_removed),
                "potassium_removed": spread_document(crop.potassium_removed),
                "residue_nitrogen": crop.residue_nitrogen,
                "days_to_maturity": list(crop.days_to_maturity) if crop.days_to_maturity else None,
                "sown_direct": crop.sown_direct,
                "fine_seed": crop.fine_seed,
                "timing": crop.timing,
                "timing_evidence": str(crop.timing_evidence),
                "steepest": crop.steepest,
                "steepness": crop.steepness,
                "family": crop.family,
                "source": crop.source,
            }
            for crop in found
        ],
        "sources": {key: publication(key) for key in sorted(_sources(found)) if key},
    }


def _sources(found: Sequence[Crop]) -> set[str]:
    return {key for crop in found for key in (crop.source, crop.timing_source)} | {
        spread.source for crop in found for _, spread, _ in _numbers(crop, False) if spread is not None
    }


def _numbers(crop: Crop, us: bool) -> list[tuple[str, Spread | None, str]]:
    """Return what it is, the number in the shown unit, and that unit."""
    mass, per_area = (1.0, "kg/m²"), (1.0, "g/m²")
    if us:
        mass = (from_canonical(1000.0, "lb/1000ft2"), "lb/1000 sq ft")
        per_area = (from_canonical(1.0, "lb/1000ft2"), "lb/1000 sq ft")
    told = (
        ("yield it is for", crop.yield_goal, mass),
        ("nitrogen it wants", crop.nitrogen_want, per_area),
        ("phosphorus carried off", crop.phosphorus_removed, per_area),
        ("potassium carried off", crop.potassium_removed, per_area),
    )
    return [(what, None if spread is None else spread.scaled(factor), unit) for what, spread, (factor, unit) in told]


def _card(crop: Crop, us: bool, style: Style) -> list[str]:
    """Return every number of one crop."""
    lines = [style.bold(crop.name)]
    if crop.also_called:
        lines += paragraph("Also called " + ", ".join(crop.also_called) + ".")
    rows = [(what, shown_spread(spread, 1.0, unit), known_how(spread)) for what, spread, unit in _numbers(crop, us)]
    lines += ["", *columns(rows), ""]
    seed = "fine seed, " if crop.fine_seed else ""
    lines += said(
        "STARTS", f"{seed}{'usually sown where it grows' if crop.sown_direct else 'usually planted out'}.", style
    )
    if crop.days_to_maturity:
        first, last = crop.days_to_maturity
        lines += said("READY", f"{number(first)} to {number(last)} days.", style)
    if crop.timing:
        lines += said("WHEN", f"{capital(crop.timing)} ({evidence_words(crop.timing_evidence)}).", style)
    return lines


def _lines(found: Sequence[Crop], us: bool) -> list[str]:
    """Return a line for each crop."""
    unit = _numbers(found[0], us)[1][2]
    rows: list[tuple[str, ...]] = [(f"N wanted, {unit}", "how we know it", "crop")]
    for crop in found:
        wanted = _numbers(crop, us)[1][1]
        rows.append((shown_spread(wanted), known_how(wanted), crop.name))
    told = "Middle value, and in brackets what 8 of 10 lie between. Name one or two to see every number and source."
    return [*columns(rows, indent=0), "", *paragraph(f"{capital(counted(len(found), 'crop'))}. {told}", indent=0)]
