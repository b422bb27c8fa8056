"""Containers, soils and cautions: sources, ranges, dates, names; and the way any row is found."""

from __future__ import annotations

import re
from datetime import date
from types import ModuleType
from typing import Any

import pytest

from mullbed.domain.spread import Evidence
from mullbed.errors import InputFault, NotFound
from mullbed.reference import containers, hazards, soils
from mullbed.reference.containers import all_containers, find_container
from mullbed.reference.hazards import all_hazards
from mullbed.reference.naming import find_key, index_of, matching_keys, plain
from mullbed.reference.soils import all_textures, find_texture
from mullbed.reference.tables import csv_table, sources, toml_table

PLACEHOLDERS = {"from_memory", "common_practice"}


def test_every_container_has_a_range_a_source_and_a_class() -> None:
    table = all_containers()
    assert len(table) >= 14
    for key, one in table.items():
        assert 0.0 < one.litres.low < one.litres.mid < one.litres.high, key
        assert one.litres.source in sources(), key
        if one.litres.evidence is Evidence.PUBLISHED:
            assert one.litres.source not in PLACEHOLDERS, key


def test_a_bucket_and_a_barrow_are_as_vague_as_growers_are() -> None:
    # derived: users differ 1.9-fold in a bucket; barrows of 2 and 4 ft3 differ twofold
    bucket, barrow = find_container("bucket").litres, find_container("barrow").litres
    assert bucket.high / bucket.low == pytest.approx(1.9, abs=0.05)
    assert barrow.high / barrow.low == pytest.approx(2.0, abs=0.05)
    assert find_container("gallon bucket").litres.mid == pytest.approx(18.9)


@pytest.mark.parametrize(
    ("name", "key"),
    [
        *(("buckets", "bucket"), ("wheelbarrow", "barrow"), ("Mower box", "grass box"), ("sacks", "bag")),
        *(("5-gallon bucket", "gallon bucket"), ("leaf bags", "leaf bag"), ("watering can", "can")),
    ],
)
def test_a_container_is_found_by_the_name_a_grower_uses(name: str, key: str) -> None:
    assert find_container(name).name == key


def test_a_container_nobody_knows_is_refused() -> None:
    with pytest.raises(NotFound) as caught:
        find_container("oil drum")
    assert caught.value.kind == "container"


def test_only_a_bale_is_pressed() -> None:
    assert [key for key, one in all_containers().items() if one.pressed] == ["bale"]


def test_there_are_twelve_soils_each_a_share_of_one() -> None:
    assert len(all_textures()) == 12
    for key, (sand, clay) in all_textures().items():
        assert sand > 0.0, key
        assert clay > 0.0, key
        assert sand + clay < 1.0, key
    assert find_texture("Sandy loam") == ("sandy loam", 0.65, 0.10)
    with pytest.raises(NotFound):
        find_texture("moon rock")


def test_every_caution_says_what_to_do_how_it_is_known_and_when_it_was_checked() -> None:
    table = all_hazards()
    assert len(table) >= 20
    for key, one in table.items():
        assert one.key == key
        assert isinstance(one.checked, date), key
        assert date(2026, 1, 1) <= one.checked < date(2030, 1, 1), key
        assert one.source in sources(), key
        assert isinstance(one.evidence, Evidence), key
        assert one.scope.strip(), key
        for text in (one.word, one.risk, one.action):
            assert text.strip() == text != "", key
        assert one.risk.endswith("."), key
        assert one.action.endswith("."), key


def test_a_caution_called_published_names_its_publication() -> None:
    offenders = [
        key for key, one in all_hazards().items() if one.evidence is Evidence.PUBLISHED and one.source in PLACEHOLDERS
    ]
    assert not offenders


def test_where_people_can_be_hurt_the_caution_defers_to_local_rules() -> None:
    for key in ("raw_manure", "kitchen_scraps", "runoff", "lead", "sewage"):
        words = all_hazards()[key].action.casefold()
        assert re.search(r"local|health office|authority", words), key


def test_every_source_key_of_every_table_is_a_named_publication() -> None:
    used = {line["source"] for name in ("residues.csv", "crops.csv") for line in csv_table(name)}
    used |= {row["source"] for name in ("containers.toml", "hazards.toml") for row in toml_table(name).values()}
    assert len(used) > 25
    assert used <= set(sources())


ROOMS = [
    (containers, containers.all_containers, "containers.toml"),
    (soils, soils.all_textures, "soils.toml"),
    (hazards, hazards.all_hazards, "hazards.toml"),
]


@pytest.mark.parametrize("lacking", ["source", "evidence"])
@pytest.mark.parametrize(("room", "load", "name"), ROOMS, ids=[name for _, _, name in ROOMS])
def test_a_row_without_source_or_class_does_not_load(
    room: ModuleType, load: Any, name: str, lacking: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(file: str) -> dict[str, Any]:
        table = toml_table(file)
        last = list(table)[-1]
        return table | {last: {key: value for key, value in table[last].items() if key != lacking}}

    monkeypatch.setattr(room, "toml_table", broken)
    load.cache_clear()
    try:
        with pytest.raises(InputFault) as caught:
            load()
    finally:
        monkeypatch.undo()
        load.cache_clear()
    (fault,) = caught.value.faults
    assert fault.place.startswith(name)
    assert lacking in fault.value
    assert load()


def test_no_source_stands_for_several_papers() -> None:
    assert "single_papers" not in sources()
    titles = [row["title"] for row in sources().values()]
    assert len(set(titles)) == len(titles)


def test_names_are_compared_without_case_hyphens_and_commas() -> None:
    assert plain("  Lettuce, Butter-head_x ") == "lettuce butter head x"


INDEX = index_of([("a_key", ("Red bean", "")), ("b_key", ("Red pea", "Red bean")), ("c_key", ("Sweet pea",))])


def test_the_first_row_that_claims_a_name_keeps_it() -> None:
    assert INDEX["red bean"] == "a_key"
    assert "" not in INDEX


def test_a_plural_and_a_single_telling_word_find_a_row() -> None:
    assert find_key("thing", "red beans", INDEX) == "a_key"
    assert find_key("thing", "sweet", INDEX) == "c_key"
    assert find_key("thing", "pea sweet", INDEX) == "c_key"


@pytest.mark.parametrize(("name", "near"), [("red", ["a_key", "b_key"]), ("pea", ["b_key", "c_key"]), ("zzz", [])])
def test_what_could_be_two_rows_is_none(name: str, near: list[str]) -> None:
    with pytest.raises(NotFound) as caught:
        find_key("thing", name, INDEX)
    assert list(caught.value.nearest) == near


def test_a_slip_of_the_pen_finds_the_only_near_row_and_a_wilder_one_is_asked_back() -> None:
    assert find_key("thing", "sweat pea", INDEX) == "c_key"
    with pytest.raises(NotFound) as caught:
        find_key("thing", "swet pee", INDEX)
    assert "c_key" in caught.value.nearest


def test_matching_puts_the_exact_name_first() -> None:
    assert matching_keys("red pea", INDEX)[0] == "b_key"
    assert matching_keys("red", INDEX) == ["b_key", "a_key"]
