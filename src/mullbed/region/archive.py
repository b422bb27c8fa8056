"""What a region came to, on disk: a Zarr folder that explains itself, filled chunk by chunk and gone on with.

A chunk's values are written first and its check number last. A chunk without its check number, or whose values do not
fit it, is run again and written over; so whatever the moment of a kill, the finished folder holds the same bytes.
Only one process writes. No time of day is written.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from mullbed.domain.region import LEVELS, MEANINGS, THINGS, RegionSpec
from mullbed.errors import Fault, InputFault
from mullbed.region.chunk import ChunkResult

if TYPE_CHECKING:
    import xarray

Array = NDArray[np.float64]

Attributes = dict[str, Any]

CONVENTIONS = "CF-1.11"
CHECK = "chunk_check"
_MEAN = "{}_mean"


class RegionArchive:
    """An open Zarr folder."""

    def __init__(self, folder: Path, gardens: int, per_chunk: int, group: Any) -> None:
        self.folder = folder
        self.gardens = gardens
        self.per_chunk = per_chunk
        self._kept = [group[str(thing)] for thing in THINGS]
        self._means = [group[_MEAN.format(thing)] for thing in THINGS]
        self._check = group[CHECK]
        self._checks: NDArray[np.uint32] = self._check[:]

    @property
    def chunks(self) -> int:
        """Number of chunks, done or not."""
        return int(self._checks.size)

    def place(self, number: int) -> slice:
        """Return the gardens of a chunk."""
        return slice(number * self.per_chunk, min(self.gardens, (number + 1) * self.per_chunk))

    def done(self) -> list[int]:
        """Return the chunks that are whole, after holding each against its check number."""
        return [number for number in np.flatnonzero(self._checks).tolist() if self._fits(number)]

    def _fits(self, number: int) -> bool:
        try:
            good = _check_number(self.read(number)) == self._checks[number]
        except Exception:  # a damaged file raises whatever its codec does; the chunk is run again
            good = False
        if not good:
            self._checks[number] = 0
        return bool(good)

    def keep(self, number: int, result: ChunkResult) -> None:
        """Write a chunk: its values, then its check number."""
        place = self.place(number)
        for at in range(len(THINGS)):
            self._kept[at][place] = result.ranked[:, :, at]
            self._means[at][place] = result.seasons[:, :, at]
        self._checks[number] = _check_number(result)
        self._check[number : number + 1] = self._checks[number : number + 1]

    def read(self, number: int) -> ChunkResult:
        """Return a chunk."""
        return self.read_gardens(self.place(number))

    def read_gardens(self, place: slice | NDArray[np.int64]) -> ChunkResult:
        """Return gardens by their places."""
        kept = [one.oindex[place] if isinstance(place, np.ndarray) else one[place] for one in self._kept]
        means = [one.oindex[place] if isinstance(place, np.ndarray) else one[place] for one in self._means]
        return ChunkResult(np.stack(kept, axis=2), np.stack(means, axis=2))

    def read_thing(self, at: int, place: NDArray[np.int64]) -> tuple[NDArray[np.float32], Array]:
        """Return the kept values and the means by season of one thing for gardens by their places."""
        return self._kept[at].oindex[place], self._means[at].oindex[place]

    def fingerprint(self) -> str:
        """Return a number that is equal for equal values of all chunks; a chunk that is not there counts as zero."""
        return f"{crc32(self._checks.astype('<u4').tobytes()):08x}"


def open_archive(folder: Path, spec: RegionSpec, inputs: str, per_chunk: int, sources: str) -> RegionArchive:
    """Return the archive of a region: a new one, or the one that was begun.

    Parameters
    ----------
    folder : Path
    spec : RegionSpec
    inputs : str
        Equal for equal inputs and equal program; an archive of another is never gone on with.
    per_chunk : int
        Gardens in a chunk.
    sources : str
        Where the weather is from, with its attribution.

    Raises
    ------
    InputFault
        When the folder holds something else, or cannot be written.
    """
    import zarr

    count = len(spec.gardens)
    try:
        if folder.exists() and any(folder.iterdir()):
            group = _found(folder, inputs)
        else:
            # Made beside its place and moved there whole, so that a half-made folder is never gone on with.
            begun = folder.with_name(f".{folder.name}-begun")
            _remove(begun)
            _make(begun, spec, inputs, per_chunk, sources)
            if folder.exists():
                folder.rmdir()
            begun.rename(folder)
            group = zarr.open_group(folder, mode="r+", zarr_format=2)
    except OSError as error:
        told = error.strerror or str(error)
        fault = Fault(str(folder), told, "a folder that can be written", "Choose another folder.")
        raise InputFault([fault]) from error
    for half in folder.rglob("*.partial"):  # left by a kill in the midst of a write
        half.unlink(missing_ok=True)
    return RegionArchive(folder, count, int(group[CHECK].attrs["gardens_in_chunk"]), group)


def _found(folder: Path, inputs: str) -> Any:
    import zarr

    try:
        group = zarr.open_group(folder, mode="r+", zarr_format=2)
        told = group.attrs.get("inputs")
    except (FileNotFoundError, ValueError, KeyError):
        told = None
    if told != inputs:
        found = "it holds something else" if told is None else "it holds a run of other inputs or another version"
        remedy = "Choose another folder with --out, or remove this one if you no longer want it."
        raise InputFault([Fault(str(folder), found, "an empty folder or one this run began", remedy)])
    return group


def _remove(folder: Path) -> None:
    import shutil

    if folder.exists():
        shutil.rmtree(folder)


def _make(folder: Path, spec: RegionSpec, inputs: str, per_chunk: int, sources: str) -> None:
    """Make the folder with all that is known before the first run."""
    import zarr

    folder.parent.mkdir(parents=True, exist_ok=True)
    group = zarr.create_group(
        folder,
        zarr_format=2,
        attributes={
            "Conventions": CONVENTIONS,
            "title": f"Layers of residues on the gardens of {spec.name}",
            "source": f"Mullbed, daily mass-balanced model; weather: {sources}",
            "comment": f"Season of {spec.weeks} weeks from {spec.first_day}, {spec.years} years of weather, "
            f"{spec.members} members a year, seed {spec.seed}. Level is the share of runs that lie below.",
            "inputs": inputs,
        },
    )
    gardens, ways, years = spec.gardens, len(spec.way_names), spec.years
    axis: Attributes = {"_ARRAY_DIMENSIONS": ["garden"]}
    for name, told in (
        ("garden_name", [one.name for one in gardens]),
        ("district", [one.district for one in gardens]),
        ("soil", [one.soil for one in gardens]),
        ("weather", [one.weather for one in gardens]),
    ):
        _texts(group, name, told, ["garden"])
    degrees = {"latitude": "degrees_north", "longitude": "degrees_east"}
    for name, unit in degrees.items():
        values = np.array([getattr(one, name) for one in gardens])
        _plain(group, name, values, {**axis, "standard_name": name, "units": unit})
    area = np.array([one.area for one in gardens])
    _plain(group, "area", area, {**axis, "units": "m2", "long_name": "area of the beds"})
    _texts(group, "way", spec.way_names, ["way"])
    shares: Attributes = {"_ARRAY_DIMENSIONS": ["level"], "units": "1", "long_name": "share of runs that lie below"}
    _plain(group, "level", np.array(LEVELS), shares)
    seasons: Attributes = {"_ARRAY_DIMENSIONS": ["season"], "units": "1", "long_name": "number of the weather year"}
    _plain(group, "season", np.arange(1, years + 1, dtype=np.int32), seasons)
    places = "garden_name latitude longitude district soil weather area"
    for thing in THINGS:
        told_thing = MEANINGS[thing]
        about: Attributes = {"units": told_thing.unit, "long_name": told_thing.meaning, "coordinates": places}
        _empty(group, str(thing), (len(gardens), ways, len(LEVELS)), per_chunk, "<f4", "level", about)
        mean: Attributes = {
            **about,
            "long_name": f"{told_thing.meaning}; mean of members",
            "cell_methods": "realization: mean",
        }
        _empty(group, _MEAN.format(thing), (len(gardens), ways, years), per_chunk, "<f8", "season", mean)
    chunks = -(-len(gardens) // per_chunk)
    about_check: Attributes = {
        "_ARRAY_DIMENSIONS": ["chunk"],
        "long_name": "check number of the chunk's values; 0 where it was not run",
        "gardens_in_chunk": per_chunk,
    }
    group.create_array(CHECK, shape=(chunks,), dtype="<u4", chunks=(1,), fill_value=0, attributes=about_check)


def _compressor() -> Any:
    from numcodecs import Zstd

    return Zstd(level=1)


def _plain(group: Any, name: str, values: NDArray[Any], about: Attributes) -> None:
    made = group.create_array(
        name, shape=values.shape, dtype=values.dtype, chunks=values.shape, compressors=_compressor(), attributes=about
    )
    made[:] = values


def _texts(group: Any, name: str, told: Any, dimensions: list[str]) -> None:
    """Write texts as bytes of equal length, which every reader of the format knows."""
    coded = np.array([one.encode() for one in told])
    _plain(group, name, coded, {"_ARRAY_DIMENSIONS": dimensions, "_Encoding": "utf-8"})


def _empty(
    group: Any, name: str, shape: tuple[int, int, int], per_chunk: int, kind: str, last: str, about: Attributes
) -> None:
    group.create_array(
        name,
        shape=shape,
        dtype=kind,
        chunks=(per_chunk, shape[1], shape[2]),
        fill_value=np.nan,
        compressors=_compressor(),
        attributes={"_ARRAY_DIMENSIONS": ["garden", "way", last], **about},
    )


def _check_number(result: ChunkResult) -> int:
    """Return a check number of a chunk's values, never zero."""
    values = crc32(np.ascontiguousarray(result.ranked, dtype="<f4").tobytes())
    return crc32(np.ascontiguousarray(result.seasons, dtype="<f8").tobytes(), values) or 1


def dataset_of(folder: Path) -> xarray.Dataset:
    """Return an archive as a dataset that is read only where it is asked for."""
    import xarray

    found: xarray.Dataset = xarray.open_zarr(folder, consolidated=False, chunks=None)
    return found


def write_netcdf(folder: Path, file: Path) -> None:
    """Write an archive as one NetCDF file, chunk by chunk, whole or not at all.

    Raises
    ------
    InputFault
        When the file cannot be written.
    """
    beside = file.with_name(f".{file.name}-begun")
    try:
        with dataset_of(folder) as found:
            texts = [str(name) for name, one in found.variables.items() if one.dtype.kind in "OSU"]
            told = found.assign_coords({name: (found[name].dims, found[name].values.astype(str), {}) for name in texts})
            for one in told.variables.values():
                one.encoding.clear()
            told.to_netcdf(beside, engine="h5netcdf")
        beside.replace(file)
    except OSError as error:
        told_error = error.strerror or str(error)
        fault = Fault(str(file), told_error, "a file that can be written", "Choose another folder.")
        raise InputFault([fault]) from error
    finally:
        beside.unlink(missing_ok=True)
