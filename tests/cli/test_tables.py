"""Residues and crops on the screen and as documents."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest


@pytest.mark.parametrize(
    "everyday", ["dry leaves", "grass clippings", "straw", "cardboard", "kitchen scraps", "pulled weeds"]
)
def test_everyday_names_are_found_with_a_wide_range(everyday: str, mullbed: Callable[..., object]) -> None:
    found = json.loads(mullbed("residues", everyday, "--json").out)["residues"]
    first = found[0]
    assert everyday in {name.casefold() for name in [first["name"], *first["also_called"]]}
    assert first["nitrogen"]["high"] / first["nitrogen"]["low"] >= 1.3


def test_every_number_of_every_residue_carries_range_evidence_and_a_named_source(
    mullbed: Callable[..., object],
) -> None:
    document = json.loads(mullbed("residues", "--json").out)
    assert len(document["residues"]) >= 300
    for residue in document["residues"]:
        for name in ("moisture", "carbon", "nitrogen", "phosphorus", "lignin", "loose_density", "cn"):
            number = residue[name]
            assert number["low"] <= number["mid"] <= number["high"], (residue["key"], name)
            assert number["evidence"] in {"measured", "published", "worked out", "a guess"}
            assert number["source"] in document["sources"], (residue["key"], name)
        assert residue["cn"]["mid"] == pytest.approx(residue["carbon"]["mid"] / residue["nitrogen"]["mid"])


def test_one_residue_shows_each_number_with_range_class_and_source(mullbed: Callable[..., object]) -> None:
    text = mullbed("residues", "wheat", "straw").out
    for part in ("Wheat straw", "C:N", "nitrogen", "lignin", " to ", "published", "Sources"):
        assert part in text


def test_units_change_densities_only(mullbed: Callable[..., object]) -> None:
    metric = mullbed("residues", "wheat", "straw").out
    us = mullbed("residues", "wheat", "straw", "--units", "us").out
    assert "kg/m³" in metric
    assert "lb/yd³" in us
    assert "kg/m³" not in us
    assert metric.split("loose")[0] == us.split("loose")[0].replace("lb/yd³", "kg/m³")


def test_plain_is_ascii_and_no_line_passes_the_width(mullbed: Callable[..., object]) -> None:
    for words in (("residues",), ("residues", "wheat", "straw"), ("crops",), ("crops", "tomato")):
        text = mullbed(*words, "--plain").out
        assert text.isascii()
        assert "\x1b" not in text
        assert max(map(len, text.splitlines())) <= 80, words


def test_a_name_that_is_nowhere_ends_with_two_and_the_nearest_names(mullbed: Callable[..., object]) -> None:
    ended = mullbed("residues", "strow")
    assert (ended.code, ended.out) == (2, "")
    assert "straw" in ended.err.split("Did you mean")[1]
    assert mullbed("crops", "qqqqqq").code == 2


def test_a_name_with_one_letter_wrong_is_understood(mullbed: Callable[..., object]) -> None:
    assert [crop["key"] for crop in json.loads(mullbed("crops", "tomatto", "--json").out)["crops"]] == ["tomato"]


def test_crops_tell_what_they_want_and_from_where(mullbed: Callable[..., object]) -> None:
    document = json.loads(mullbed("crops", "--json").out)
    assert len(document["crops"]) >= 60
    for crop in document["crops"]:
        want = crop["nitrogen_want"]
        assert 0 < want["low"] <= want["mid"] <= want["high"]
        assert want["source"] in document["sources"]
        assert crop["timing"]
