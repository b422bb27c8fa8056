"""Trials on the page: chosen, drawn by lot, locked, read blind, judged; helpers read their own plots only."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from fastapi.testclient import TestClient

from mullbed.domain.record_seen import FieldChecked
from mullbed.store.database import open_record
from mullbed.store.journal import every_entry, gardens

NEW = {
    "asked": "yes",
    "way": ["layers as planned", "bare with the same nitrogen"],
    "control": "bare with the same nitrogen",
    "fairness": "same nitrogen laid",
    "measure": "harvest",
    "second": "worms",
    "blocks": "6",
    "worthwhile": "0.2",
    "name": "Layers or bare",
    "on": ["Garlic Bed", "Gate Bed", "Plum Bed"],
}
ADDRESS = "/trial/Layers%20or%20bare"


def drawn(client: TestClient) -> str:
    """Draw the trial and return its page."""
    answer = client.post("/trials/new", data=NEW)
    assert answer.status_code == 303, answer.text
    assert answer.headers["location"] == ADDRESS
    return client.get(ADDRESS).text


def test_choosing_tells_what_so_many_pairs_would_show(client: TestClient):
    few = client.get("/trials/new", params={"blocks": "4", "cv": "20"}).text
    assert '<span class="the-number">50</span>' in few  # derived table: 4 pairs at 20 %
    assert "10 pairs" in few and "sees 24 % or more" in few
    ratio = client.get("/trials/new", params=[("measure", "worms"), ("blocks", "6")]).text
    assert "worms" in ratio.casefold()


def test_choosing_says_what_others_found_and_when_that_is_out_of_reach(client: TestClient):
    slow = html.unescape(client.get("/trials/new", params={"measure": "organic_matter", "blocks": "4"}).text)
    assert "Others found 8 % / 11 %: carbon after decades" in slow
    assert "less than you would see" in slow
    quick = html.unescape(client.get("/trials/new", params={"measure": "worms", "blocks": "16"}).text)
    assert "number of worms" in quick and "less than you would see" not in quick


def test_nothing_is_kept_of_a_choice_that_cannot_be(client: TestClient, record: Path):
    before = len(entries_of(record))
    for wrong in ({"way": ["layers as planned"]}, {"blocks": "1"}, {"measure": "shine"}, {"blocks": "x" * 500}):
        answer = client.post("/trials/new", data=NEW | wrong)
        assert answer.status_code in (404, 422), wrong
    assert len(entries_of(record)) == before


def entries_of(record: Path) -> list[object]:
    with open_record(str(record)) as kept, kept.reading() as transaction:
        (garden,) = gardens(transaction)
        return list(every_entry(transaction, garden))


def test_a_drawn_trial_shows_its_plots_its_fairness_and_what_each_way_is(client: TestClient):
    page = drawn(client)
    assert "Six pairs show" in page
    assert page.count("<svg") >= 3
    assert "same nitrogen laid" in page and "does the way itself matter" in page
    assert "On the beds" in page and "Garlic" in page
    assert client.get("/trials").text.count("Layers or bare") == 1
    again = client.post("/trials/new", data=NEW)
    assert again.status_code == 422 and "called so already" in again.text


def test_three_ways_may_lie_in_a_square_with_as_many_rows(client: TestClient):
    ways = ["layers as planned", "wood chips", "bare with the same nitrogen"]
    form = NEW | {"way": ways, "arrangement": "Latin square", "name": "Square", "seasons": "2"}
    assert "How do they lie?" in client.get("/trials/new", params=form).text
    assert client.post("/trials/new", data=form).status_code == 303
    page = client.get("/trial/Square").text
    rows = re.findall(r'<th scope="row">P\d\d</th><td>([^<]*)</td><td>(\d), (\d)', page)
    assert len(rows) == 9
    for place in (1, 2):
        for number in "123":
            assert {row[0] for row in rows if row[place] == number} == set(ways)


def test_drawing_again_moves_the_sides_and_locking_ends_that(client: TestClient):
    drawn(client)
    sides = {re.findall(r"<title>Where each way lies</title><desc>([^<]*)", client.get(ADDRESS).text)[0]}
    for _ in range(6):
        client.post(f"{ADDRESS}/draw")
        sides.add(re.findall(r"<title>Where each way lies</title><desc>([^<]*)", client.get(ADDRESS).text)[0])
    assert len(sides) > 2
    assert client.post(f"{ADDRESS}/lock").status_code == 303
    assert client.post(f"{ADDRESS}/lock").status_code == 422
    assert client.post(f"{ADDRESS}/draw").status_code == 422
    page = client.get(ADDRESS).text
    assert "Locked on 9 June 2027" in page and "Draw again" not in page
    assert client.post(f"{ADDRESS}/changed", data={"what": "watered pair 2", "why": ""}).status_code == 422
    client.post(f"{ADDRESS}/changed", data={"what": "watered pair 2", "why": "a hose burst"})
    assert "watered pair 2, because a hose burst" in client.get(ADDRESS).text


def test_who_reads_sees_codes_and_no_way(client: TestClient):
    drawn(client)
    client.post(f"{ADDRESS}/lock")
    page = html.unescape(client.get(f"{ADDRESS}/read").text)
    assert page.count('name="plot.P') == 12
    body = page.split("<h1>")[1].split('class="ground"')[0]
    assert "layers as planned" not in body and "nitrogen" not in body
    empty = client.get(f"{ADDRESS}/plots.csv")
    assert "layers" not in empty.text and len(empty.text.splitlines()) == 25
    sheets = client.get(f"{ADDRESS}/sheets.pdf")
    assert sheets.content.startswith(b"%PDF")


def read(client: TestClient, values: dict[str, str], **more: str) -> int:
    form = {"job": "plots read", "trial": "Layers or bare", "measure": "harvest", "season": "2027"} | more
    return client.post(
        f"{ADDRESS}/read", data=form | {f"plot.{code}": text for code, text in values.items()}
    ).status_code


def test_readings_lead_to_a_verdict_with_a_lost_plot_and_its_data(client: TestClient, record: Path):
    page = drawn(client)
    assert read(client, {"P01": "2.0"}) == 422  # not locked yet: only a baseline is taken
    assert read(client, {"P01": "9"}, measure="worms", season="baseline") == 303
    client.post(f"{ADDRESS}/lock")
    rows = re.findall(r'<th scope="row">(P\d\d)</th><td>([^<]*)</td><td>(\d+), ', page)
    generator = np.random.default_rng(3)
    level = {block: generator.normal(scale=0.2) for block in "123456"}
    effect = {"layers as planned": 0.6}
    values = {
        code: f"{2.0 * (1 + effect.get(way, 0.0) + level[block] + generator.normal(scale=0.05)):.2f}"
        for code, way, block in rows
    }
    lost = rows[4][0]
    values[lost] = "lost"
    assert read(client, values, operator="Bo", rain="2") == 303
    assert f"lost: {lost}" in client.get(ADDRESS).text
    verdict = client.get(f"{ADDRESS}/verdict")
    assert verdict.status_code == 200
    text = html.unescape(verdict.text)
    assert "A real difference" in text
    assert "stood above" in text and "the data behind it" in text
    assert values[rows[0][0]].rstrip("0").rstrip(".") in text
    assert "Planned and not read" not in text  # the baseline of the second measure was read on one plot
    told = client.get(f"{ADDRESS}/report.json").json()
    assert told["verdict"] == "a real difference" and told["locked"] and told["seal_holds"]
    assert told["measures"][0]["lost"] == [lost]
    assert client.get(f"{ADDRESS}/report.pdf").content.startswith(b"%PDF")
    assert "pair by pair" in client.get(f"{ADDRESS}/report.html").text
    table = client.get(f"{ADDRESS}/readings.csv").text
    assert f"{lost}," in table and ",lost,Bo," in table and "A,harvest,kg,2027,2027-06-09" in table
    kept = [one.facts for one in entries_of(record) if isinstance(one.facts, FieldChecked) and one.facts.plot]
    assert {one.operator for one in kept if one.check == "harvest"} == {"Bo"}
    assert [one.plot for one in kept if one.word == "lost"] == [lost]


def test_pickings_of_several_days_add_up(open_page: Callable[..., TestClient]):
    client = open_page()
    drawn(client)
    client.post(f"{ADDRESS}/lock")
    codes = [f"P{number:02d}" for number in range(1, 13)]
    read(client, dict.fromkeys(codes, "1.0"))
    later = open_page(today=date(2027, 6, 12))
    read(later, {code: f"{1 + place / 10}" for place, code in enumerate(codes)})
    told = later.get(f"{ADDRESS}/report.json").json()
    means = told["measures"][0]["contrasts"][0]
    assert 2.0 < means["control_mean"] < 3.2  # one and one to two: added, not averaged
    read(later, {"P03": "lost"})
    assert later.get(f"{ADDRESS}/report.json").json()["measures"][0]["lost"] == ["P03"]  # whatever was picked before


def test_every_fault_of_a_sheet_is_told_at_once_and_nothing_is_kept(client: TestClient, record: Path):
    drawn(client)
    client.post(f"{ADDRESS}/lock")
    before = len(entries_of(record))
    form = {"job": "plots read", "trial": "Layers or bare", "measure": "harvest", "season": "2027"}
    answer = client.post(f"{ADDRESS}/read", data=form | {"plot.P01": "much", "plot.P02": "1.5", "plot.P03": "-4"})
    assert answer.status_code == 422
    assert "much" in answer.text and "P03" in answer.text
    assert len(entries_of(record)) == before


@pytest.mark.parametrize("address", ["/trial/Nowhere", "/trial/Nowhere/read", "/trial/Nowhere/verdict"])
def test_a_trial_nobody_kept_is_not_found(client: TestClient, address: str):
    assert client.get(address).status_code == 404
