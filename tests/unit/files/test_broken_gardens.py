"""Broken garden files: each kind is named with place, value, what is allowed and a remedy."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from mullbed.errors import InputFault
from mullbed.files.garden_file import parse_garden, read_garden

DATA = Path(__file__).parents[2] / "data"
SOUND = (DATA / "sound_garden.toml").read_text(encoding="utf-8")

BROKEN = {  # file: where the fault is, what was found, what the remedy says
    "unknown_residue.toml": ("line 27, supplies[1].residue", "'gras clipings'", "Did you mean"),
    "ambiguous_residue.toml": ("line 27, supplies[1].residue", "'lettuce hay compost'", "mullbed residues"),
    "unknown_crop.toml": ("line 22, beds[1].crops[1].crop", "'tomatillo tree'", "mullbed crops"),
    "unknown_container.toml": ("line 28, supplies[1].amount", "'2 wagonload'", "[[containers]]"),
    "negative_amount.toml": ("line 28, supplies[1].amount", "'-2 barrow'", "not negative"),
    "absurd_amount.toml": ("line 28, supplies[1].amount", "'2000000 barrow'", "Correct the number"),
    "zero_amount.toml": ("line 28, supplies[1].amount", "'0 barrow'", "remove a supply"),
    "absurd_weighing.toml": ("line 29, supplies[1].weighed", "900 kg in 85 L", "Weigh one"),
    "bed_without_area.toml": ("line 17, beds[1]", "no area", "Write size"),
    "absurd_area.toml": ("line 19, beds[1].size", "'300 m x 200 m'", "Check number and unit"),
    "negative_area.toml": ("line 19, beds[1].size", "'-1.2 m x 6 m'", "not negative"),
    "crossed_outline.toml": ("line 19, beds[1].outline", "edges cross", "in order"),
    "nan_latitude.toml": ("line 3, site.latitude", "nan", "plain number"),
    "infinite_rain.toml": ("line 12, weather.monthly_rain", "inf among them", "12 numbers"),
    "monthly_fahrenheit.toml": ("line 10, weather.monthly_low", "44 °C in month 4", 'units = "us"'),
    "monthly_swapped.toml": ("weather.monthly_low", "above the high of 2 °C", "Swap the two lists"),
    "no_weather.toml": ("line 12, weather.monthly_snow", "unknown key 'monthly_snow'", "Did you mean"),
    "not_toml.toml": ("not_toml.toml", "line 3", "Mend that line"),
    "not_utf8.toml": ("line 2", "byte 0xe4 is not UTF-8", "UTF-8"),
    "empty.toml": ("empty.toml", "empty", "Describe the garden"),
    "misspelt_key.toml": ("line 21, beds[1].crops[1]", "harvested is missing", "Write harvested"),
    "share_above_one.toml": ("beds[1].crops", "140% of the bed on 2027-06-01", "Lower the shares"),
    "season_backwards.toml": ("line 7, season.last_day", "-134 days", "after first_day"),
    "crop_outside_season.toml": ("line 23, beds[1].crops[1].planted", "2017-05-20", "Correct the date"),
    "supply_after_season.toml": ("line 29, supplies[1].from", "2028-04-01", "next season"),
    "two_beds_one_name.toml": ("line 27, beds[2].name", "'north' twice", "another name"),
    "like_nobody.toml": ("line 28, beds[2].like", "'Nrth'", "Did you mean 'north'"),
    "absurd_count.toml": ("line 19, beds[1].count", "100000", "whole number"),
    "sand_and_clay.toml": ("line 16, soil.clay", "110%", "the rest is silt"),
    "zero_ceiling.toml": ("line 16, limits.nitrogen_fed_share", "0", "ceiling of zero"),
    "impossible_layer.toml": ("line 28, beds[1].layers[1].lifts", "10.63 m thick", "Check the amounts"),
    "no_supplies.toml": ("no_supplies.toml", "no supplies", "Add a header [[supplies]]"),
    "no_beds.toml": ("no_beds.toml", "no beds", "Add a header [[beds]]"),
    "bed_list_unknown_column.toml": ("beds_unknown_column.csv, line 1", "unknown column 'sise'", "'size'"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_each_broken_garden_is_named_with_place_value_allowed_and_remedy(name: str) -> None:
    with pytest.raises(InputFault) as caught:
        read_garden(DATA / "broken" / name)
    first = caught.value.faults[0]
    place, value, remedy = BROKEN[name]
    assert place in first.place
    assert value in first.value
    assert first.allowed
    assert remedy in first.remedy


def test_every_broken_garden_in_the_folder_is_tested() -> None:
    other = {"dates_outside_weather.toml", "everything_at_once.toml"}  # tested below and in weather
    assert {path.name for path in (DATA / "broken").glob("*.toml")} == set(BROKEN) | other


def test_all_faults_are_found_in_one_pass() -> None:
    with pytest.raises(InputFault) as caught:
        read_garden(DATA / "broken" / "everything_at_once.toml")
    places = [fault.place.partition(", ")[2] for fault in caught.value.faults]
    assert places == [
        "line 3, site.latitude",
        "line 15, soil.textur",
        "line 14, soil",
        "line 17, beds[1]",
        "line 21, beds[1].crops[1].crop",
        "line 27, supplies[1].amount",
    ]


def test_a_200_mb_garden_is_refused_before_it_is_read(tmp_path: Path) -> None:
    huge = tmp_path / "garden.toml"
    with huge.open("wb") as stream:
        stream.truncate(200_000_000)
    with pytest.raises(InputFault, match="200 MB is too large"):
        read_garden(huge)


def test_a_missing_file_and_a_folder_are_named(tmp_path: Path) -> None:
    with pytest.raises(InputFault, match="cannot be read"):
        read_garden(tmp_path / "garden.toml")
    with pytest.raises(InputFault, match="not a plain file"):
        read_garden(tmp_path)


def test_a_missing_list_of_beds_is_a_fault_beside_the_others(tmp_path: Path) -> None:
    text = 'beds_file = "nowhere.csv"\n' + SOUND.replace("47.6", "470")
    with pytest.raises(InputFault) as caught:
        parse_garden(text, "garden.toml", tmp_path)
    assert "470" in str(caught.value)
    assert "nowhere.csv" in str(caught.value)


def refused_or_read(text: str) -> None:
    """Read the text; anything but a garden or a complete fault fails the test."""
    try:
        parse_garden(text, "fuzz.toml", DATA)
    except InputFault as fault:
        assert fault.faults
        assert all(one.place and one.value and one.allowed and one.remedy for one in fault.faults)
        assert all(one.value.isprintable() for one in fault.faults)


@settings(max_examples=100, deadline=None)
@given(text=st.text(max_size=300))
@example(text="a = " + "[" * 5000)
@example(text="a = " + "{a=" * 5000)
@example(text="a = " + "9" * 5000)
@example(text="[" + " " * 100_000 + "x")
def test_any_text_is_read_or_refused_and_never_crashes(text: str) -> None:
    refused_or_read(text)


ODD_VALUES = """
    nan inf -1 0 true [] {} "" "x" 1e308 2027-01-01 12:00:00 [[1]] 2027-01-01T00:00:00 "1e400kg" "3kg" "-2bucket"
    "\\u0000" [1,nan] [{a=1}] 0001-01-01 9999-12-31 "straw:1/0bag" "straw:" "%" "1x2x3m" "1,000kg" "9x9m" "50%"
"""
VALUES = st.sampled_from([*ODD_VALUES.split(), "9" * 400, '"' + "9" * 100 + '/3 m"', '"1 m x 2 m x 3 m"'])
KEYED = [number for number, line in enumerate(SOUND.splitlines()) if " = " in line]


@settings(max_examples=300, deadline=None)
@given(edits=st.lists(st.tuples(st.sampled_from(KEYED), VALUES), min_size=1, max_size=4))
def test_any_value_in_any_place_is_read_or_refused_and_never_crashes(edits: list[tuple[int, str]]) -> None:
    lines = SOUND.splitlines()
    for number, value in edits:
        lines[number] = f"{lines[number].partition(' = ')[0]} = {value}"
    refused_or_read("\n".join(lines))


EVERY_KEY = [
    "site.elevation",
    "site.time_zone",
    "site.units",
    "site.profile",
    "site.away",
    "limits.minutes_per_day",
    "limits.water_per_day",
    "limits.thickest_cover",
    "limits.days_between_layers",
    "limits.legal_nitrogen_per_year",
    "containers",
    "containers.weighings",
    "beds.outline",
    "beds.area",
    "beds.like",
    "beds.count",
    "beds.soil",
    "beds.cover",
    "beds.shade",
    "beds.watering",
    "beds.water_per_week",
    "beds.kept_moist",
    "beds.layers",
    "beds.inputs",
    "beds.crops.share",
    "beds.crops.start",
    "beds.crops.residues",
    "beds.crops.gives",
    "beds.crops.yield_goal",
    "supplies.every",
    "supplies.until",
    "supplies.keeps",
    "supplies.weighed",
    "supplies.held_until",
    "supplies.minutes_to_fetch",
    "supplies.dried",
    "supplies.name",
    "beds_file",
]


@settings(max_examples=300, deadline=None)
@given(key=st.sampled_from(EVERY_KEY), value=VALUES)
def test_any_value_for_any_optional_key_is_read_or_refused_and_never_crashes(key: str, value: str) -> None:
    table, _, name = key.rpartition(".")
    header = {"": "", "site": "[site]", "limits": "[limits]", "containers": "[[containers]]"}.get(table, f"[[{table}]]")
    line = f"{name} = {value}"
    if not header:
        refused_or_read(f"{line}\n{SOUND}")
    elif header in SOUND:
        refused_or_read(SOUND.replace(header, f"{header}\n{line}", 1))
    else:
        refused_or_read(f"{SOUND}\n{header}\n{line}\n")
