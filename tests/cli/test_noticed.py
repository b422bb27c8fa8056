"""mullbed noticed: the answer in words and as a document, faults at once, a table without any garden."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

from mullbed.files.bundled_garden import bundled_garden

GARDEN = str(bundled_garden())
WORDS = ("noticed", GARDEN, "--bed", "Gate Bed", "--day", "2027-07-10")


@pytest.fixture(scope="module")
def schema() -> dict:
    page = Path(__file__).resolve().parents[2] / "docs" / "reference" / "noticed.schema.json"
    return json.loads(page.read_text(encoding="utf-8"))


def test_the_answer_begins_with_what_to_do_and_says_how_sure(mullbed: Callable[..., object]) -> None:
    ended = mullbed(*WORDS, "--sign", "rotten egg", "--sign", "dripping", "--quick")
    assert ended.code == 0, ended.err
    assert ended.out.startswith("Open it up.")
    for word in ("DO ", "WHY ", "DON'T ", "EXPECT ", "How sure:", "What would change this:", "in 10"):
        assert word in ended.out
    assert "!" not in ended.out
    assert all(len(line) <= 80 for line in ended.out.splitlines())


def test_a_caution_is_dated_and_defers_to_local_rules(mullbed: Callable[..., object]) -> None:
    told = " ".join(mullbed(*WORDS, "--sign", "twisted", "--quick").out.split())
    assert "Weedkiller that lasts" in told
    assert "Checked on" in told
    assert "Local rules come first" in told


def test_with_the_model_run_the_document_meets_its_schema_and_feeds_the_smallest_dose(
    mullbed: Callable[..., object], schema: dict
) -> None:
    words = ("--sign", "old leaves yellow", "--sign", "slow", "--know", "soil_nitrate=6", "--json")
    ended = mullbed(*WORDS, *words)
    assert ended.code == 0, ended.err
    document = json.loads(ended.out)
    jsonschema.validate(document, schema)
    assert document["simulated"] is True
    assert {"soil_temperature", "rain_week"} <= {one["fact"] for one in document["known"]}
    first = document["causes"][0]
    assert first["cause"] == "nitrogen_short"
    assert first["settled"] is True
    short = document["nitrogen"]["shortage"]["mid"]
    assert short > 0.5
    dose = first["remedy"]["doses"][0]
    assert dose["grams"]["mid"] * 0.212 * 0.9 == pytest.approx(min(5.0, short) * document["area_m2"])


@pytest.mark.parametrize(
    "words", [("--list", "--json"), (GARDEN, "--bed", "Gate Bed", "--sign", "hot", "--quick", "--json")]
)
def test_documents_without_the_model_meet_the_schema(
    words: tuple[str, ...], mullbed: Callable[..., object], schema: dict
) -> None:
    ended = mullbed("noticed", *words)
    assert ended.code == 0, ended.err
    jsonschema.validate(json.loads(ended.out), schema)


def test_one_more_answer_changes_the_chance_and_is_not_asked_again(mullbed: Callable[..., object]) -> None:
    before = json.loads(mullbed(*WORDS, "--sign", "wilting", "--quick", "--json").out)
    look = before["next_looks"][0]
    after = json.loads(
        mullbed(*WORDS, "--sign", "wilting", "--quick", "--json", "--know", f"{look['fact']}={look['answers'][0]}").out
    )
    assert look["fact"] not in {one["fact"] for one in after["next_looks"]}
    assert [one["share"] for one in after["causes"]] != [one["share"] for one in before["causes"]]


def test_every_fault_is_told_at_once(mullbed: Callable[..., object]) -> None:
    ended = mullbed(*WORDS, "--sign", "glitter", "--not", "sparks", "--know", "ph", "--know", "nosuch=3", "--quick")
    assert ended.code == 2
    assert ended.out == ""
    for part in ("glitter", "sparks", "ph", "nosuch"):
        assert part in ended.err
    assert mullbed(*WORDS, "--quick").code == 2
    assert mullbed("noticed").code == 2
    assert mullbed("noticed", GARDEN, "--bed", "Nowhere Bed", "--sign", "hot", "--quick").code == 2
    assert mullbed(*WORDS, "--sign", "hot", "--not", "hot", "--quick").code == 2


def test_plain_is_ascii(mullbed: Callable[..., object]) -> None:
    assert mullbed(*WORDS, "--sign", "sharp", "--quick", "--plain").out.isascii()
    assert mullbed("noticed", "--list", "--plain").out.isascii()


def test_the_table_of_signs_imports_neither_compiler_nor_arrays() -> None:
    script = (
        "import sys; sys.argv = ['mullbed', 'noticed', '--list']\n"
        "from mullbed.cli.main import run\n"
        "try: run()\n"
        "except SystemExit: pass\n"
        "print(*sorted({name.split('.')[0] for name in sys.modules}), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert not set(done.stderr.split()) & {"numba", "scipy", "numpy", "sqlalchemy", "highspy"}
