"""The neighbourhood file: read whole or refused with every fault; lists may stand beside it."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path

import pytest

from mullbed.domain.neighbourhood import Matter, Step, matter_of
from mullbed.domain.record_batches import Answer
from mullbed.errors import InputFault
from mullbed.files.neighbourhood_file import ANY, read_neighbourhood
from mullbed.files.neighbourhood_file import GARDEN as GARDEN_KEYS
from mullbed.files.neighbourhood_file import GIVER as GIVER_KEYS
from mullbed.files.neighbourhood_file import ROAD as ROAD_KEYS
from mullbed.plan.stocks import is_soft_fresh
from mullbed.reference.residues import all_residues

HEAD = """
name = "Mill Lane"
first_day = 2027-05-03
weeks = 3
price_unit = "minutes"
container = "bucket"

[haul]
per_km = 3.0
"""
GIVER = """
[[givers]]
name = "12 Mill Lane"
residue = "grass clippings"
container = "bucket"
weekly = [4, 0, 2]
sprayed = "no"
latitude = 48.20
longitude = 16.30
"""
GARDEN = """
[[gardens]]
name = "Long Acre"
area = "60 m2"
soft_fresh = "20 at 20, 10,5 at 8"
dry = "any at 6"
nitrogen_ceiling = "12 g/m2"
refuses = "wheat straw; coffee grounds"
latitude = 48.21
longitude = 16.30
"""


def written(folder: Path, text: str) -> Path:
    path = folder / "neighbourhood.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_file_is_read_with_its_steps_weeks_and_answers(tmp_path: Path) -> None:
    found = read_neighbourhood(written(tmp_path, HEAD + GIVER + GARDEN.replace("10,5", "10")))
    (giver,), (taker,) = found.givers, found.takers
    assert (found.weeks, found.first_day, found.price_unit) == (3, date(2027, 5, 3), "minutes")
    assert giver.weekly == (4, 0, 2)
    assert (giver.answers.sprayed, giver.answers.seeded) == (Answer.NO, Answer.NOT_KNOWN)
    assert dict(taker.wants) == {Matter.SOFT_FRESH: (Step(20.0, 20.0), Step(10.0, 8.0)), Matter.DRY: (Step(ANY, 6.0),)}
    assert taker.refuses == {"straw_wheat", "coffee_grounds"}
    assert taker.place.north - giver.place.north == pytest.approx(1112.0, abs=1.0)  # known: a hundredth of a degree
    assert taker.place.east == pytest.approx(0.0, abs=1e-9)


def test_lists_in_csv_say_the_same_as_lists_in_the_file(tmp_path: Path) -> None:
    (tmp_path / "givers.csv").write_text(
        "name;residue;container;weekly;sprayed;latitude;longitude\n"
        "12 Mill Lane;grass clippings;bucket;4 0 2;no;48,20;16,30\n",
        encoding="utf-8",
    )
    (tmp_path / "gardens.csv").write_text(
        "name,area,soft_fresh,dry,nitrogen_ceiling,refuses,latitude,longitude\n"
        'Long Acre,60 m2,"20 at 20, 10 at 8",any at 6,12 g/m2,wheat straw; coffee grounds,48.21,16.30\n',
        encoding="utf-8",
    )
    listed = HEAD.replace("[haul]", 'givers = "givers.csv"\ngardens = "gardens.csv"\n[haul]')
    plain = read_neighbourhood(written(tmp_path, HEAD + GIVER + GARDEN.replace("10,5", "10")))
    assert read_neighbourhood(written(tmp_path, listed)) == plain


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("weekly = [4, 0, 2]", "weekly = [4, 0]", "3 numbers"),
        ("weekly = [4, 0, 2]", "weekly = 2.5", "half a one waits"),
        ("20 at 20, 10,5 at 8", "20 at 8, 10 at 20", "falling order"),
        ('residue = "grass clippings"', 'residue = "moon dust"', "moon dust"),
        ("latitude = 48.21\nlongitude = 16.30", "east_m = 5\nnorth_m = 5", "one of the two"),
        ('sprayed = "no"', 'sprayed = "perhaps"', "not known"),
        ('area = "60 m2"', 'area = "60 kg"', "120 m2"),
        ("per_km = 3.0", "per_mile = 3.0", "per_km"),
        ('name = "Long Acre"', 'nme = "Long Acre"', "name"),
    ],
)
def test_a_fault_is_told_with_its_remedy(tmp_path: Path, old: str, new: str, said: str) -> None:
    text = (HEAD + GIVER + GARDEN.replace("10,5", "10") if "10,5" not in old else HEAD + GIVER + GARDEN).replace(
        old, new
    )
    with pytest.raises(InputFault) as refused:
        read_neighbourhood(written(tmp_path, text))
    assert said in str(refused.value)


PLAN = {
    "supply": [
        {"supply": "lawn", "residue": "grass_clip", "container": "bucket"},
        {"supply": "hedge", "residue": "grass_clip", "container": "sack"},
        {"supply": "leaves", "residue": "leaf_maple", "container": "bucket"},
    ],
    "worth": [
        {"limit": "supply", "what": "lawn", "month": "2027-05", "unit": "bucket", "worth": 4.0},
        {"limit": "work in a day", "what": None, "month": "2027-05", "unit": "hour", "worth": 9.0},
        {"limit": "supply", "what": "hedge", "month": "2027-06", "unit": "sack", "worth": 5.0},
    ],
}


def test_a_gardens_own_plan_tells_what_a_container_is_worth(tmp_path: Path) -> None:
    """Known: 4 g for a bucket of clippings beat 5 g for a larger sack; leaves are not short, so worth nothing."""
    (tmp_path / "plan.json").write_text(json.dumps(PLAN), encoding="utf-8")
    head = HEAD.replace("[haul]", "gram_of_nitrogen = 2.5\n[haul]")
    garden = GARDEN.replace("20 at 20, 10,5 at 8", "10 at plan, 20 at 1.5").replace("any at 6", "any at plan")
    garden = garden.replace("[[gardens]]", '[[gardens]]\nplan = "plan.json"')
    (taker,) = read_neighbourhood(written(tmp_path, head + GIVER + garden)).takers
    assert dict(taker.wants) == {
        Matter.SOFT_FRESH: (Step(10.0, pytest.approx(10.0)), Step(20.0, 1.5)),
        Matter.DRY: (Step(ANY, 0.0),),
    }
    for text, said in (
        (HEAD + GIVER + garden, "gram_of_nitrogen"),
        (head + GIVER + garden.replace('plan = "plan.json"', ""), "Name the garden's plan"),
        (head + GIVER + garden.replace("plan.json", "lost.json"), "lost.json"),
    ):
        with pytest.raises(InputFault, match=said):
            read_neighbourhood(written(tmp_path, text))
    (tmp_path / "plan.json").write_text('{"supply": 3}', encoding="utf-8")
    with pytest.raises(InputFault, match="Make the plan again"):
        read_neighbourhood(written(tmp_path, head + GIVER + garden))


def test_a_kind_is_that_of_the_planner_for_every_residue() -> None:
    for residue in all_residues().values():
        for dried in (False, True):
            assert (matter_of(residue, dried) is Matter.SOFT_FRESH) is is_soft_fresh(residue, dried), residue.key


def test_every_key_the_reader_knows_is_in_its_guide(repository: Path) -> None:
    guide = (repository / "docs/howto/share-residues-in-a-neighbourhood.md").read_text(encoding="utf-8")
    for key in {*GIVER_KEYS, *GARDEN_KEYS, *ROAD_KEYS, "left_cost", "per_trip_km", "farthest_km", "detour"}:
        assert re.search(rf"\b{key}\b", guide), key


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    text = "weeks = 0\n" + GIVER.replace("grass clippings", "moon dust") + GARDEN
    with pytest.raises(InputFault) as refused:
        read_neighbourhood(written(tmp_path, text))
    told = str(refused.value)
    assert all(word in told for word in ("name", "first_day", "weeks", "container", "[haul]", "moon dust", "10,5"))


def test_a_road_must_lead_from_a_giver_to_a_garden(tmp_path: Path) -> None:
    road = '\n[[roads]]\ngiver = "12 mill lane"\ngarden = "{garden}"\nkm = 2.5\n'
    whole = HEAD + GIVER + GARDEN.replace("10,5", "10")
    found = read_neighbourhood(written(tmp_path, whole + road.format(garden="Long Acre")))
    assert found.roads == (("12 Mill Lane", "Long Acre", 2.5),)
    with pytest.raises(InputFault, match="long acre"):
        read_neighbourhood(written(tmp_path, whole + road.format(garden="Long Acer")))
