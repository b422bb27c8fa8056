"""Soil by place: the nearest row or cell, layers joined, ranges told or found near, units told or refused."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from mullbed.domain.soil_place import SoilAtPlace
from mullbed.domain.spread import Evidence
from mullbed.errors import InputFault
from mullbed.files.soil_columns import parted, told_columns
from mullbed.files.soil_grid import soil_from_grid
from mullbed.files.soil_table import soil_from_table

PLACE = (48.21, 16.41)


def written(folder: Path, *lines: str) -> Path:
    path = folder / "soils.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def found(path: Path, *columns: str, reach: float = 10.0) -> SoilAtPlace:
    return soil_from_table(path, *PLACE, told=told_columns(columns), reach_km=reach)


def test_layers_are_joined_by_how_much_of_each_lies_in_the_upper_25_cm(tmp_path: Path) -> None:
    """Known: 20 cm of 20 % clay and 20 g/kg carbon over 5 cm of 30 % and 10 g/kg; carbon times 1.724."""
    path = written(
        tmp_path,
        "# source: an invented map",
        "lat,lon,upper_depth,lower_depth,clay (%),sand (%),SOC g/kg",
        "48.20,16.40,0,20,20,40,20",
        "48.20,16.40,20,60,30,40,10",
        "48.95,16.40,0,30,5,90,5",
    )
    soil = found(path)
    assert (soil.clay.mid, soil.sand.mid) == (pytest.approx(0.22), pytest.approx(0.40))
    assert soil.organic_matter is not None
    assert soil.organic_matter.mid == pytest.approx(0.018 * 1.724)
    assert soil.organic_matter.high == pytest.approx(0.018 * 1.6 * 2.0)
    assert (soil.texture, soil.places, soil.depth_cm, soil.source) == ("loam", 1, (0.0, 25.0), "an invented map")
    assert soil.nearest_km == pytest.approx(np.hypot(1.112, 0.741), rel=1e-3)  # known: a hundredth of a degree each
    assert any("judgement" in one for one in soil.remarks)


def test_ranges_that_are_told_beat_those_found_near_and_those_assumed(tmp_path: Path) -> None:
    told = written(tmp_path, "lat,lon,sand_pct,clay_pct,clay_low,clay_high,om_pct", "48.2,16.4,40,20,15,28,3")
    soil = found(told)
    assert (soil.clay.low, soil.clay.high) == (pytest.approx(0.15), pytest.approx(0.28))
    assert (soil.clay.range_evidence, soil.sand.range_evidence) == (Evidence.PUBLISHED, Evidence.GUESS)
    near = written(
        tmp_path, "lat,lon,sand_pct,clay_pct",
        *(f"48.2,{16.40 + 0.01 * number},{40 + number},{20 + 2 * number}" for number in range(6)),
    )  # fmt: skip
    soil = found(near)
    assert soil.places == 6
    assert soil.clay.range_evidence is Evidence.WORKED_OUT
    assert soil.clay.mid == pytest.approx(0.22)  # the nearest row
    assert 0.20 <= soil.clay.low < 0.22 < soil.clay.high <= 0.30
    assert soil.organic_matter is None


@pytest.mark.parametrize(
    ("headings", "row", "sand"),
    [
        ("latitude;longitude;Sand;Clay", "48,2;16,4;0,62;0,1", 0.62),
        ("lat,lon,sand,clay", "48.2,16.4,62,10", 0.62),
        ("lat,lon,sand,clay", "48.2,16.4,620,100", 0.62),
        ("lat,lon,sand_g_kg,clay_g_kg", "48.2,16.4,62,10", 0.062),
        ("lat,lon,silt (%),clay (%)", "48.2,16.4,28,10", 0.62),
    ],
)  # fmt: skip
def test_units_of_texture_are_read_or_seen_from_the_values(
    headings: str, row: str, sand: float, tmp_path: Path
) -> None:
    soil = found(written(tmp_path, headings, row))
    assert soil.sand.mid == pytest.approx(sand)
    told = "(" in headings or "g_kg" in headings
    assert any("from its values" in one for one in soil.remarks) is not told


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (("lat,lon,sand,clay,soc", "48.2,16.4,40,20,12"), "unit cannot be told"),
        (("lat,lon,sand", "48.2,16.4,40"), "two of sand, silt and clay"),
        (("x1,x2,sand,clay", "48.2,16.4,40,20"), "latitude"),
        (("lat,lon,sand,clay", "48.2,16.4,forty,20"), "forty"),
        (("lat,lon,sand,clay", "58.2,16.4,40,20"), "km off"),
        (("lat,lon,sand,clay", "48.2,16.4,80,70"), "above all of it"),
        (("lat,lon,sand,clay,top,bottom", "48.2,16.4,40,20,50,90"), "no layer"),
        (("lat,lon,sand,clay",), "no rows"),
    ],
)
def test_what_tells_no_soil_is_refused(lines: tuple[str, ...], said: str, tmp_path: Path) -> None:
    with pytest.raises(InputFault, match=said):
        found(written(tmp_path, *lines))


def test_what_the_user_tells_is_taken_and_what_is_told_wrongly_refused(tmp_path: Path) -> None:
    path = written(tmp_path, "lat,lon,S1,S2,C", "48.2,16.4,40,20,12")
    soil = found(path, "sand=S1:%", "clay=S2:%", "organic_carbon=C:g/kg")
    assert soil.organic_matter is not None
    assert soil.organic_matter.mid == pytest.approx(0.012 * 1.724)
    with pytest.raises(InputFault, match="'S9'"):
        found(path, "sand=S9:%")
    for wrong in ("peat=C:%", "sand", "sand=S1:spoons"):
        with pytest.raises(InputFault, match="organic_carbon=SOC:g/kg"):
            told_columns([wrong])


def test_a_heading_is_parted_in_name_and_unit() -> None:
    assert parted("Clay (g/kg)") == ("clay", "g/kg")
    assert parted("soc_g_kg") == ("soc", "g/kg")
    assert parted("sand") == ("sand", "")


def test_a_grid_gives_its_cell_and_the_range_of_those_around(tmp_path: Path) -> None:
    """Known: clay grows by a point from cell to cell eastwards, by ten southwards; one cell is sea."""
    xarray = pytest.importorskip("xarray")
    pytest.importorskip("h5netcdf")
    clay = 100.0 + 10.0 * np.arange(20.0)[None, :] + 100.0 * np.arange(6.0)[:, None]
    clay[2, 8] = np.nan
    grid = xarray.Dataset(
        {
            "clay": (("lat", "lon"), clay, {"units": "g/kg"}),
            "sand": (("lat", "lon"), np.full(clay.shape, 30.0), {"units": "%"}),
            "soc": (("depth", "lat", "lon"), np.stack([np.full(clay.shape, v) for v in (200.0, 100.0, 10.0)]),
                    {"units": "dg/kg"}),
        },
        coords={"lat": 49.0 - 0.1 * np.arange(6), "lon": 16.0 + 0.1 * np.arange(20), "depth": [2.5, 10.0, 80.0]},
        attrs={"title": "an invented grid"},
    )  # fmt: skip
    path = tmp_path / "soil.nc"
    grid.to_netcdf(path, engine="h5netcdf")
    soil = soil_from_grid(path, 48.81, 16.69, told={})
    assert soil.clay.mid == pytest.approx(0.37)
    assert 0.26 <= soil.clay.low < 0.37 < soil.clay.high <= 0.48
    assert soil.organic_matter is not None
    assert soil.organic_matter.mid == pytest.approx(0.015 * 1.724)
    assert (soil.places, soil.source, soil.depth_cm) == (8, "an invented grid", (0.0, 10.0))
    sea = soil_from_grid(path, 48.80, 16.80, told={})
    assert sea.nearest_km > 5.0
    with pytest.raises(InputFault, match="holds the place"):
        soil_from_grid(path, 10.0, 16.0, told={})
