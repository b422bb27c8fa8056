"""The soil of a place: the page for the terminal, lines for a garden file, and the JSON document."""

from __future__ import annotations

from mullbed.domain.soil_place import SoilAtPlace
from mullbed.domain.spread import Evidence, Spread
from mullbed.reports.terminal_style import Style, columns, paragraph
from mullbed.reports.words import evidence_words, number


def soil_lines(soil: SoilAtPlace) -> list[str]:
    """Return the lines a garden file takes."""
    lines = ["[soil]", f'sand = "{100.0 * soil.sand.mid:.0f} %"', f'clay = "{100.0 * soil.clay.mid:.0f} %"']
    matter = soil.organic_matter
    if matter is not None:
        for key, share in (("", matter.mid), ("_low", matter.low), ("_high", matter.high)):
            lines.append(f'organic_matter{key} = "{100.0 * share:.1f} %"')
    return lines


def soil_text(soil: SoilAtPlace, style: Style) -> str:
    """Return the page for the terminal."""
    head = (
        f"{soil.texture[:1].upper()}{soil.texture[1:]}, as told {number(soil.nearest_km)} km from {soil.latitude:g}, "
        f"{soil.longitude:g}; not measured in your garden."
    )
    lines = [style.bold(line) for line in paragraph(head, indent=0)]
    rows: list[tuple[str, ...]] = [("share", "middle", "8 of 10 between", "the range is")]
    rows += [_row("sand", soil.sand), _row("clay", soil.clay)]
    if soil.organic_matter is not None:
        rows.append(_row("organic matter", soil.organic_matter))
    lines += ["", *columns(rows)]
    if soil.depth_cm is not None:
        lines += paragraph(f"For {soil.depth_cm[0]:g} to {soil.depth_cm[1]:g} cm.")
    places = "one place" if soil.places == 1 else f"{soil.places} places near"
    lines += paragraph(f"Source: {soil.source}; {places}.")
    for one in soil.remarks:
        lines += paragraph(one)
    told = (
        "A garden is not the field around it: beds were dug, fed and filled up. Feel the texture with your hand, and "
        "have organic matter tested; what you measure beats this."
    )
    lines += ["", *paragraph(told), "", style.bold("FOR THE GARDEN FILE"), *(f"  {line}" for line in soil_lines(soil))]
    return style.finished(lines)


def _row(name: str, spread: Spread) -> tuple[str, ...]:
    percent = [f"{100.0 * value:.{1 if spread.high < 0.2 else 0}f}" for value in (spread.mid, spread.low, spread.high)]
    known = evidence_words(spread.range_evidence or Evidence.GUESS)
    return (name, f"{percent[0]} %", f"{percent[1]} to {percent[2]} %", known)


def soil_document(soil: SoilAtPlace) -> dict[str, object]:
    """Return the JSON document."""
    return {
        "latitude": soil.latitude,
        "longitude": soil.longitude,
        "nearest_km": soil.nearest_km,
        "places": soil.places,
        "texture": soil.texture,
        "sand": _spread(soil.sand),
        "clay": _spread(soil.clay),
        "organic_matter": None if soil.organic_matter is None else _spread(soil.organic_matter),
        "depth_cm": None if soil.depth_cm is None else list(soil.depth_cm),
        "source": soil.source,
        "remarks": list(soil.remarks),
        "garden_file": soil_lines(soil),
    }


def _spread(spread: Spread) -> dict[str, object]:
    known = spread.range_evidence
    return {
        "low": spread.low,
        "mid": spread.mid,
        "high": spread.high,
        "unit": spread.unit,
        "evidence": str(spread.evidence),
        "range_evidence": None if known is None else str(known),
        "source": spread.source,
    }
