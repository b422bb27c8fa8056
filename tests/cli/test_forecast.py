"""``mullbed forecast`` from the shell: bands in order, closed books, files whole."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from mullbed.files.bundled_garden import bundled_garden

WORDS = ("forecast", str(bundled_garden()), "--bed", "Plum Bed", "--members", "32")


def test_bands_are_in_order_and_the_books_are_closed(mullbed: Callable[..., object]) -> None:
    document = json.loads(mullbed(*WORDS, "--json").out)
    bed = document["beds"]["Plum Bed"]
    for name in ("thickness_mm", "moisture", "soil_temperature", "mineral_nitrogen", "net_nitrogen", "leached"):
        series = bed[name]
        assert len(series["p50"]) == len(bed["days"])
        for low, mid, high in zip(series["p10"], series["p50"], series["p90"], strict=True):
            assert low is None or low <= mid <= high, name
    assert all(error < 1e-9 for error in document["balance"].values())
    assert set(document["spread_by"]) == {"weather", "chemistry", "amount", "place", "rates"}


def test_the_folder_holds_document_table_and_charts(mullbed: Callable[..., object], tmp_path: Path) -> None:
    ended = mullbed(*WORDS, "--json", "--out", str(tmp_path / "out"))
    assert ended.code == 0, ended.err
    assert {path.name for path in (tmp_path / "out").iterdir()} == {"forecast.json", "forecast.csv", "forecast.html"}
    assert (tmp_path / "out" / "forecast.json").read_text(encoding="utf-8") == ended.out
    page = (tmp_path / "out" / "forecast.html").read_text(encoding="utf-8")
    assert "Plum Bed" in page
    assert "<svg" in page


def test_a_folder_that_cannot_be_written_is_named(mullbed: Callable[..., object], tmp_path: Path) -> None:
    (tmp_path / "file").write_text("kept", encoding="utf-8")
    ended = mullbed(*WORDS, "--out", str(tmp_path / "file"))
    assert ended.code == 2
    assert "--out" in ended.err
    assert (tmp_path / "file").read_text(encoding="utf-8") == "kept"
