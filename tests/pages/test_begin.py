"""An empty record begins on the page: three questions, a garden file, or the example."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from datetime import date
from importlib.resources import files
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from mullbed.domain.signing import Where
from mullbed.files.garden_file import parse_garden
from mullbed.usecases.show_plan import show_plan
from mullbed.web.first_garden import first_answers, garden_text
from mullbed.web.forms import answers_of

Opening = Callable[..., TestClient]
DEMO = files("mullbed.files").joinpath("demo")


@pytest.fixture
def empty(open_page: Opening, tmp_path: Path) -> TestClient:
    return open_page(where=Where(f"{tmp_path}/new.sqlite"))


def text_of(*pairs: tuple[str, str], day: date = date(2027, 6, 9)) -> str:
    return garden_text(first_answers(answers_of(pairs)), day)


def test_three_questions_carry_their_answers_and_end_in_a_plan(empty: TestClient, tmp_path: Path):
    assert empty.get("/").headers["location"] == "/begin"
    second = empty.get("/begin?climate=wet&half=north&at=2").text
    assert 'name="climate" value="wet"' in second and "How big is one bed" in second
    third = empty.get("/begin?climate=wet&length.0=4,5&grows.0=tomato&at=3").text
    assert 'name="length.0" value="4.5"' in third and 'name="grows.0" value="tomato"' in third
    sent = {"climate": "wet", "length.0": "4,5", "grows.0": "tomato", "heap.lawn": "3", "heap.leaves": "10"}
    answer = empty.post("/begin", data=sent)
    assert answer.headers["location"] == "/season/making"
    for _ in range(600):
        shown = empty.get("/season/making")
        if shown.status_code == 303:
            break
        assert shown.headers.get("refresh") == "2" and "being made" in shown.text
        time.sleep(0.1)
    assert shown.headers["location"] == "/season"
    kept = show_plan(Where(f"{tmp_path}/new.sqlite"))
    assert kept.plan is not None and kept.beds == ("Bed 1",)
    assert "Bed 1" in empty.get("/").text
    assert empty.post("/begin", data=sent).status_code == 422
    assert empty.get("/begin").headers["location"] == "/"


def test_a_stopped_plan_is_not_kept(empty: TestClient, tmp_path: Path):
    empty.post("/begin", data={"heap.leaves": "4", "beds": "12"})
    empty.post("/season/stop")
    for _ in range(600):
        shown = empty.get("/season/making").text
        if "Stopped." in shown:
            break
        time.sleep(0.1)
    assert "Stopped. Nothing was changed." in shown
    assert show_plan(Where(f"{tmp_path}/new.sqlite")).plan is None


def test_a_tap_on_plus_and_another_bed_change_one_thing(empty: TestClient):
    page = empty.get("/begin?at=2&beds=1&length.0=3&step=plus:length.0").text
    assert 'name="length.0" value="3.5"' in page
    page = empty.get("/begin?at=2&beds=1&length.0=3&grows.0=kale&step=more:bed").text
    assert 'name="length.1" value="3"' in page and 'value="kale" checked' in page
    assert 'name="heap.lawn" value="1"' in empty.get("/begin?at=3&step=plus:heap.lawn").text


@pytest.mark.parametrize(
    "wrong", [{"length.0": "900"}, {"grows.0": '"\n[weather]'}, {"latitude": "nan"}, {"width.0": "<b>"}]
)
def test_what_does_not_fit_is_refused_and_nothing_is_kept(empty: TestClient, wrong: dict[str, str]):
    answer = empty.post("/begin", data=wrong)
    assert answer.status_code == 422 and "<b>:" not in answer.text
    assert empty.get("/").headers["location"] == "/begin"


def test_every_fault_is_told_at_once(empty: TestClient):
    told = empty.get("/begin?at=2&length.0=900&width.0=77&heap.lawn=-3").text
    assert told.count('role="alert"') == 3


def test_south_of_the_equator_july_is_winter():
    text = text_of(("half", "south"), ("climate", "mild"))
    assert "monthly_low = [14, 14, 11, 8, 5, 2, 2, 3, 4, 6, 9, 12]" in text
    assert "latitude = -47.00" in text


def test_a_name_can_not_leave_its_place_in_the_file():
    wild = 'A"\\ [x]\n[weather]\ndaily_file = "/etc/passwd"'
    text = text_of(("garden", wild), ("name.0", wild), ("heap.lawn", "2"))
    garden = parse_garden(text, "garden.toml", Path())
    assert garden.site.weather.daily_file is None
    assert garden.site.name == " ".join(wild.replace("\n", "").split())[:60]


def test_every_answer_makes_a_garden_that_can_be_read():
    from mullbed.web import first_garden as first

    for climate, grows, feel, units in zip(
        list(first.CLIMATES) * 2, first.GROWS, list(first.FEELS) * 2, list(first.UNITS) * 4, strict=True
    ):
        pairs = [("climate", climate), ("grows.0", grows), ("feel", feel), ("units", units), ("beds", "2")]
        pairs += [(f"heap.{key}", "2") for key in first.HEAPS]
        garden = parse_garden(text_of(*pairs), "garden.toml", Path())
        assert len(garden.supplies) == len(first.HEAPS) and len(garden.beds) == 2
        wide, long = (4 * 0.3048, 10 * 0.3048) if units == "us" else (1.2, 3.0)
        assert garden.beds[1].area == pytest.approx(wide * long, rel=1e-3)


def test_a_garden_file_is_brought_with_its_weather(empty: TestClient):
    assert "Bring it in" in empty.get("/begin/bring").text
    sent = {"garden": ("g.toml", DEMO.joinpath("garden.toml").read_bytes())}
    alone = empty.post("/begin/bring", files=sent)
    assert alone.status_code == 422 and "was not brought" in alone.text
    whole = empty.post("/begin/bring", files=sent | {"weather": ("w.csv", DEMO.joinpath("weather.csv").read_bytes())})
    assert whole.headers["location"] == "/season/making"
    empty.post("/season/stop")
    assert "Gate" in empty.get("/").text


def test_a_brought_file_tells_all_its_faults_at_once_and_reads_nothing_of_this_machine(empty: TestClient):
    bad = b'[site]\nname = ""\nlatitude = 99\n[season]\nfirst_day = 2027-05-01\nlast_day = 2027-04-01\n'
    told = empty.post("/begin/bring", files={"garden": ("g.toml", bad)})
    assert told.status_code == 422 and len(re.findall("<li><b>", told.text)) >= 3
    text = DEMO.joinpath("garden.toml").read_text(encoding="utf-8").replace('"weather.csv"', '"../../../etc/passwd"')
    told = empty.post("/begin/bring", files={"garden": ("g.toml", text.encode()), "weather": ("w.csv", b"x")})
    assert told.status_code == 422 and "a name without folders" in told.text and "root:" not in told.text
    told = empty.post("/begin/bring", files={"garden": ("g.toml", b"\xff\xfe\x00"), "weather": ("w.csv", b"\xff")})
    assert told.text.count("no plain text") == 2
    huge = empty.post("/begin/bring", files={"garden": ("g.toml", b"#" * (5 * 1024 * 1024))})
    assert huge.status_code == 422 and "larger than 4 MB" in huge.text
    assert empty.get("/").headers["location"] == "/begin"


def test_a_garden_only_begun_is_taken_back_and_begun_anew(empty: TestClient):
    example = {"example": "yes"}
    assert empty.post("/begin", data=example).headers["location"] == "/"
    assert "begin anew" in empty.get("/season").text
    assert empty.post("/begin/anew").headers["location"] == "/begin"
    assert empty.get("/").headers["location"] == "/begin"
    assert empty.post("/begin", data=example).headers["location"] == "/"
    assert "Gate" in empty.get("/").text
    assert empty.post("/did", data={"job": "note", "text": "first words"}).status_code == 303
    assert "begin anew" not in empty.get("/season").text
    refused = empty.post("/begin/anew")
    assert refused.status_code == 422 and "work is written down" in refused.text
    assert "Gate" in empty.get("/").text


def test_what_grows_there_stands_already_and_is_not_asked_to_be_sown(empty: TestClient):
    empty.post("/begin", data={"grows.0": "courgette", "beds": "2", "grows.1": "kale"})
    empty.post("/season/stop")
    text = empty.get("/").text
    assert "Sow or plant" not in text and "Nothing to do today" in text
    assert "North is up" not in empty.get("/map").text
