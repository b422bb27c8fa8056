"""The crop table: what each crop wants, when, and how well that is known."""

from __future__ import annotations

import pytest

from mullbed.domain.spread import Evidence
from mullbed.errors import NotFound
from mullbed.reference.crops import all_crops, find_crop, matching_crops
from mullbed.reference.tables import csv_table, sources
from mullbed.units import from_canonical


def test_there_are_more_than_sixty_crops_each_with_a_want() -> None:
    table = all_crops()
    assert len(table) > 60
    for key, one in table.items():
        assert key == one.key
        assert one.nitrogen_want.low < one.nitrogen_want.mid < one.nitrogen_want.high, key
        assert one.phosphorus_removed.mid >= 0.0, key
        assert one.yield_goal.mid > 0.0, key


def test_every_crop_names_a_known_source_and_class() -> None:
    for key, one in all_crops().items():
        assert one.source in sources(), key
        for spread in (one.nitrogen_want, one.phosphorus_removed, one.yield_goal):
            assert isinstance(spread.evidence, Evidence), key
            assert spread.source == one.source, key
        if one.nitrogen_want.evidence is Evidence.PUBLISHED:
            assert one.source not in {"from_memory", "common_practice"}, key
    assert all(line["evidence"] and line["source"] for line in csv_table("crops.csv"))


def test_wants_lie_where_the_german_ordinance_puts_them() -> None:
    # published: German Fertiliser Ordinance, Annex 4 Table 4: needs of 60-320 kg/ha, median about 155
    wants = sorted(
        from_canonical(one.nitrogen_want.mid, "kg/ha") for one in all_crops().values() if one.source == "duev2021"
    )
    assert len(wants) > 45
    assert wants[0] >= 60.0
    assert wants[-1] <= 320.0
    assert wants[len(wants) // 2] == pytest.approx(155.0, abs=25.0)


@pytest.mark.parametrize(
    ("name", "left"),  # published: the same ordinance, nitrogen credit of the crop's own residues, kg/ha
    [
        *(("brussels sprouts", 130), ("broccoli", 100), ("courgette (zucchini)", 85), ("cauliflower", 80)),
        *(("white cabbage, fresh", 75), ("pole bean", 70), ("peas", 65), ("savoy cabbage", 80)),
    ],
)
def test_what_a_crop_leaves_is_as_published(name: str, left: float) -> None:
    assert from_canonical(find_crop(name).residue_nitrogen, "kg/ha") == pytest.approx(left, abs=1.0)


def test_stages_add_up_to_a_season_and_cover_grows() -> None:
    for key, one in all_crops().items():
        assert len(one.stage_days) == 4, key
        assert all(days >= 1.0 for days in one.stage_days), key
        assert 25.0 <= sum(one.stage_days) <= 400.0, key
        assert 0.15 < one.basal_at_middle <= 1.2, key
        assert 0.15 < one.basal_at_end <= 1.2, key
        if one.days_to_maturity is not None:
            assert 20.0 < one.days_to_maturity[0] <= one.days_to_maturity[1] < 400.0, key
        if one.root_depth is not None:
            assert 0.1 <= one.root_depth <= 2.5, key


def test_fine_seed_is_always_sown_direct() -> None:
    assert all(one.sown_direct for one in all_crops().values() if one.fine_seed)
    assert find_crop("carrot").fine_seed
    assert not find_crop("broad bean").fine_seed
    assert find_crop("broad bean").sown_direct
    assert not find_crop("tomato").sown_direct
    assert find_crop("spring onions").fine_seed
    assert find_crop("lettuce, red loose-leaf").sown_direct == find_crop("lettuce, green loose-leaf").sown_direct


@pytest.mark.parametrize(
    ("name", "key"),
    [
        *(("tomatoes", "tomato"), ("Leeks", "leek"), ("onions", "onion_bulb"), ("zucchini", "courgette_zucchini")),
        *(("carrots", "carrot_bunched"), ("strawberries", "strawberry_fruiting_year_spring_dose")),
        *(
            ("courgettes", "courgette_zucchini"),
            ("winter rye", "cereal_rye_cover_crop"),
            ("tomatoe", "tomato"),
            ("red cabage", "red_cabbage"),
        ),
    ],
)
def test_a_crop_is_found_by_the_name_a_grower_uses(name: str, key: str) -> None:
    assert find_crop(name).key == key


def test_every_crop_is_found_by_its_key_and_its_name() -> None:
    for key, one in all_crops().items():
        assert find_crop(key).key == key
        assert find_crop(one.name).key == key


def test_a_crop_nobody_knows_is_refused_with_what_is_near() -> None:
    with pytest.raises(NotFound) as caught:
        find_crop("lettuce loose")
    assert caught.value.kind == "crop"
    assert set(caught.value.nearest) == {"lettuce_green_loose_leaf", "lettuce_red_loose_leaf"}
    with pytest.raises(NotFound):
        find_crop("moonflower tree")


def test_words_list_crops() -> None:
    assert {"red_cabbage", "savoy_cabbage"} <= {one.key for one in matching_crops("cabbage")}
    assert len(matching_crops("")) == len(all_crops())
