"""Contrast of the words. Expected values are known: black on white is 21:1."""

from __future__ import annotations

import pytest

from mullbed.reports import pigments


def test_black_on_white_is_twenty_one_to_one() -> None:
    assert pigments.contrast("#000000", "#FFFFFF") == pytest.approx(21.0)


@pytest.mark.parametrize(("words", "ground"), pigments.READING_PAIRS)
def test_reading_text_reaches_seven_to_one(words: str, ground: str) -> None:
    assert pigments.contrast(words, ground) >= 7.0


def test_a_blend_runs_from_the_first_to_the_second() -> None:
    assert pigments.blend("#000000", "#FFFFFF", 0.0) == "#000000"
    assert pigments.blend("#000000", "#FFFFFF", 0.5) == "#808080"
    assert pigments.blend("#000000", "#FFFFFF", 2.0) == "#FFFFFF"
