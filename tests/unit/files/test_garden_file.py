"""Garden files that are sound: what is written is what the garden holds."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest

from mullbed.domain.bed import CropResidues, Irrigation, PhosphorusStatus
from mullbed.domain.garden import Garden, Profile, UnitSystem
from mullbed.domain.spread import Evidence
from mullbed.errors import InputFault
from mullbed.files.bundled_garden import bundled_garden
from mullbed.files.garden_file import parse_garden, read_garden
from mullbed.reference.containers import find_container
from mullbed.reference.residues import find_residue

DATA = Path(__file__).parents[2] / "data"
SOUND = (DATA / "sound_garden.toml").read_text(encoding="utf-8")


def garden(*changes: tuple[str, str], extra: str = "") -> Garden:
    """Return the sound garden with some text replaced and some added."""
    text = SOUND
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return parse_garden(text + extra, "garden.toml", DATA)


def test_the_sound_garden_is_read() -> None:
    read = garden()
    assert (read.first_day, read.last_day) == (date(2027, 3, 15), date(2027, 10, 31))
    assert read.site.name == "Test Garden"
    assert read.site.weather.monthly_rain is not None
    assert read.site.units is UnitSystem.METRIC
    bed = read.beds[0]
    assert bed.area == pytest.approx(7.2)  # known: 1.2 x 6
    assert (bed.soil.texture, bed.soil.sand, bed.soil.clay) == ("loam", 0.40, 0.20)
    assert bed.soil.organic_matter.evidence is Evidence.GUESS
    assert bed.crops[0].crop == "tomato"
    assert bed.crops[0].share == 1.0
    supply = read.supplies[0]
    assert (supply.container, supply.count, supply.every_days) == ("barrow", 2.0, 10)
    assert supply.residue == find_residue("grass clippings").key


def test_the_bundled_garden_is_read_whole() -> None:
    read = read_garden(bundled_garden())
    assert len(read.beds) == 12
    assert sum(bed.under_cover for bed in read.beds) == 1
    assert [bed.name for bed in read.beds if bed.soil.phosphorus_status is PhosphorusStatus.HIGH] == ["South Tunnel"]
    assert len({crop.crop for bed in read.beds for crop in bed.crops}) >= 15
    assert [supply.residue for supply in read.supplies if supply.held_because] == ["hay_grass"]
    assert read.site.weeks_away == ((date(2027, 8, 9), date(2027, 8, 22)),)
    assert any(container.weighed for container in read.containers)
    assert read.site.weather.daily_file is not None
    assert read.site.weather.daily_file.is_file()
    assert all(bed.layers[0].thickness > 0.03 for bed in read.beds if bed.layers)


def test_amounts_in_us_units_and_with_decimal_comma_are_understood() -> None:
    read = garden(('size = "1.2 m x 6 m"', 'size = "4 x 8 ft"\nwater_per_week = "1 in"'), ("2 barrow", "2,5 barrow"))
    assert read.beds[0].area == pytest.approx(4 * 8 * 0.3048**2)
    assert read.beds[0].watering.depth_per_week == pytest.approx(25.4)
    assert read.supplies[0].count == 2.5


def test_monthly_means_may_be_in_fahrenheit_and_inches() -> None:
    text = re.sub(r"monthly_low = .*", f"monthly_low = {[41] * 12}", SOUND)
    text = re.sub(r"monthly_high = .*", f"monthly_high = {[77] * 12}", text)
    text = re.sub(r"monthly_rain = .*", f'monthly_rain = {[5.5] * 12}\nunits = "us"', text)
    weather = parse_garden(text, "garden.toml", DATA).site.weather
    assert weather.monthly_low == pytest.approx((5.0,) * 12)  # known: 41 °F
    assert weather.monthly_high == pytest.approx((25.0,) * 12)  # known: 77 °F
    assert weather.monthly_rain == pytest.approx((139.7,) * 12)  # known: 5.5 in


def test_an_outline_gives_area_by_its_corners() -> None:
    read = garden(('size = "1.2 m x 6 m"', "outline = [[0, 0], [4, 0], [4, 3]]"))
    assert read.beds[0].area == pytest.approx(6.0)  # known: half of 4 x 3
    backwards = garden(('size = "1.2 m x 6 m"', "outline = [[4, 3], [4, 0], [0, 0], [4, 3]]"))
    assert backwards.beds[0].area == pytest.approx(6.0)


def test_litres_a_week_become_millimetres_on_the_bed() -> None:
    read = garden(('size = "1.2 m x 6 m"', 'size = "1.2 m x 6 m"\nwatering = "drip"\nwater_per_week = "72 L"'))
    assert read.beds[0].watering.depth_per_week == pytest.approx(10.0)  # known: 72 L on 7.2 m2
    assert read.beds[0].watering.way is Irrigation.DRIP


def test_sand_and_clay_name_the_texture() -> None:
    read = garden(('texture = "loam"', 'sand = "65 %"\nclay = 0.1\norganic_matter = "4,5 %"\nphosphorus = "very high"'))
    soil = read.beds[0].soil
    assert soil.texture == "sandy loam"
    assert soil.organic_matter.mid == pytest.approx(0.045)
    assert soil.organic_matter.evidence is Evidence.MEASURED
    assert soil.phosphorus_status is PhosphorusStatus.VERY_HIGH


def test_an_own_container_beats_the_table_and_carries_its_weighing() -> None:
    own = '[[containers]]\nname = "barrow"\nholds = "60 L"\n'
    own += 'weighings = [{ residue = "grass clippings", mass = "30 lb" }]\n\n[[supplies]]'
    read = garden(("[[supplies]]", own))
    assert read.containers[0].litres.mid == 60.0
    assert read.containers[0].litres.evidence is Evidence.MEASURED
    assert dict(read.containers[0].weighed)["grass_clip"] == pytest.approx(30 * 0.45359237)
    assert find_container("barrow").litres.mid != 60.0


def test_layers_that_lie_there_become_lifts_from_the_soil_up() -> None:
    layer = (
        '[[beds.layers]]\nday = 2027-02-20\nlifts = ["straw: 50 mm", "grass clippings: 2 bucket"]\nwater = "14.4 L"\n'
    )
    read = garden(("[[supplies]]", layer + "\n[[supplies]]"))
    (laid,) = read.beds[0].layers
    assert [lift.residue for lift in laid.lifts] == ["straw_general", "grass_clip"]
    assert laid.lifts[0].thickness == pytest.approx(0.05)
    assert laid.water == pytest.approx(2.0)  # known: 14.4 L on 7.2 m2
    assert laid.lifts[1].fresh
    assert not laid.lifts[0].fresh


def test_mixed_planting_up_to_the_whole_bed_and_crops_one_after_the_other_are_normal() -> None:
    more = "\n".join(
        f'[[beds.crops]]\ncrop = "{crop}"\nshare = {share}\nplanted = {planted}\nharvested = {harvested}\n'
        for crop, share, planted, harvested in (
            ("basil", 0.4, "2027-05-25", "2027-08-30"),
            ("radish", 1.0, "2027-04-01", "2027-05-20"),
        )
    )
    read = garden(
        ("harvested = 2027-09-30", "harvested = 2027-09-30\nshare = 0.6"), ("[[supplies]]", more + "[[supplies]]")
    )
    assert len(read.beds[0].crops) == 3


def test_residues_carried_off_become_a_supply_and_those_left_do_not() -> None:
    read = garden(("harvested = 2027-09-30", 'harvested = 2027-09-30\ngives = "tomato vines: 2 barrow"'))
    given = read.supplies[-1]
    assert (given.residue, given.count, given.first_day) == ("top_tomato", 2.0, date(2027, 9, 30))
    assert given.name is not None
    assert given.name.endswith("from North")
    with pytest.raises(InputFault, match="only residues that are carried off"):
        garden(
            ("harvested = 2027-09-30", 'harvested = 2027-09-30\nresidues = "left"\ngives = "tomato vines: 2 barrow"')
        )


def test_what_happens_to_residues_and_how_a_crop_begins_are_kept() -> None:
    read = garden(("harvested = 2027-09-30", 'harvested = 2027-09-30\nresidues = "cut in place"\nstart = "sown"'))
    assert read.beds[0].crops[0].residues is CropResidues.CUT_IN_PLACE
    assert read.beds[0].crops[0].sown_direct
    assert not garden().beds[0].crops[0].sown_direct


def test_like_copies_what_is_not_said_and_scales_what_lies_there() -> None:
    layer = '[[beds.layers]]\nday = 2027-02-20\nlifts = ["dry leaves: 3 barrow"]\n'
    alike = '[[beds]]\nname = "South"\nlike = "north"\nsize = "1.2 m x 3 m"\nshade = "20 %"\n\n[[supplies]]'
    read = garden(("[[supplies]]", layer + alike))
    north, south = read.beds
    assert south.area == pytest.approx(3.6)
    assert south.crops == north.crops
    assert (north.shade, south.shade) == (0.0, 0.2)
    assert south.layers[0].bed == "South"
    assert south.layers[0].lifts[0].count == pytest.approx(1.5)
    assert south.layers[0].dry_matter == pytest.approx(north.layers[0].dry_matter)


def test_sixty_beds_by_like_and_count() -> None:
    alike = '[[beds]]\nname = "Row"\nlike = "North"\ncount = 59\nsize = "0.75 m x 10 m"\n\n[[supplies]]'
    read = garden(("[[supplies]]", alike))
    assert len(read.beds) == 60
    assert len({bed.name for bed in read.beds}) == 60
    assert read.beds[-1].name == "Row 59"
    assert read.bed("row 17") is read.beds[17]


def test_sixty_beds_from_a_list(tmp_path: Path) -> None:
    rows = ["name,like,size,texture,shade,crop,planted,harvested"]
    rows += [f"Plot {n},North,1 m x {n} m,,,,," for n in range(1, 50)]
    rows += [f"Herb {n},,2 m x 2 m,clay loam,10 %,basil,2027-05-20,2027-09-01" for n in range(1, 11)]
    (tmp_path / "beds.csv").write_text("\n".join(rows), encoding="utf-8")
    read = parse_garden('beds_file = "beds.csv"\n' + SOUND, "garden.toml", tmp_path)
    assert len(read.beds) == 60
    plot = read.bed("Plot 7")
    herb = read.bed("Herb 3")
    assert plot is not None
    assert herb is not None
    assert plot.area == pytest.approx(7.0)
    assert plot.crops == read.beds[0].crops
    assert (herb.soil.texture, herb.shade, herb.crops[0].crop) == ("clay loam", 0.1, "basil")


def test_a_fault_in_the_list_names_its_file_and_line(tmp_path: Path) -> None:
    (tmp_path / "beds.csv").write_text("name;size\nA;1 m x 2 m\n\nB;1 m x -2 m\n", encoding="utf-8")
    with pytest.raises(InputFault) as caught:
        parse_garden('beds_file = "beds.csv"\n' + SOUND, "garden.toml", tmp_path)
    (fault,) = caught.value.faults
    assert fault.place.endswith("beds.csv, line 4, row[2].size")


def test_limits_keep_their_defaults_unless_they_are_given() -> None:
    read = garden(("[soil]", '[limits]\nlegal_nitrogen_per_year = "170 kg/ha"\nwater_per_day = "30 gal"\n\n[soil]'))
    assert read.limits.legal_nitrogen_per_year == pytest.approx(17.0)  # known: 1 kg/ha is 0.1 g/m2
    assert read.limits.litres_per_day == pytest.approx(30 * 3.785411784)
    assert read.limits.nitrogen_fed_share == 1.2
    assert read.limits.legal_phosphorus_per_year is None


def test_a_garden_with_nothing_to_lay_can_still_be_forecast() -> None:
    text = SOUND[: SOUND.index("[[supplies]]")]
    assert parse_garden(text, "garden.toml", DATA, needs_supplies=False).supplies == ()


def test_site_words_are_kept() -> None:
    site = 'latitude = 47.6\nelevation = "390 ft"\ntime_zone = "Europe/Vienna"\nunits = "us"\nprofile = "school"'
    read = garden(("latitude = 47.6", site)).site
    assert read.elevation == pytest.approx(118.9, abs=0.1)
    assert (read.time_zone, read.units, read.profile) == ("Europe/Vienna", UnitSystem.US, Profile.SCHOOL)


def test_compost_and_fertiliser_are_dated_nutrients() -> None:
    given = '[[beds.inputs]]\nday = 2027-04-10\nname = "compost"\nnitrogen = "80 kg/ha"\nmineral_share = "5 %"\n\n'
    (compost,) = garden(("[[supplies]]", given + "[[supplies]]")).beds[0].inputs
    assert (compost.nitrogen, compost.mineral_share, compost.phosphorus) == (pytest.approx(8.0), 0.05, 0.0)


def test_the_example_of_the_guide_is_a_sound_garden(repository: Path) -> None:
    guide = (repository / "docs" / "howto" / "describe-your-garden.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```toml\n# garden\.toml\n(.*?)```", guide, re.S)
    assert len(blocks) == 1
    read = parse_garden(blocks[0], "docs/howto/describe-your-garden.md", DATA)
    assert len(read.beds) >= 3
    assert len(read.supplies) >= 3


def test_every_key_the_reader_knows_is_in_the_guide(repository: Path) -> None:
    guide = (repository / "docs" / "howto" / "describe-your-garden.md").read_text(encoding="utf-8")
    keys = set()
    for path in (repository / "src" / "mullbed" / "files").glob("*.py"):
        if path.name in {
            "trial_file.py",
            "trial_share.py",
            "neighbourhood_file.py",
            "region_file.py",
            "region_gardens.py",
        }:  # with guides of their own
            continue
        source = path.read_text(encoding="utf-8")
        keys |= set(
            re.findall(r"\.(?:text|number|whole|flag|word|day|table|tables|numbers|parsed|raw)\(\s*\"(\w+)\"", source)
        )
    assert len(keys) > 50
    named = set(re.findall(r"[`.\[](\w+)[`\]]", guide))
    assert keys - named == set()


def test_the_list_of_beds_in_the_guide_is_read_with_its_garden(repository: Path, tmp_path: Path) -> None:
    guide = (repository / "docs" / "howto" / "describe-your-garden.md").read_text(encoding="utf-8")
    (text,) = re.findall(r"```toml\n# garden\.toml\n(.*?)```", guide, re.S)
    (listed,) = re.findall(r"```csv\n(.*?)```", guide, re.S)
    (tmp_path / "beds.csv").write_text(listed, encoding="utf-8")
    read = parse_garden(f'beds_file = "beds.csv"\n{text}', "garden.toml", tmp_path)
    assert [bed.name for bed in read.beds[-2:]] == ["Plot 1", "Plot 2"]
    assert read.beds[-1].crops[0].crop == "leek"
