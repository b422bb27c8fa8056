"""What a region came to in all: each garden, and gardens together by district and by soil."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.region import THINGS, RegionGroup, RegionNeed, RegionResult, RegionSpec, WeatherUsed
from mullbed.reference.residues import all_residues
from mullbed.region.archive import RegionArchive
from mullbed.region.reduce import garden_figures, pooled_figures

MOST_GROUPS = 60
"""More districts than this are told in the table of gardens alone."""


def totals(
    spec: RegionSpec,
    archive: RegionArchive,
    weathers: tuple[WeatherUsed, ...],
    folder: Path,
    seconds: float,
    found: int,
) -> RegionResult:
    """Return what is in the archive so far, put together in the order of the gardens, never in that of the work."""
    chunks = archive.done()
    done = np.zeros(archive.gardens, dtype=np.bool_)
    for number in chunks:
        done[archive.place(number)] = True
    ways = len(spec.way_names)
    figures = np.full((archive.gardens, ways, len(THINGS), 4), np.nan)
    members = _members(spec, done)
    groups = {key: np.empty((ways, len(THINGS), 4)) for key in members}
    seasons = np.full((ways, len(THINGS), spec.years), np.nan)
    everything = np.flatnonzero(done)
    if everything.size:
        for at in range(len(THINGS)):
            kept, means = archive.read_thing(at, everything)
            figures[everything, :, at] = garden_figures(kept, means)
            seasons[:, at] = means.mean(axis=0)
            for key, inside in members.items():
                groups[key][:, at] = pooled_figures(kept[inside], means[inside])
    area = np.array([garden.area for garden in spec.gardens])[everything]
    return RegionResult(
        spec=spec,
        done=done,
        figures=figures,
        groups=tuple(
            RegionGroup(kind, name, int(inside.size), float(area[inside].sum()), groups[kind, name])
            for (kind, name), inside in members.items()
        ),
        seasons=seasons,
        needs=needs_of(spec),
        weathers=weathers,
        folder=folder,
        fingerprint=archive.fingerprint(),
        seconds=seconds,
        chunks=archive.chunks,
        chunks_done=len(chunks),
        chunks_found=found,
    )


def _members(spec: RegionSpec, done: NDArray[np.bool_]) -> dict[tuple[str, str], NDArray[np.int64]]:
    """Return the gardens of each group, as places among those that are done."""
    gardens = [garden for garden, there in zip(spec.gardens, done, strict=True) if there]
    if not gardens:
        return {}
    found: dict[tuple[str, str], NDArray[np.int64]] = {("region", spec.name): np.arange(len(gardens))}
    for kind, names in (("district", [one.district for one in gardens]), ("soil", [one.soil for one in gardens])):
        told = list(dict.fromkeys(names))
        if 1 < len(told) <= MOST_GROUPS:
            of = np.array([told.index(name) for name in names])
            found |= {(kind, name): np.flatnonzero(of == number) for number, name in enumerate(told)}
    return found


def needs_of(spec: RegionSpec) -> tuple[RegionNeed, ...]:
    """Return what each way asks for on a square metre in a season, by residue."""
    residues = all_residues()
    found: list[RegionNeed] = []
    for way in spec.ways:
        dry: dict[str, float] = {}
        for layer in way.layers:
            for lift in layer.lifts:
                dry[lift.residue] = dry.get(lift.residue, 0.0) + lift.dry_matter
        for key, matter in dry.items():
            residue = residues[key]
            litres = matter / (residue.loose_density.mid * residue.dry_share)
            found.append(RegionNeed(way.name, key, litres, matter, matter * residue.nitrogen.mid))
    return tuple(found)
