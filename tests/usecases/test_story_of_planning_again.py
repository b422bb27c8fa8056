"""A season planned, then planned again as it really goes: a missed mowing, a wet fortnight, two weeks away, wishes.

A small invented garden; every step is a command a grower types. Nothing outside to check against: what is checked is
that what happened is taken as given and that the rest of the plan is changed no more than it must be.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest

from mullbed.cli import main

GARDEN = """
[site]
name = "Sorrel Yard"
latitude = 51.2
elevation = "40 m"

[season]
first_day = 2026-04-06
last_day = 2026-09-27

[weather]
monthly_low = [1, 1, 3, 5, 9, 12, 14, 14, 11, 8, 4, 2]
monthly_high = [6, 7, 11, 15, 19, 22, 24, 24, 20, 15, 10, 7]
monthly_rain = [60, 50, 50, 45, 55, 60, 65, 65, 60, 70, 70, 70]

[soil]
texture = "sandy loam"
organic_matter = "1.5 %"

[limits]
nitrogen_fed_share = 1.8

[[beds]]
name = "Long"
size = "1.2 m x 5 m"

[[beds.crops]]
crop = "white_cabbage_fresh"
planted = 2026-05-10
harvested = 2026-09-10

[[beds]]
name = "Short"
size = "1.2 m x 4 m"

[[beds.crops]]
crop = "leek"
planted = 2026-06-08
harvested = 2026-09-25
start = "transplanted"

[[beds]]
name = "Side"
size = "1.2 m x 4 m"

[[supplies]]
name = "the lawn"
residue = "grass clippings"
amount = "4 buckets"
from = 2026-04-20
every = "14 days"

[[supplies]]
name = "leaf heap"
residue = "dry leaves"
amount = "20 bags"

[[supplies]]
name = "straw"
residue = "straw"
amount = "3 bales"
"""
Document = dict[str, object]
Types = Callable[..., Document]


@pytest.fixture
def types(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Types:
    """Return what types a command and reads its JSON, on a machine where nothing was kept."""
    monkeypatch.setenv("MULLBED_RECORD", str(tmp_path / "record.sqlite"))
    monkeypatch.setenv("MULLBED_AUTHOR", "Ada")
    (tmp_path / "garden.toml").write_text(GARDEN, encoding="utf-8")

    def typed(*words: str, code: int = 0) -> Document:
        monkeypatch.setattr("sys.argv", ["mullbed", *words, *([] if code else ["--json"])])
        with pytest.raises(SystemExit) as ended:
            main.run()
        shown = capsys.readouterr()
        assert int(ended.value.code or 0) == code, shown.err + shown.out
        return {"told": shown.err} if code else dict(json.loads(shown.out))

    typed("garden", "new", str(tmp_path / "garden.toml"))
    return typed


def layers(plan: Document) -> dict[tuple[str, str], Document]:
    found = plan["layers"]
    assert isinstance(found, list)
    return {(one["bed"], one["date"]): one for one in found}


def changed(plan: Document) -> dict[str, int]:
    found = plan["changes"]
    assert isinstance(found, list)
    counts: dict[str, int] = {}
    for one in found:
        counts[one["change"]] = counts.get(one["change"], 0) + 1
    return counts


def lay(types: Types, plan: Document, until: str) -> None:
    """Write down every planned layer up to a day as it was planned."""
    for (bed, day), one in sorted(layers(plan).items(), key=lambda pair: pair[0][1]):
        if day < until:
            lifts = one["lifts"]
            assert isinstance(lifts, list)
            words = [f"{lift['residue']}: {lift['count']:g} {lift['container']}" for lift in lifts]
            types("log", "layer", bed, *words, "--day", day)


def test_a_season_that_goes_otherwise_is_planned_again(types: Types) -> None:
    first = types("plan", "--as-done", "--day", "2026-04-06")
    assert layers(first)

    # Everything goes as planned: on the same ground the plan stays what it was.
    same = types("plan", "--as-done", "--day", "2026-04-06")
    assert set(layers(same)) == set(layers(first))
    assert set(changed(same)) <= {"stays"}

    # The mowing of 4 May does not come.
    lay(types, first, "2026-05-04")
    types("log", "missed", "the lawn", "--day", "2026-05-04")
    second = types("plan", "--as-done", "--day", "2026-05-05")
    assert all(day >= "2026-05-05" for _, day in layers(second))
    gathered = second["gather"]
    assert isinstance(gathered, list)
    assert all(one["week"] >= "2026-05-18" for one in gathered if one["supply"] == "the lawn")

    # A wet fortnight: the rain gauge is read, the plan knows the soil it left.
    for number in range(14):
        day = (date(2026, 6, 1) + timedelta(days=number)).isoformat()
        types("log", "weather", "--rain", "15", "--low", "10", "--high", "16", "--day", day)
    lay(types, second, "2026-06-15")
    third = types("plan", "--as-done", "--day", "2026-06-15")
    assert all(day >= "2026-06-15" for _, day in layers(third))

    # Two weeks away when a layer is due: nothing is laid then, what needs no change stays.
    due = date.fromisoformat(max(day for _, day in layers(third)))
    assert due > date(2026, 6, 20)
    start, end = (due - timedelta(days=5)).isoformat(), (due + timedelta(days=8)).isoformat()
    types("log", "away", f"{start}..{end}", "--day", "2026-06-15")
    fourth = types("plan", "--as-done", "--day", "2026-06-15")
    assert not any(start <= day <= end for _, day in layers(fourth))
    kept = {key for key in layers(third) if not start <= key[1] <= end}
    assert len(kept - set(layers(fourth))) <= 1
    assert changed(fourth).get("stays", 0) >= len(kept) - 1

    # The grower's own wishes: one layer stays, one bed is left alone, the straw goes first.
    bed, day = min(layers(fourth), key=lambda key: key[1])
    fifth = types(
        *("plan", "--as-done", "--day", "2026-06-15", "--keep", f"{bed}: {day}"),
        *("--not-on", "Side: 2026-06-16..2026-08-31", "--first", "straw"),
    )
    assert (bed, day) in layers(fifth)
    assert not any(where == "Side" and when <= "2026-08-31" for where, when in layers(fifth))
    refused = types("plan", "--as-done", "--day", "2026-06-15", "--keep", "Side: 2026-06-20", code=2)
    assert "--keep" in str(refused["told"])
