"""The garden file: TOML in, a garden out, or every fault at once with its line and remedy."""

from __future__ import annotations

from pathlib import Path

from mullbed.domain.garden import Garden
from mullbed.errors import Fault
from mullbed.files.bed_table import read_bed_table
from mullbed.files.garden_beds import BedReader
from mullbed.files.garden_containers import read_containers
from mullbed.files.garden_safety import read_overrides
from mullbed.files.garden_site import read_limits, read_season, read_site
from mullbed.files.garden_soil import read_soil
from mullbed.files.garden_supplies import read_supplies
from mullbed.files.plain_text import read_plain_text
from mullbed.files.toml_root import toml_root


def read_garden(path: Path, *, needs_supplies: bool = True) -> Garden:
    """Return the garden a file describes.

    Parameters
    ----------
    path : Path
        The garden file; files it names are taken from its folder.
    needs_supplies : bool
        False where a garden with nothing to lay is no fault, such as for a forecast of what lies there.

    Raises
    ------
    InputFault
        With every fault of the file: place, what was found, what is allowed and the remedy.
    """
    return parse_garden(
        read_plain_text(path, "a garden file (TOML)"), str(path), path.parent, needs_supplies=needs_supplies
    )


def parse_garden(text: str, place: str, folder: Path, *, needs_supplies: bool = True) -> Garden:
    """Return the garden that TOML text describes; ``place`` names it in faults, ``folder`` holds files it names.

    Raises
    ------
    InputFault
        With every fault of the text.
    """
    root = toml_root(text, place)
    reading = root.reading
    season = read_season(root)
    site = read_site(root, folder)
    limits = read_limits(root)
    containers = read_containers(root)
    soil_table = root.table("soil")
    soil = read_soil(soil_table) if soil_table is not None else None
    beds_file = root.text("beds_file")
    beds = root.tables("beds")
    if season is None:
        reading.raise_faults()  # dates cannot be judged without a season
        raise AssertionError("a season that is missing is a fault")
    reader = BedReader(season, containers, soil, soil_faulty=soil_table is not None and soil is None)
    for table in beds:
        reader.read(table)
    if beds_file is not None:
        read_bed_table(folder / beds_file, reader, reading)
    if not beds and beds_file is None:
        remedy = "Add a header [[beds]] with name, size and soil for each bed."
        reading.faults.append(Fault(place, "no beds", "at least one bed", remedy))
    elif not reader.beds and not reading.faults:
        reading.faults.append(Fault(place, "no beds", "at least one bed", "Add a row for each bed to the list."))
    supplies = (*read_supplies(root, season, containers), *reader.supplies)
    if needs_supplies and not root.has("supplies") and not supplies:
        remedy = "Add a header [[supplies]] with residue and amount for each thing you can lay."
        reading.faults.append(Fault(place, "no supplies", "at least one residue in hand or expected", remedy))
    overrides = read_overrides(root, tuple(bed.name for bed in reader.beds))
    root.no_others()
    reading.raise_faults()
    if site is None:
        raise AssertionError("a site that is missing is a fault")
    return Garden(
        site=site,
        first_day=season[0],
        last_day=season[1],
        beds=tuple(reader.beds),
        supplies=supplies,
        containers=containers,
        limits=limits,
        overrides=overrides,
    )
