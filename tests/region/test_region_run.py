"""A region comes out the same to the last bit by one worker or several, here or elsewhere, whole or after a kill."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from mullbed.domain.region import THINGS, RegionThing
from mullbed.errors import InputFault
from mullbed.files.region_file import read_region
from mullbed.usecases.run_region import run_region

Digests = Callable[[Path], dict[str, str]]

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning", "ignore::pytest.PytestUnraisableExceptionWarning")

#: Runs a region two gardens a chunk; the second chunk is half written when the process is killed with signal 9.
KILLED = """
import os, signal, sys
from pathlib import Path
from mullbed.region.archive import RegionArchive
from mullbed.usecases import run_region
run_region.MOST_IN_CHUNK = 2
whole, kept = RegionArchive.keep, []
def keep(self, number, result):
    kept.append(number)
    if len(kept) == 2:
        place = self.place(number)
        self._kept[0][place] = result.ranked[:, :, 0]
        self._means[3][place] = -result.seasons[:, :, 3]
        os.kill(os.getpid(), signal.SIGKILL)
    whole(self, number, result)
RegionArchive.keep = keep
run_region.run_region(Path(sys.argv[1]), Path(sys.argv[2]))
"""


@pytest.fixture(scope="module")
def alone(small_region: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the data of a run on one thread, two gardens a chunk."""
    from mullbed.usecases import run_region as module

    folder = tmp_path_factory.mktemp("alone")
    before = module.MOST_IN_CHUNK
    module.MOST_IN_CHUNK = 2
    try:
        result = run_region(small_region, folder, threads=1)
    finally:
        module.MOST_IN_CHUNK = before
    assert (result.chunks, result.chunks_done, result.complete) == (3, 3, True)
    return folder


@pytest.mark.usefixtures("two_a_chunk")
def test_two_threads_write_the_same_bytes_as_one(
    small_region: Path, alone: Path, tmp_path: Path, bytes_of: Digests
) -> None:
    run_region(small_region, tmp_path, threads=2)
    assert bytes_of(tmp_path) == bytes_of(alone)


@pytest.mark.usefixtures("two_a_chunk")
def test_two_processes_of_a_cluster_write_the_same_bytes(
    small_region: Path, alone: Path, tmp_path: Path, bytes_of: Digests
) -> None:
    run_region(small_region, tmp_path, processes=2)
    assert bytes_of(tmp_path) == bytes_of(alone)


@pytest.mark.usefixtures("two_a_chunk")
def test_a_run_killed_in_the_midst_of_a_write_goes_on_to_the_same_bytes(
    small_region: Path, alone: Path, tmp_path: Path, bytes_of: Digests
) -> None:
    ended = subprocess.run([sys.executable, "-c", KILLED, str(small_region), str(tmp_path)], check=False)
    assert ended.returncode == -9
    assert bytes_of(tmp_path) != bytes_of(alone)
    told: list[str] = []
    result = run_region(small_region, tmp_path, threads=1, progress=told.append)
    assert result.chunks_found == 1  # the chunk in flight alone is lost
    assert "There already: 1." in told[0]
    assert bytes_of(tmp_path) == bytes_of(alone)


@pytest.mark.usefixtures("two_a_chunk")
def test_a_spoilt_chunk_is_found_by_its_check_number_and_run_again(
    small_region: Path, alone: Path, tmp_path: Path, bytes_of: Digests
) -> None:
    run_region(small_region, tmp_path, threads=1)
    piece = tmp_path / "region.zarr" / "water_saved_mean" / "1.0.0"
    piece.write_bytes(piece.read_bytes()[:-3])
    assert run_region(small_region, tmp_path, threads=1).chunks_found == 2
    assert bytes_of(tmp_path) == bytes_of(alone)


@pytest.mark.usefixtures("two_a_chunk")
def test_a_run_that_is_stopped_keeps_what_is_done_and_goes_on(
    small_region: Path, alone: Path, tmp_path: Path, bytes_of: Digests
) -> None:
    asked: list[bool] = []

    def stop() -> bool:
        asked.append(True)
        return len(asked) > 3

    begun = run_region(small_region, tmp_path, threads=1, stop=stop)
    assert 0 < begun.chunks_done < begun.chunks
    assert not begun.complete
    assert int(np.isfinite(begun.figures[:, 0, 0, 0]).sum()) == int(begun.done.sum()) < 5
    run_region(small_region, tmp_path, threads=1)
    assert bytes_of(tmp_path) == bytes_of(alone)


def test_a_folder_of_another_run_is_refused(small_region: Path, alone: Path, tmp_path: Path) -> None:
    other = tmp_path / "region.toml"
    for part in ("gardens.csv", "wet.csv", "dry.csv"):
        (tmp_path / part).write_bytes((small_region.parent / part).read_bytes())
    other.write_text(small_region.read_text(encoding="utf-8").replace("seed = 3", "seed = 4"), encoding="utf-8")
    with pytest.raises(InputFault, match="a run of other inputs"):
        run_region(other, alone)
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "region.zarr").mkdir()
    (tmp_path / "full" / "region.zarr" / "letter.txt").write_text("keep me", encoding="utf-8")
    with pytest.raises(InputFault, match="something else"):
        run_region(other, tmp_path / "full")
    assert (tmp_path / "full" / "region.zarr" / "letter.txt").read_text(encoding="utf-8") == "keep me"


def test_a_run_moved_with_its_files_is_the_same_run(small_region: Path, tmp_path: Path) -> None:
    from mullbed.usecases.run_region.identity import inputs_of

    for part in small_region.parent.iterdir():
        (tmp_path / part.name).write_bytes(part.read_bytes())
    assert inputs_of(read_region(tmp_path / "region.toml")) == inputs_of(read_region(small_region))
    changed = tmp_path / "dry.csv"
    changed.write_text(changed.read_text(encoding="utf-8").replace("2010-03-01", "2010-03-01", 1) + "\n#\n", "utf-8")
    assert inputs_of(read_region(tmp_path / "region.toml")) != inputs_of(read_region(small_region))


def test_the_mean_of_a_region_is_the_mean_of_its_gardens_run_by_the_engine_alone(
    small_region: Path, tmp_path: Path
) -> None:
    """Each garden is run by `simulate` with members drawn for its own name, a season at a time."""
    from mullbed.domain.bed import Bed, BedCrop
    from mullbed.domain.layer import Layer
    from mullbed.reference.crops import all_crops
    from mullbed.reference.residues import all_residues
    from mullbed.simulate.bed_case import bed_case
    from mullbed.simulate.ensemble import draw_members
    from mullbed.simulate.run import simulate
    from mullbed.usecases.run_region.seasons import RegionSeasons

    spec = read_region(small_region)
    whole = run_region(small_region, tmp_path, threads=1)
    seasons = RegionSeasons(spec, {})
    fed, leached = np.empty((5, 3)), np.empty((5, 3))
    for number, garden in enumerate(spec.gardens):
        (weather,), _ = seasons.of([garden])
        first = weather.first_day
        crop = spec.crop
        assert crop is not None
        planted = np.datetime64(first) + np.array([crop.planted, crop.harvested])
        crops = (BedCrop(crop.crop, 1.0, planted[0].item(), planted[1].item(), sown_direct=False),)
        bed = Bed(garden.name, 1.0, spec.soils[garden.soil], crops=crops)
        layers = [
            Layer(garden.name, (np.datetime64(first) + layer.day).item(), layer.lifts, layer.water)
            for layer in spec.ways[0].layers
        ]
        case = bed_case(bed, weather, all_crops(), all_residues(), layers)
        for year in range(spec.years):
            members = draw_members(case, spec.members, spec.seed)
            members = replace(members, year_of=np.full(spec.members, year))
            outcome = simulate(case, members)
            fed[number, year] = outcome.daily["net_nitrogen"][:, -1].mean()
            leached[number, year] = outcome.daily["leached"][:, -1].mean()
    way = whole.spec.way_names.index("little and often")
    for thing, alone in ((RegionThing.NITROGEN_FED, fed), (RegionThing.NITRATE_LEACHED, leached)):
        at = THINGS.index(thing)
        region = whole.groups[0].figures[way, at, 0]
        assert abs(alone).max() > 1e-3
        assert region == pytest.approx(alone.mean(), rel=1e-9)
        np.testing.assert_allclose(whole.figures[:, way, at, 0], alone.mean(axis=1), rtol=1e-9)
        np.testing.assert_allclose(whole.seasons[way, at], alone.mean(axis=0), rtol=1e-9)


def test_gardens_keep_their_values_whoever_their_neighbours_are(
    small_region: Path, alone: Path, tmp_path: Path
) -> None:
    for part in small_region.parent.iterdir():
        (tmp_path / part.name).write_bytes(part.read_bytes())
    rows = (tmp_path / "gardens.csv").read_text(encoding="utf-8").splitlines()
    (tmp_path / "gardens.csv").write_text("\n".join([rows[0], rows[4]]) + "\n", encoding="utf-8")
    single = run_region(tmp_path / "region.toml", tmp_path / "out", threads=1)
    among = run_region(small_region, alone, threads=1)
    assert among.chunks_found == among.chunks
    np.testing.assert_array_equal(single.figures[0], among.figures[3])


def test_the_folder_explains_itself_and_is_the_netcdf_file(small_region: Path, alone: Path, tmp_path: Path) -> None:
    import xarray

    run_region(small_region, tmp_path, threads=1, netcdf=True)
    from mullbed.region.archive import dataset_of

    with dataset_of(tmp_path / "region.zarr") as zarr, xarray.open_dataset(tmp_path / "region.nc") as netcdf:
        assert zarr.attrs["Conventions"].startswith("CF-1")
        assert list(zarr["garden_name"].values) == ["Ash", "Beech", "Cherry", "Dogwood", "Elder"]
        assert list(zarr["way"].values) == ["nothing laid", "little and often", "once"]
        for thing in THINGS:
            one = zarr[str(thing)]
            assert one.dims == ("garden", "way", "level")
            assert one.attrs["units"]
            assert one.attrs["long_name"]
            assert {"latitude", "longitude"} <= set(one.coords)
            assert np.isfinite(one.values).all()
            assert (np.diff(one.values, axis=-1) >= 0.0).all()
            np.testing.assert_array_equal(one.values, netcdf[str(thing)].values)
    told = json.loads((tmp_path / "region.zarr" / "nitrogen_fed" / ".zattrs").read_text(encoding="utf-8"))
    assert told["units"] == "g m-2"
    assert not (tmp_path / "region.zarr" / ".zmetadata").exists()


def test_an_address_where_nothing_answers_is_told_in_a_sentence(small_region: Path, tmp_path: Path) -> None:
    with pytest.raises(InputFault, match="--cluster: no address"):
        run_region(small_region, tmp_path, cluster="no address")


class Workers:
    """Stands for a client of a cluster whose workers have one model or another."""

    def __init__(self, *models: str) -> None:
        self.models = models

    def run(self, _asked: object) -> dict[str, str]:
        """Return what each worker answers."""
        if not self.models:
            raise ModuleNotFoundError("No module named 'mullbed'", name="mullbed")
        return {f"tcp://worker-{number}": model for number, model in enumerate(self.models)}


def test_workers_with_another_model_are_refused() -> None:
    from mullbed.compiled import source_fingerprint
    from mullbed.region.run import _same_model

    _same_model(Workers(source_fingerprint(), source_fingerprint()), "tcp://here")  # type: ignore[arg-type]
    with pytest.raises(InputFault, match="1 of 2 workers with another model, tcp://worker-1"):
        _same_model(Workers(source_fingerprint(), "older"), "tcp://here")  # type: ignore[arg-type]
    with pytest.raises(InputFault, match="workers without mullbed"):
        _same_model(Workers(), "tcp://here")  # type: ignore[arg-type]
