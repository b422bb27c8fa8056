"""Saxton and Rawls 2006, Table 3: water of twelve texture classes; and the triangle that names a texture."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from mullbed.files.texture_triangle import texture_of
from mullbed.processes.soil_texture import (
    bulk_density,
    field_capacity,
    saturated_conductivity,
    saturated_water,
    wilting_point,
)
from mullbed.reference.soils import all_textures

WHOLE_PER_CENT = 0.6
"""[% of volume] Half of the last printed digit, and 0.1 for rows the authors rounded the other way."""
TABLE = Path(__file__).parent / "data" / "saxton2006.csv"


def classes() -> list[dict[str, str]]:
    return list(csv.DictReader(line for line in TABLE.read_text(encoding="utf-8").splitlines() if line[:1] != "#"))


def shares(row: dict[str, str]) -> tuple[float, float, float]:
    return float(row["sand_percent"]) / 100, float(row["clay_percent"]) / 100, float(row["organic_matter_percent"])


@pytest.mark.parametrize("row", classes(), ids=lambda row: row["class"])
def test_water_of_a_texture_class_is_as_printed(row: dict[str, str]) -> None:
    found = [100 * of(*shares(row)) for of in (wilting_point, field_capacity, saturated_water)]
    printed = [float(row[name]) for name in ("wilting_percent", "capacity_percent", "saturated_percent")]
    assert found == pytest.approx(printed, abs=WHOLE_PER_CENT)


@pytest.mark.parametrize("row", classes(), ids=lambda row: row["class"])
def test_conductivity_and_density_of_a_texture_class(row: dict[str, str]) -> None:
    wilting, capacity, saturated = (of(*shares(row)) for of in (wilting_point, field_capacity, saturated_water))
    # published: printed to 0.1 mm/h, so 0.06 where it is small; 0.1 % where it is large
    found = saturated_conductivity(saturated, capacity, wilting)
    assert found == pytest.approx(float(row["conductivity_mm_h"]), abs=0.06, rel=0.001)
    assert bulk_density(saturated) / 1000 == pytest.approx(float(row["density_g_cm3"]), abs=0.001)
    slope = (math.log(capacity) - math.log(wilting)) / (math.log(1500.0) - math.log(33.0))
    assert slope == pytest.approx(float(row["lambda"]), abs=0.001)


def test_the_soils_table_holds_the_twelve_classes_of_the_paper() -> None:
    printed = {row["class"]: shares(row)[:2] for row in classes()}
    assert {name.replace("_", " "): found for name, found in all_textures().items()} == printed


@pytest.mark.parametrize("row", classes(), ids=lambda row: row["class"])
def test_the_triangle_names_the_middle_of_each_class(row: dict[str, str]) -> None:
    sand, clay, _ = shares(row)
    assert texture_of(sand, clay) == row["class"]


INSIDE = [  # sand, clay in %, class; known: points read off the drawn triangle, away from every line
    (92, 4, "sand"), (83, 6, "loamy sand"), (65, 12, "sandy loam"), (55, 3, "sandy loam"), (42, 18, "loam"),
    (20, 15, "silt loam"), (6, 6, "silt"), (60, 27, "sandy clay loam"), (33, 33, "clay loam"),
    (10, 33, "silty clay loam"), (52, 42, "sandy clay"), (6, 46, "silty clay"), (20, 60, "clay"), (5, 90, "clay"),
]  # fmt: skip
EDGES = [  # sand, clay in %, class; Soil Survey Manual, ch. 3 (from memory): which class holds its own border
    (100, 0, "sand"), (0, 100, "clay"), (0, 0, "silt"), (85, 0, "loamy sand"), (70, 0, "sandy loam"),
    (90, 10, "loamy sand"), (85, 15, "sandy loam"), (52, 20, "loam"), (52, 7, "loam"), (53, 19, "sandy loam"),
    (50, 0, "silt loam"), (51, 0, "sandy loam"), (20, 0, "silt"), (8, 12, "silt loam"), (0, 12, "silt loam"),
    (23, 27, "clay loam"), (24, 26, "silt loam"), (45, 27, "clay loam"), (20, 27, "silty clay loam"),
    (21, 27, "clay loam"), (46, 35, "sandy clay"), (45, 35, "clay loam"), (80, 20, "sandy clay loam"),
    (46, 26, "loam"), (47, 26, "sandy clay loam"), (65, 35, "sandy clay"), (45, 55, "clay"), (20, 40, "silty clay"),
    (21, 40, "clay"), (0, 60, "silty clay"), (0, 40, "silty clay"), (0, 39, "silty clay loam"), (45, 40, "clay"),
]  # fmt: skip


@pytest.mark.parametrize(("sand", "clay", "name"), INSIDE + EDGES)
def test_the_triangle_names_points_inside_and_on_borders(sand: int, clay: int, name: str) -> None:
    assert texture_of(sand / 100, clay / 100) == name


def regions(sand: int, clay: int) -> list[str]:
    """Return every class whose region holds a point; the twelve regions as the handbook words them, from memory."""
    silt = 100 - sand - clay
    holds = {
        "sand": silt + 1.5 * clay < 15,
        "loamy sand": silt + 1.5 * clay >= 15 and silt + 2 * clay < 30,
        "sandy loam": (7 <= clay < 20 and sand > 52 and silt + 2 * clay >= 30)
        or (clay < 7 and silt < 50 and silt + 2 * clay >= 30),
        "loam": 7 <= clay < 27 and 28 <= silt < 50 and sand <= 52,
        "silt loam": (silt >= 50 and 12 <= clay < 27) or (50 <= silt < 80 and clay < 12),
        "silt": silt >= 80 and clay < 12,
        "sandy clay loam": 20 <= clay < 35 and silt < 28 and sand > 45,
        "clay loam": 27 <= clay < 40 and 20 < sand <= 45,
        "silty clay loam": 27 <= clay < 40 and sand <= 20,
        "sandy clay": clay >= 35 and sand > 45,
        "silty clay": clay >= 40 and silt >= 40,
        "clay": clay >= 40 and sand <= 45 and silt < 40,
    }
    return [name for name, held in holds.items() if held]


def test_every_whole_per_cent_of_the_triangle_is_one_class_and_ours_is_that_one() -> None:
    points = [(sand, clay) for sand in range(101) for clay in range(101 - sand)]
    assert len(points) == 5151
    told = [
        f"{sand} % sand, {clay} % clay: {regions(sand, clay)}, not {texture_of(sand / 100, clay / 100)}"
        for sand, clay in points
        if regions(sand, clay) != [texture_of(sand / 100, clay / 100)]
    ]
    assert not told, f"{len(told)} of {len(points)}:\n" + "\n".join(told[:20])


@pytest.mark.parametrize(("sand", "clay"), [(0.7, 0.5), (1.0, 0.01), (-0.1, 0.2), (0.2, -0.1), (math.nan, 0.2)])
def test_shares_that_are_no_soil_are_refused(sand: float, clay: float) -> None:
    with pytest.raises(ValueError, match="not shares"):
        texture_of(sand, clay)


def test_more_organic_matter_holds_more_water_in_sand() -> None:
    rising = [field_capacity(0.80, 0.05, matter) - wilting_point(0.80, 0.05, matter) for matter in (1.0, 2.5, 5.0, 8.0)]
    assert rising == sorted(rising)
    assert rising[-1] > rising[0] + 0.02
