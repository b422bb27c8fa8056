"""A table of soils by place (CSV): sand, clay, organic matter or carbon by latitude and longitude, layers allowed."""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import numpy as np

from mullbed.domain.soil_place import SoilAtPlace
from mullbed.errors import Fault, InputFault
from mullbed.files.plain_text import read_plain_text
from mullbed.files.soil_columns import TEXTURE, THINGS, SoilColumn, Values, column_of, heading_of, parted, unit_factor
from mullbed.files.soil_estimate import Around, soil_estimate

LARGEST_BYTES = 60_000_000
PLOUGHED = 25.0
"""Depth a garden's soil is told for. [cm]"""
NUMBERS_FOR_MISSING = frozenset({-9999.0, -999.0, -99.0, -32768.0})


def soil_from_table(
    path: Path, latitude: float, longitude: float, *, told: Mapping[str, tuple[str, str]], reach_km: float
) -> SoilAtPlace:
    """Return the soil of a place from the nearest rows of a table.

    Raises
    ------
    InputFault
        When a column is missing, a unit cannot be told, a cell is no number, or nothing is near.
    """
    headings, cells, lines, source = _rows(path)
    unknown = [f"'{heading}'" for heading, _ in told.values() if heading not in headings]
    if unknown:
        remedy = "Write a heading of the table."
        raise InputFault([Fault("--column", ", ".join(unknown), ", ".join(headings)[:160], remedy)])
    where = {name: heading_of(name, headings, told) for name in ("latitude", "longitude", "sand", "clay", "silt")}
    missing = [name for name in ("latitude", "longitude") if where[name] is None]
    if sum(where[name] is not None for name in ("sand", "silt", "clay")) < 2:
        missing.append("two of sand, silt and clay")
    if missing:
        allowed = ", ".join(headings)[:160]
        remedy = "Say which heading it is: --column clay=HEADING:%."
        raise InputFault([Fault(path.name, f"no column is known as {one}", allowed, remedy) for one in missing])

    def numbers(heading: str) -> Values:
        return _numbers(cells, lines, list(headings).index(heading), f"{path.name}, {heading}")

    spots = {name: numbers(str(where[name])) for name in ("latitude", "longitude")}
    columns = _columns(headings, told, path.name, numbers)
    values = {one.thing: numbers(one.heading) * one.factor for one in columns}
    _complete(values)
    top, bottom = (heading_of(name, headings, told) for name in ("top", "bottom"))
    depth: tuple[float, float] | None = None
    if top is not None and bottom is not None:
        spots, values, depth = _upper(spots, values, numbers(top), numbers(bottom), path.name)
    remarks = [f"{one.heading} is taken for {one.unit}, from its values." for one in columns if not one.told]
    return soil_estimate(
        Around(spots["latitude"], spots["longitude"], values),
        latitude,
        longitude,
        place=path.name,
        source=source or path.name,
        reach_km=reach_km,
        depth_cm=depth,
        remarks=remarks,
    )


def _rows(path: Path) -> tuple[tuple[str, ...], list[list[str]], list[int], str]:
    """Return headings, cells, lines and the source a remark names."""
    text = read_plain_text(path, "a table of soils (CSV)", LARGEST_BYTES)
    source = ""
    kept: list[tuple[int, str]] = []
    for number, line in enumerate(text.splitlines(), start=1):
        if line.startswith("#"):
            remark = line.lstrip("# ")
            if remark.casefold().startswith("source:"):
                source = remark[len("source:") :].strip()
        elif line.strip(" ,;\t"):
            kept.append((number, line))
    if len(kept) < 2:
        raise InputFault([Fault(path.name, "no rows", "a line of headings and one row a place", "Give the table.")])
    between = max((",", ";", "\t"), key=kept[0][1].count)
    try:
        cells = [next(csv.reader([line], delimiter=between)) for _, line in kept]
    except (csv.Error, StopIteration) as error:
        raise InputFault([Fault(path.name, f"not CSV ({error})", "rows of cells", "Save it again as CSV.")]) from error
    headings = tuple(cell.strip() for cell in cells[0])
    if len(set(headings)) != len(headings):
        raise InputFault([Fault(path.name, "a heading stands twice", "each once", "Rename one of them.")])
    return headings, cells[1:], [number for number, _ in kept[1:]], source


def _numbers(cells: Sequence[Sequence[str]], lines: Sequence[int], place: int, where: str) -> Values:
    """Return a column as numbers; NaN for an empty cell or a number that stands for missing."""
    values = np.full(len(cells), np.nan)
    faults = []
    for row, line in enumerate(cells):
        text = line[place].strip() if place < len(line) else ""
        if not text or text.casefold() in {"na", "nan", "null", "-"}:
            continue
        try:
            number = float(text.replace(",", ".") if text.count(",") == 1 else text)
        except ValueError:
            allowed = "a number or an empty cell"
            faults.append(Fault(f"{where}, line {lines[row]}", f"'{text[:20]}'", allowed, "Correct the cell."))
            continue
        if np.isfinite(number) and number not in NUMBERS_FOR_MISSING:
            values[row] = number
    if faults:
        raise InputFault(faults[:12])
    return values


def _columns(
    headings: Sequence[str], told: Mapping[str, tuple[str, str]], place: str, numbers: Callable[[str], Values]
) -> list[SoilColumn]:
    """Return every column that tells of the soil; a low or high has the unit of its middle where it tells none."""
    found: list[SoilColumn] = []
    for thing in THINGS:
        heading = heading_of(thing, headings, told)
        if heading is None:
            continue
        alike = [one for one in TEXTURE if one != thing] if thing in TEXTURE else []
        beside_it = [heading_of(one, headings, told) for one in alike]
        seen = np.concatenate([numbers(one) for one in (heading, *beside_it) if one is not None])
        middle = column_of(thing, heading, "", seen, place, told)
        found.append(middle)
        for end in ("low", "high"):
            beside = heading_of(f"{thing}_{end}", headings, told)
            if beside is not None:
                unit = told.get(f"{thing}_{end}", ("", ""))[1] or parted(beside)[1]
                factor = unit_factor(unit) or middle.factor
                found.append(SoilColumn(f"{thing}_{end}", beside, factor, unit or middle.unit, True))
    return found


def _complete(values: dict[str, Values]) -> None:
    """Work sand or clay out where silt and the other are told."""
    silt = values.pop("silt", None)
    if silt is None:
        return
    for missing, other in (("sand", "clay"), ("clay", "sand")):
        if missing not in values:
            values[missing] = np.clip(1.0 - silt - values[other], 0.0, 1.0)


def _upper(
    spots: dict[str, Values], values: dict[str, Values], top: Values, bottom: Values, place: str
) -> tuple[dict[str, Values], dict[str, Values], tuple[float, float]]:
    """Return one row a place: layers joined by how much of each lies in the upper 25 cm."""
    share = np.clip(np.minimum(bottom, PLOUGHED) - np.maximum(top, 0.0), 0.0, None)
    share = np.where(np.isnan(share), 0.0, share)
    if not (share > 0.0).any():
        found = f"no layer above {PLOUGHED:g} cm"
        raise InputFault([Fault(place, found, "depths in cm from the surface down", "Check top and bottom.")])
    keys = np.column_stack([spots["latitude"], spots["longitude"]])
    each, back = np.unique(keys[share > 0.0], axis=0, return_inverse=True)
    weights = share[share > 0.0]
    joined: dict[str, Values] = {}
    for name, series in values.items():
        of_layers = series[share > 0.0]
        known = ~np.isnan(of_layers)
        total = np.bincount(back.ravel()[known], weights[known] * of_layers[known], minlength=each.shape[0])
        weight = np.bincount(back.ravel()[known], weights[known], minlength=each.shape[0])
        joined[name] = np.where(weight > 0.0, total / np.where(weight > 0.0, weight, 1.0), np.nan)
    deepest = min(PLOUGHED, float(np.nanmax(bottom[share > 0.0])))
    return {"latitude": each[:, 0], "longitude": each[:, 1]}, joined, (0.0, deepest)
