"""What a region came to, for the terminal and as a JSON document."""

from __future__ import annotations

from math import isfinite

import numpy as np

from mullbed.domain.region import THINGS, Array, RegionGroup, RegionResult, drainage_nitrate
from mullbed.reports.region_words import (
    SHOWN,
    baseline,
    fed_sentence,
    heading,
    layers_sentence,
    method_sentence,
    need_sentences,
    nitrate_words,
    range_words,
    risk_count,
    risk_sentence,
    unfinished,
)
from mullbed.reports.terminal_style import Style, columns, paragraph


def region_text(result: RegionResult, style: Style) -> str:
    """Return the page for the terminal."""
    lines = [style.bold(line) for line in paragraph(heading(result), indent=0)]
    stopped = unfinished(result)
    if stopped:
        lines += paragraph(stopped, indent=0)
    if not result.groups:
        return style.finished([*lines, "", *paragraph("No garden is done yet.")])
    ways = range(1, len(result.spec.way_names))
    lines += ["", style.bold("FED AND WASHED DOWN")]
    for way in ways:
        lines += paragraph(fed_sentence(result, way))
    lines += paragraph(baseline(result))
    lines += ["", style.bold("LAYERS")]
    for way in ways:
        lines += paragraph(layers_sentence(result, way))
    lines += ["", style.bold("NITRATE AT RISK")]
    for way in range(len(result.spec.way_names)):
        lines += paragraph(risk_sentence(result, way))
    districts = [group for group in result.groups if group.kind == "district"]
    if districts:
        for way in ways:
            lines += ["", style.bold(result.spec.way_names[way].upper())]
            lines += columns([_head(), *(_row(group, way) for group in districts)])
    lines += ["", style.bold("WHAT IT TAKES")]
    for sentence in need_sentences(result):
        lines += paragraph(sentence)
    lines += ["", *(style.quiet(line) for line in paragraph(method_sentence(result)))]
    return style.finished(lines)


def _head() -> tuple[str, ...]:
    return "district", "gardens", "N fed g/m²", "nitrate mg/L", "layers with room"


def _row(group: RegionGroup, way: int) -> tuple[str, ...]:
    figures = group.figures[way]
    nitrate = float(drainage_nitrate(figures[:, 0]))
    return (
        group.name,
        str(group.gardens),
        range_words(figures, SHOWN[0]),
        nitrate_words(nitrate) if isfinite(nitrate) else "–",
        range_words(figures, SHOWN[2]),
    )


def region_document(result: RegionResult) -> dict[str, object]:
    """Return the result as JSON: keys are told in docs/reference/json.md."""
    spec = result.spec
    return {
        "region": spec.name,
        "sentence": heading(result),
        "complete": result.complete,
        "gardens": len(spec.gardens),
        "gardens_done": int(result.done.sum()),
        "chunks": result.chunks,
        "chunks_done": result.chunks_done,
        "first_day": spec.first_day.isoformat(),
        "weeks": spec.weeks,
        "years": spec.years,
        "members": spec.members,
        "seed": spec.seed,
        "runs": int(result.done.sum()) * spec.runs_per_garden,
        "fingerprint": result.fingerprint,
        "data": str(result.folder),
        "groups": [
            {
                "kind": group.kind,
                "name": group.name,
                "gardens": group.gardens,
                "area_m2": group.area,
                "ways": [_way(result, group, way) for way in range(len(spec.way_names))],
            }
            for group in result.groups
        ],
        "needs": [
            {
                "way": need.way,
                "residue": need.residue,
                "litres": _short(need.litres),
                "dry_matter": _short(need.dry_matter),
                "nitrogen": _short(need.nitrogen),
            }
            for need in result.needs
        ],
        "weather": [
            {"key": one.key, "source": one.source, "evidence": one.evidence, "seasons": list(one.seasons)}
            for one in result.weathers
        ],
        "method": method_sentence(result),
    }


def _way(result: RegionResult, group: RegionGroup, way: int) -> dict[str, object]:
    figures = group.figures[way]
    above, drain = risk_count(result, way, gardens_in(result, group))
    return {
        "way": result.spec.way_names[way],
        "drainage_nitrate": _short(float(drainage_nitrate(figures[:, 0]))),
        "gardens_above_limit": above,
        "gardens_that_drain": drain,
        "values": {str(thing): _bands(figures[number]) for number, thing in enumerate(THINGS)},
    }


def gardens_in(result: RegionResult, group: RegionGroup) -> Array:
    """Return which gardens belong to a group, as ones and zeros."""
    gardens = result.spec.gardens
    if group.kind == "region":
        inside = [True] * len(gardens)
    elif group.kind == "district":
        inside = [garden.district == group.name for garden in gardens]
    else:
        inside = [garden.soil == group.name for garden in gardens]
    return np.array(inside, dtype=float)


def _bands(figures: Array) -> dict[str, float | None]:
    mean, low, mid, high = (_short(float(value)) for value in figures)
    return {"low": low, "mid": mid, "high": high, "mean": mean}


def _short(value: float) -> float | None:
    return float(f"{value:.6g}") if isfinite(value) else None
