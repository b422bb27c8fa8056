"""Write a region of 2,000 invented gardens on places with recorded weather: region.toml, gardens.csv, weather.

``region_demo.py FOLDER`` writes it; ``--gardens``, ``--members`` and ``--years`` change its size. The weather is open
data beside the repository (MULLBED_SHARED may point elsewhere); gardens, soils and ways are our own.
"""

from __future__ import annotations

import argparse
import csv
import os
from pathlib import Path

import numpy as np

REPOSITORY = Path(__file__).resolve().parent.parent
#: Names of the open tables' columns, and ours.
COLUMNS = {"date": "date", "tmin_c": "tmin_c", "tmax_c": "tmax_c", "precip_mm": "precip_mm", "srad_mj_m2": "srad",
           "et0_mm": "et0"}  # fmt: skip
SOILS = {
    "sandy": ("sandy loam", "2 %"), "loamy": ("loam", "3.5 %"), "silty": ("silt loam", "3 %"),
    "heavy": ("clay loam", "4.5 %"),
}  # fmt: skip
SPEC = """# Invented gardens on places with recorded weather.
name = "Invented gardens in {places} climates"
gardens = "gardens.csv"
members = {members}
seed = 8

[season]
first_day = 2027-04-01
weeks = 30
years = {years}
south_half_a_year_later = true

[crop]
crop = "white_cabbage_fresh"
planted = 2027-05-10
harvested = 2027-10-10

[[ways]]
name = "thin, every four weeks"
[[ways.layers]]
lifts = ["grass clippings: 2 mm", "dry leaves: 5 mm"]
first = 2027-04-15
every = "4 weeks"
times = 5

[[ways]]
name = "thick, twice"
[[ways.layers]]
lifts = ["grass clippings: 8 mm", "straw: 40 mm"]
days = [2027-04-15, 2027-07-01]

[[ways]]
name = "straw alone"
[[ways.layers]]
lifts = ["straw: 60 mm"]
days = [2027-04-15]

[[ways]]
name = "plenty, every fortnight"
[[ways.layers]]
lifts = ["grass clippings: 8 mm", "dry leaves: 8 mm"]
first = 2027-04-15
every = "2 weeks"
times = 12
"""


def shared_weather() -> Path:
    """Return the folder of recorded weather."""
    named = os.environ.get("MULLBED_SHARED")
    return (Path(named) if named else REPOSITORY.parent / "shared") / "data" / "weather"


def write_demo(folder: Path, gardens: int = 2000, members: int = 16, years: int = 10) -> Path:
    """Write the region and return its file."""
    folder.mkdir(parents=True, exist_ok=True)
    source = shared_weather()
    with (source / "places.csv").open(encoding="utf-8") as stream:
        rows = list(csv.DictReader(line for line in stream if not line.startswith("#")))
    text = SPEC.format(places="{places}", members=members, years=years)
    kept = []
    for row in rows:
        key = row["place"].casefold()
        if not _write_station(source / f"{key}.csv", folder / f"{key}.csv", row):
            continue  # means of the day alone
        kept.append((key, row["place"].replace("_", " "), float(row["lat"]), float(row["lon"])))
        height = f'elevation = "{row["elev_m"]} m"\n' if row["elev_m"] else ""
        text += f'\n[weather.{key}]\nfile = "{key}.csv"\nlatitude = {float(row["lat"]):.3f}\n{height}'
    for key, (texture, matter) in SOILS.items():
        text += f'\n[soils.{key}]\ntexture = "{texture}"\norganic_matter = "{matter}"\n'
    _write_gardens(folder / "gardens.csv", kept, gardens)
    path = folder / "region.toml"
    path.write_text(text.replace("{places}", str(len(kept))), encoding="utf-8")
    return path


def _write_station(source: Path, target: Path, about: dict[str, str]) -> bool:
    with source.open(encoding="utf-8") as stream:
        table = csv.DictReader(line for line in stream if not line.startswith("#"))
        there = [name for name in COLUMNS if name in (table.fieldnames or [])]
        if "tmin_c" not in there:
            return False
        with target.open("w", encoding="utf-8", newline="") as out:
            out.write(f"# source: {about['place']}: {about['source']}; {about['licence']}\n")
            writer = csv.writer(out)
            writer.writerow([COLUMNS[name] for name in there])
            writer.writerows([row[name] for name in there] for row in table)
    return True


def _write_gardens(path: Path, places: list[tuple[str, str, float, float]], count: int) -> None:
    """Scatter gardens within some 25 km around each place, soils as the ground would have them: in patches."""
    chances = np.random.default_rng(2027)
    soils = list(SOILS)
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow(["name", "latitude", "longitude", "weather", "soil", "district", "area_m2"])
        for number in range(count):
            key, district, latitude, longitude = places[number * len(places) // count]
            north, east = chances.uniform(-0.22, 0.22, 2)
            patch = int(2.0 + 1.2 * np.sin(20.0 * north) + 1.2 * np.cos(17.0 * east + latitude)) % len(soils)
            area = round(float(chances.lognormal(np.log(14.0), 0.6)), 1)
            wide = east / np.cos(np.radians(latitude))
            spot = (f"{latitude + north:.5f}", f"{longitude + wide:.5f}")
            writer.writerow([f"{key} {number}", *spot, key, soils[patch], district, area])


def main() -> None:
    """Write the region where it is asked for."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("folder", type=Path)
    words.add_argument("--gardens", type=int, default=2000)
    words.add_argument("--members", type=int, default=16)
    words.add_argument("--years", type=int, default=10)
    told = words.parse_args()
    print(write_demo(told.folder, told.gardens, told.members, told.years))


if __name__ == "__main__":
    main()
