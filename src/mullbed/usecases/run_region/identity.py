"""What makes a run itself: everything given and the model it is run with; a run of anything else is another."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from pathlib import Path

from mullbed.compiled import source_fingerprint
from mullbed.domain.plain_values import to_plain
from mullbed.domain.region import RegionSpec


def inputs_of(spec: RegionSpec) -> str:
    """Return a digest of the region, the files it reads and the model; where the files lie does not count.

    Of a grid, which may be larger than memory, names and sizes of its files stand for what is in them.
    """
    digest = hashlib.sha256(source_fingerprint().encode())
    stations = {}
    for key, site in spec.stations.items():
        file = site.weather.daily_file
        if file is not None:
            digest.update(file.read_bytes())
            site = replace(site, weather=replace(site.weather, daily_file=Path(file.name)))
        stations[key] = site
    grids = {}
    for key, grid in spec.grids.items():
        parts = sorted(grid.file.rglob("*")) if grid.file.is_dir() else [grid.file]
        for part in parts:
            if part.is_file():
                digest.update(f"{part.relative_to(grid.file.parent).as_posix()} {part.stat().st_size}".encode())
        grids[key] = replace(grid, file=Path(grid.file.name))
    told = replace(spec, stations=stations, grids=grids)
    digest.update(json.dumps(to_plain(told), sort_keys=True).encode())
    return digest.hexdigest()
