"""``mullbed weather fetch`` on a server of this machine that answers as the open services do, with days made by us."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from test_documents import faults_of

from mullbed.weather.daily_file import read_daily_weather


def power(first: date, last: date) -> dict[str, object]:
    """Return an answer in the form of NASA POWER; every hundredth day has no value."""
    days = [first + timedelta(days=number) for number in range((last - first).days + 1)]

    def series(value: Callable[[int], float]) -> dict[str, float]:
        return {f"{day:%Y%m%d}": -999.0 if n % 100 == 99 else value(n) for n, day in enumerate(days)}

    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [16.38, 48.21, 195.0]},
        "header": {"fill_value": -999.0},
        "parameters": {
            "T2M_MIN": {"units": "C"}, "T2M_MAX": {"units": "C"}, "PRECTOTCORR": {"units": "mm/day"},
            "ALLSKY_SFC_SW_DWN": {"units": "MJ/m^2/day"}, "RH2M": {"units": "%"}, "WS2M": {"units": "m/s"},
        },
        "properties": {
            "parameter": {
                "T2M_MIN": series(lambda n: 5.0 + n % 9),
                "T2M_MAX": series(lambda n: 15.0 + n % 11),
                "PRECTOTCORR": series(lambda n: 4.5 if n % 6 == 0 else 0.0),
                "ALLSKY_SFC_SW_DWN": series(lambda n: 8.0 + n % 5),
                "RH2M": series(lambda n: 60.0 + n % 30),
                "WS2M": series(lambda n: 1.0 + n % 4),
            }
        },
    }  # fmt: skip


def meteo(first: date, last: date) -> dict[str, object]:
    """Return an answer in the form of Open-Meteo."""
    count = (last - first).days + 1
    return {
        "latitude": 48.2, "longitude": 16.4, "elevation": 190.0,
        "daily_units": {"time": "iso8601", "temperature_2m_min": "°C", "temperature_2m_max": "°C",
                        "precipitation_sum": "mm"},
        "daily": {
            "time": [str(first + timedelta(days=n)) for n in range(count)],
            "temperature_2m_min": [4.0 + n % 7 for n in range(count)],
            "temperature_2m_max": [14.0 + n % 8 for n in range(count)],
            "precipitation_sum": [3.0 if n % 4 == 0 else 0.0 for n in range(count)],
        },
    }  # fmt: skip


class Handler(BaseHTTPRequestHandler):
    """Answers a question as the services do."""

    asked: list[str]

    def do_GET(self) -> None:
        type(self).asked.append(self.path)
        told = {key: value[0] for key, value in parse_qs(urlsplit(self.path).query).items()}
        if "start" in told:
            first, last = (date.fromisoformat(f"{t[:4]}-{t[4:6]}-{t[6:]}") for t in (told["start"], told["end"]))
            answer = power(first, last)
        else:
            answer = meteo(date.fromisoformat(told["start_date"]), date.fromisoformat(told["end_date"]))
        body = json.dumps(answer).encode()
        self.send_response(200)
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *words: Any) -> None:
        """Say nothing."""


@pytest.fixture
def asked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[str, ...]]:
    """Return the words that ask our server, its cache in a folder of the test."""
    for name in ("http_proxy", "HTTP_PROXY", "all_proxy", "ALL_PROXY", "MULLBED_OFFLINE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("MULLBED_WEATHER_CACHE", str(tmp_path / "cache"))
    Handler.asked = []
    running = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = Thread(target=running.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    yield (
        "weather", "fetch", "--latitude", "48.213", "--longitude", "16.377", "--from", "2019", "--until", "2021",
        "--address", f"http://127.0.0.1:{running.server_address[1]}/daily",
    )  # fmt: skip
    running.shutdown()
    running.server_close()
    thread.join()


def test_a_place_is_fetched_kept_and_written_with_whom_to_name(
    asked: tuple[str, ...], tmp_path: Path, mullbed: Callable[..., Any], repository: Path
) -> None:
    out = tmp_path / "weather.csv"
    ended = mullbed(*asked, "--out", str(out), "--json")
    assert ended.code == 0, ended.err
    document = json.loads(ended.out)
    assert (document["days"], document["from_cache"]) == (1096, False)
    assert document["cell"] == {"latitude": 48.21, "longitude": 16.38, "elevation_m": 195.0}
    assert document["missing_days"] == 10
    text = out.read_text(encoding="utf-8")
    assert "# attribution: Data from the NASA Langley Research Center POWER Project" in text
    weather = read_daily_weather(out)
    assert weather.rain.size == 1096
    assert len(weather.missing_days) == 10
    again = json.loads(mullbed(*asked, "--offline", "--json").out)
    assert again["from_cache"] is True
    assert len(Handler.asked) == 1
    assert "48.21" in Handler.asked[0]
    assert "48.213" not in Handler.asked[0]
    own = {"service", "address", "attribution", "terms", "grid", "from_cache", "fetched_on", "cell"}
    record = {key: value for key, value in document.items() if key not in own}
    assert faults_of({key: document[key] for key in own}, repository, "weather fetch") == (set(), set())
    assert faults_of(record, repository, "weather read") == (set(), set())


def test_another_service_answers_in_its_own_form(asked: tuple[str, ...], mullbed: Callable[..., Any]) -> None:
    ended = mullbed(*asked, "--service", "open-meteo", "--plain")
    assert ended.code == 0, ended.err
    told = " ".join(ended.out.split())
    assert all(part in told for part in ("Open-Meteo", "CC BY 4.0", "not measured in your garden", "1096 days"))


def test_the_switch_in_the_environment_keeps_the_network_shut(
    asked: tuple[str, ...], mullbed: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("MULLBED_OFFLINE", "1")
    ended = mullbed(*asked)
    assert (ended.code, ended.out) == (2, "")
    assert "switched off" in ended.err
    assert Handler.asked == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--service", "weather-girl"), "nasa-power"),
        (("--from", "yesterday"), "1995-01-01"),
        (("--until", "2199"), "behind"),
        (("--from", "1970"), "1981-01-01"),
        (("--latitude", "48", "--longitude", "190"), "-180 to 180"),
        (("--latitude", "60"), "the answer is for"),
    ],
)
def test_what_cannot_be_fetched_ends_with_two(
    asked: tuple[str, ...], words: tuple[str, ...], said: str, mullbed: Callable[..., Any]
) -> None:
    ended = mullbed(*asked, *words)
    assert (ended.code, ended.out) == (2, "")
    assert said in ended.err
