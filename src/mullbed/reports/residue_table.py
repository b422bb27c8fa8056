"""The residue table on the screen and as a document: a line each for many, every number for a few."""

from __future__ import annotations

from collections.abc import Sequence

from mullbed.domain.residue import Residue
from mullbed.domain.spread import Spread
from mullbed.reports.cautions import caution_words
from mullbed.reports.fact_rows import Json, known_how, publication, publications, shown_spread, spread_document
from mullbed.reports.terminal_style import Style, columns, paragraph, said
from mullbed.reports.words import counted, number
from mullbed.units import from_canonical

#: So many residues are shown with every number; more are shown with a line each.
FEW = 2
_POUNDS_PER_CUBIC_YARD = from_canonical(1.0, "lb") / from_canonical(1000.0, "yd3")
"""Of a kilogram per cubic metre."""


def residues_text(found: Sequence[Residue], *, us: bool = False, style: Style | None = None) -> str:
    """Return the residues found: all numbers with ranges and sources for a few, a line each for many."""
    style = style or Style()
    if len(found) > FEW:
        return style.finished(_lines(found, style))
    lines: list[str] = []
    for residue in found:
        lines += [*_card(residue, us, style), ""]
    lines += [style.bold("Sources")]
    for cited in publications({spread.source for residue in found for _, spread, _, _ in _numbers(residue) if spread}):
        lines += paragraph(cited)
    return style.finished(lines)


def residues_document(found: Sequence[Residue]) -> Json:
    """Return the residues as a document; fractions of dry matter, densities in kg m-3, missing numbers null."""
    keys = {spread.source for residue in found for _, spread, _, _ in _numbers(residue) if spread}
    return {
        "residues": [
            {
                "key": residue.key,
                "name": residue.name,
                "also_called": list(residue.also_called),
                "group": str(residue.group),
                "fresh": residue.fresh,
                "shelf_life_days": residue.shelf_life_days,
                "cn": spread_document(residue.carbon_to_nitrogen),
                **{key: spread_document(spread) for key, spread, _, _ in _numbers(residue) if key != "cn"},
                "assumed": sorted(residue.assumed),
                "cautions": [{"code": key, "text": caution_words(key)} for key in residue.cautions],
                "note": residue.note,
            }
            for residue in found
        ],
        "sources": {key: publication(key) for key in sorted(keys) if key},
    }


def _numbers(residue: Residue) -> list[tuple[str, Spread | None, float, str]]:
    """Return key, number, factor to what is shown, and shown unit."""
    return [
        ("moisture", residue.moisture, 100.0, "% of fresh mass"),
        ("carbon", residue.carbon, 100.0, "% of dry matter"),
        ("nitrogen", residue.nitrogen, 100.0, "% of dry matter"),
        ("cn", residue.carbon_to_nitrogen, 1.0, ""),
        ("phosphorus", residue.phosphorus, 100.0, "% of dry matter"),
        ("potassium", residue.potassium, 100.0, "% of dry matter"),
        ("lignin", residue.lignin, 100.0, "% of dry matter"),
        ("loose_density", residue.loose_density, 1.0, "kg/m³ fresh"),
        ("settled_density", residue.settled_density, 1.0, "kg/m³ fresh"),
    ]


_NAMES = {"cn": "C:N", "loose_density": "loose", "settled_density": "settled"}


def _card(residue: Residue, us: bool, style: Style) -> list[str]:
    """Return every number of one residue."""
    lines = [style.bold(residue.name) + f"   {residue.group}"]
    if residue.also_called:
        lines += paragraph("Also called " + ", ".join(residue.also_called) + ".")
    rows: list[tuple[str, ...]] = []
    for key, spread, factor, unit in _numbers(residue):
        if us and "kg/m³" in unit:
            factor, unit = factor * _POUNDS_PER_CUBIC_YARD, unit.replace("kg/m³", "lb/yd³")
        assumed = "; from the range of its class" if key in residue.assumed else ""
        rows.append((_NAMES.get(key, key), shown_spread(spread, factor, unit), known_how(spread) + assumed))
    lines += ["", *columns(rows), ""]
    waits = residue.shelf_life_days
    lines += said("KEEPS", "a season or more, dry" if waits is None else f"{number(waits)} days at most", style)
    if residue.note:
        lines += said("NOTE", residue.note, style)
    for caution in residue.cautions:
        lines += said("CARE", caution_words(caution), style)
    return lines


def _lines(found: Sequence[Residue], style: Style) -> list[str]:
    """Return a line for each residue."""
    rows: list[tuple[str, ...]] = [("C:N", "N, % dry", "water, %", "residue")]
    for residue in found:
        rows.append(
            (
                shown_spread(residue.carbon_to_nitrogen),
                shown_spread(residue.nitrogen, 100.0),
                number(residue.moisture.mid * 100.0),
                f"{residue.name}; {residue.group}",
            )
        )
    told = "Middle value, and in brackets what 8 of 10 lie between. Name one or two to see every number and source."
    return [
        *columns(rows, indent=0),
        "",
        *paragraph(f"{counted(len(found), 'residue').capitalize()}. {told}", indent=0),
    ]
