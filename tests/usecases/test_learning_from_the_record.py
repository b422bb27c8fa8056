"""From notes to forecasts: what was kept is held against what came, and what was seen changes what is forecast."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import count
from pathlib import Path

import numpy as np
import pytest

from mullbed.domain.filling import fill
from mullbed.domain.learnt import Surprise
from mullbed.domain.record import Entry
from mullbed.domain.record_batches import ContainerWeighed
from mullbed.domain.record_kinds import Facts, Kind
from mullbed.domain.record_seen import Observed
from mullbed.domain.record_work import LayerLaid, LiftLaid
from mullbed.domain.signing import Signature, Where
from mullbed.errors import InputFault
from mullbed.reference.containers import find_container
from mullbed.reference.residues import all_residues, find_residue
from mullbed.reports.honest_text import honest_text
from mullbed.reports.learnt_text import doubt_sentence, learning_sentences, learnt_text
from mullbed.store.database import open_record
from mullbed.store.journal import append, entries
from mullbed.usecases.check_forecasts import check_forecasts
from mullbed.usecases.create_garden import create_garden
from mullbed.usecases.design_layer import design_layer
from mullbed.usecases.forecast_garden import forecast_garden
from mullbed.usecases.learn_from_record import learn_from_record
from mullbed.usecases.make_season_plan import make_season_plan

GARDEN = """
[site]
name = "Notes Garden"
latitude = 47.6

[season]
first_day = 2026-04-01
last_day = 2026-09-30

[weather]
monthly_low = [2, 3, 4, 6, 9, 12, 13, 13, 11, 8, 5, 2]
monthly_high = [8, 10, 12, 15, 19, 22, 25, 25, 22, 16, 11, 8]
monthly_rain = [140, 100, 95, 65, 50, 40, 15, 25, 40, 85, 160, 150]

[soil]
texture = "loam"

[[beds]]
name = "North"
size = "1.2 m x 6 m"

[[beds]]
name = "South"
size = "1.2 m x 6 m"

[[supplies]]
residue = "grass clippings"
amount = "8 bucket"
from = 2026-05-01
every = "10 days"

[[supplies]]
residue = "dry leaves"
amount = "60 bucket"
from = 2026-04-01
"""
START = date(2026, 4, 6)
NUMBERS = count()
GRASS, LEAVES = find_residue("grass clippings"), find_residue("dry leaves")


def signed(day: date) -> Signature:
    moment = datetime(day.year, day.month, day.day, 18, next(NUMBERS) % 60, tzinfo=UTC)
    return Signature("Ada", moment, day, lambda: next(NUMBERS).to_bytes(10, "big"))


@pytest.fixture
def garden(tmp_path: Path) -> Path:
    path = tmp_path / "garden.toml"
    path.write_text(GARDEN, encoding="utf-8")
    return path


@pytest.fixture
def there(garden: Path, tmp_path: Path) -> Where:
    where = Where(str(tmp_path / "record.sqlite"))
    create_garden(garden, where, signed(date(2026, 4, 1)))
    for bed in ("North", "South"):
        bucket = find_container("bucket")
        lifts = [fill(LEAVES, bucket, 6.0, 7.2), fill(GRASS, bucket, 5.0, 7.2), fill(LEAVES, bucket, 6.0, 7.2)]
        write(where, Kind.LAYER, START, LayerLaid(tuple(LiftLaid(one, "buckets") for one in lifts), 4.0), bed)
    return where


def write(where: Where, kind: Kind, day: date, facts: Facts, bed: str | None = None) -> None:
    by = signed(day)
    with open_record(where.record) as record, record.writing() as transaction:
        append(transaction, [Entry(by.new_id(), "notes-garden", kind, day, by.now, "Ada", facts, bed=bed)])


def see(where: Where, day: int, what: str, answer: float | str, bed: str = "North") -> None:
    word, value = (answer, None) if isinstance(answer, str) else (None, answer)
    write(where, Kind.SEEN, START + timedelta(days=day), Observed(what, word, value), bed)


def width(found, bed: str, name: str) -> float:
    band = found.forecasts[bed].series[name]
    return float(np.nanmean((band.p90 - band.p10)[90:]))


def test_without_notes_the_record_changes_what_lies_there_and_nothing_else(garden: Path, there: Where) -> None:
    plain = forecast_garden(garden, members=32)
    with_it = forecast_garden(garden, members=32, where=there, today=START + timedelta(days=30))
    assert np.nanmax(plain.forecasts["North"].series["cover"].p50) == 0.0
    assert np.nanmax(with_it.forecasts["North"].series["cover"].p50) > 0.5
    assert with_it.learnt is not None
    assert with_it.learnt.beds == ()
    assert "taught nothing" in learning_sentences(with_it.learnt, with_it.check)[""][0]


def test_notes_of_one_bed_make_its_forecast_surer_and_say_by_how_much(garden: Path, there: Where) -> None:
    today = START + timedelta(days=60)
    before = forecast_garden(garden, members=64, where=there, today=today, particles=128)
    for day in (25, 45):
        see(there, day, "mass left", 0.9)
    see(there, 45, "darkening", "as laid")
    after = forecast_garden(garden, members=64, where=there, today=today, particles=128)
    assert width(after, "North", "net_nitrogen") < 0.9 * width(before, "North", "net_nitrogen")
    assert width(after, "South", "net_nitrogen") < width(before, "South", "net_nitrogen")
    assert after.learnt is not None
    north = after.learnt.bed("North")
    assert north is not None
    assert north.place_rate.mid < 1.0
    removed = {one.what: one for one in north.removed}
    assert removed["net_nitrogen"].after < removed["net_nitrogen"].before
    sentence = doubt_sentence(north)
    assert sentence is not None
    assert sentence.startswith("Your three notes took away")


def test_a_wrong_note_is_named_in_the_forecast_and_in_what_was_learnt(garden: Path, there: Where) -> None:
    today = START + timedelta(days=60)
    see(there, 25, "thickness by ruler", 0.95)
    found = forecast_garden(garden, members=32, where=there, today=today, particles=128)
    assert any("left out" in one for one in learning_sentences(found.learnt, found.check)["North"])
    learnt = learn_from_record(garden, there, today=today, particles=128).learnt
    assert [one.surprise for one in learnt.beds[0].entries] == [Surprise.SLIP]
    assert "Taken for a slip" in " ".join(learnt_text(learnt, units=found.garden.site.units).split())


def test_what_was_not_yet_seen_teaches_nothing(garden: Path, there: Where) -> None:
    see(there, 45, "mass left", 0.9)
    early = learn_from_record(garden, there, today=START + timedelta(days=40), particles=64)
    assert early.learnt.beds == ()
    late = learn_from_record(garden, there, today=START + timedelta(days=45), particles=64)
    assert [one.bed for one in late.learnt.beds] == ["North"]


def test_forecasts_that_were_kept_are_held_against_what_came(garden: Path, there: Where) -> None:
    made = START + timedelta(days=1)
    found = forecast_garden(garden, members=64, where=there, today=made, signed=signed(made))
    with open_record(there.record) as record, record.reading() as transaction:
        assert [entry.bed for entry in entries(transaction, "notes-garden", kinds=(Kind.FORECAST,))] == [
            "North",
            "South",
        ]
    for day in range(10, 150, 14):
        at = (START + timedelta(days=day) - found.garden.first_day).days
        middle = float(found.forecasts["North"].series["soil_temperature"].p50[at])
        see(there, day, "soil temperature", middle + (12.0 if day % 28 else -12.0))
    told = check_forecasts(there)
    assert (told.garden, told.forecasts) == ("notes-garden", 2)
    assert told.check.count == 10
    assert told.check.inside == 0
    assert told.check.widening > 1.3
    assert "too sure" in honest_text(told.check, told.forecasts, units=found.garden.site.units)
    assert check_forecasts(there, bed="South").check.count == 0
    now = START + timedelta(days=160)
    wide = forecast_garden(garden, members=64, where=there, today=now, particles=64, bed="South")
    narrow = forecast_garden(garden, members=64, bed="South")
    assert wide.check is not None
    assert wide.check.widening == told.check.widening
    assert width(wide, "South", "soil_temperature") > 1.2 * width(narrow, "South", "soil_temperature")


def test_a_forecast_is_kept_once_a_day_and_version_by_version(garden: Path, there: Where) -> None:
    for day in (1, 1, 2):
        made = START + timedelta(days=day)
        forecast_garden(garden, members=32, where=there, learn=False, today=made, signed=signed(made), bed="North")
    with open_record(there.record) as record, record.reading() as transaction:
        kept = entries(transaction, "notes-garden", kinds=(Kind.FORECAST,))
    assert [entry.facts.version for entry in kept] == [1, 2]
    assert all(len(entry.facts.content) < 40_000 for entry in kept)


def test_three_weighings_make_a_bucket_known(garden: Path, there: Where) -> None:
    for day, mass in ((1, 1.4), (2, 1.5), (3, 1.45), (4, 14.0)):
        write(there, Kind.WEIGHING, START + timedelta(days=day), ContainerWeighed("bucket", LEAVES.key, mass))
    found = learn_from_record(garden, there, today=START + timedelta(days=10), particles=64)
    filling = found.learnt.containers.filling("bucket", LEAVES.key)
    assert filling is not None
    assert filling.known
    assert filling.fresh_kg.mid == pytest.approx(1.45, rel=0.03)
    page = learnt_text(found.learnt, units=found.garden.site.units)
    assert "known" in page
    assert "weigh it again" in page


def test_another_garden_than_those_kept_is_refused(garden: Path, there: Where) -> None:
    with pytest.raises(InputFault, match="notes-garden"):
        check_forecasts(replace(there, garden="elsewhere"))
    assert LEAVES.key in all_residues()


def test_a_layer_is_designed_on_the_bed_as_it_lies_with_buckets_as_weighed(garden: Path, there: Where) -> None:
    crop = '\n[[beds.crops]]\ncrop = "tomato"\nplanted = 2026-05-20\nharvested = 2026-09-15\n\n[[beds]]\nname = "South"'
    garden.write_text(GARDEN.replace('\n[[beds]]\nname = "South"', crop), encoding="utf-8")
    day = START + timedelta(days=56)
    asked = {"today": day, "day": day, "members": 16, "threads": 1}
    plain = design_layer(garden, "North", **asked)
    for day_of, mass in ((1, 1.4), (2, 1.45), (3, 1.42)):
        write(there, Kind.WEIGHING, START + timedelta(days=day_of), ContainerWeighed("bucket", LEAVES.key, mass))
    for day_of in (25, 45):
        see(there, day_of, "mass left", 0.9)
    learnt = design_layer(garden, "North", where=there, particles=64, **asked)
    assert learnt.learnt is not None
    assert learnt.learnt.bed("North") is not None
    per_bucket = [
        next(lift.dry_matter / lift.count for lift in one.planned.layer.lifts if lift.residue == LEAVES.key)
        for one in (plain, learnt)
    ]
    bucket = find_container("bucket")
    expected = 1.42 / (fill(LEAVES, bucket, 1.0, 7.2).dry_matter * 7.2 / 1000.0 / LEAVES.dry_share)
    assert per_bucket[1] == pytest.approx(expected * per_bucket[0], rel=0.05)
    assert len(learnt.garden.beds[0].layers) == 1
    before = (day - plain.forecast.first_day).days - 2
    assert not plain.forecast.series["thickness"].p50[before] > 0.0
    assert learnt.forecast.series["thickness"].p50[before] > 0.005


def test_a_plan_on_from_today_counts_on_what_notes_and_weighings_taught(garden: Path, there: Where) -> None:
    today = START + timedelta(days=50)
    for day, mass in ((1, 1.4), (2, 1.45), (3, 1.42)):
        write(there, Kind.WEIGHING, START + timedelta(days=day), ContainerWeighed("bucket", LEAVES.key, mass))
    before = make_season_plan(garden, members=16, gap=0.3, threads=1, where=there, today=today)
    for day in (25, 40):
        see(there, day, "mass left", 0.9)
        see(there, day, "mass left", 0.92, "South")
    after = make_season_plan(garden, members=16, gap=0.3, threads=1, where=there, today=today)
    assert dict(after.garden.containers[0].weighed)[LEAVES.key] == pytest.approx(1.42, rel=0.02)
    gone = [one.plan.forecasts["North"].series["thickness"].p50[-1] for one in (before, after)]
    assert gone[1] > gone[0], "both beds were seen to be slow"
