"""The record's use cases from one end to the other, on SQLite and on PostgreSQL: the same entries, the same walk."""

from __future__ import annotations

import os
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from mullbed.domain.record_kinds import Kind
from mullbed.domain.signing import Signature, Where
from mullbed.domain.walk import Job
from mullbed.usecases.create_garden import create_garden
from mullbed.usecases.hand_over import RECORD_FILE, hand_over
from mullbed.usecases.log_line import Line, list_notes, log_layer, log_seen, log_water, take_back
from mullbed.usecases.next_year import next_year
from mullbed.usecases.take_in import take_in
from mullbed.usecases.walk_round import walk_round
from mullbed.usecases.write_garden import write_garden

FILE = Path(__file__).parents[1] / "data" / "sound_garden.toml"
TODAY = date(2027, 6, 10)


def signed(day: date = TODAY) -> Signature:
    moment = datetime(day.year, day.month, day.day, 8, tzinfo=UTC)
    return Signature("Ada", moment, day, lambda: os.urandom(10))


def test_a_garden_is_kept_walked_carried_over_and_handed_on(record_url: str, tmp_path: Path) -> None:
    place = Where(record_url)
    made = create_garden(FILE, place, signed(TODAY - timedelta(days=1)))
    assert made.first
    assert write_garden(place).text == FILE.read_text(encoding="utf-8")
    line = Line(place, signed())
    layer = log_layer(line, "north", ["grass clippings: 1 bucket", "dry leaves: 2 buckets"], water="1 can")
    foul = log_seen(Line(place, signed()), "north", ["sour"])
    water = log_water(line, "north", "2 cans")
    better = log_water(Line(place, signed(), corrects=water.entry.id), "north", "3 cans")
    assert [one.id for one in list_notes(place, kinds=[Kind.WATER])] == [better.entry.id]
    first = walk_round(place, TODAY).walk.visits[0]
    assert (first.bed, first.stops[0].job) == ("North", Job.AIR)
    take_back(line, foul.entry.id)
    assert all(stop.job is not Job.AIR for one in walk_round(place, TODAY).walk.visits for stop in one.stops)
    over = next_year(place, signed(date(2027, 11, 1)))
    north = over.garden.bed("North")
    assert north is not None
    assert [(one.day, one.lifts) for one in north.layers][-1] == (TODAY, layer.entry.facts.layer("North", TODAY).lifts)  # type: ignore[union-attr]
    document = hand_over(place).files[RECORD_FILE]
    assert isinstance(document, str)
    (tmp_path / "record.json").write_text(document, encoding="utf-8")
    other = Where(str(tmp_path / "elsewhere.sqlite"))
    taken = take_in([tmp_path / "record.json"], other, signed())
    assert (len(taken.new), taken.known) == (hand_over(place).entries, ())
    assert hand_over(other).files[RECORD_FILE] == document
    assert walk_round(other, TODAY).walk == walk_round(place, TODAY).walk
