"""Whatever is typed, the command line answers in sentences: no traceback, no defect, nothing on standard output."""

from __future__ import annotations

import sys
from collections.abc import Callable

import numpy as np
import pytest

from mullbed.cli import main
from mullbed.errors import InputFault
from mullbed.units import parse_quantity

pytestmark = pytest.mark.soak

PIECES = (
    "25", "mm", "cm", "in", " ", ":", ",", ".", "-", "1/0", "1/2", "½", "²", "∞", "NaN", "1e999", "e", "0", "straw",
    "grass clippings", "bucket", "L", "gal", "kg", "\t", "\n", "\x00", "🌱", "İ", "٣", "①", "x", "×", "weeks", "°F",
    "'", '"', "[", "{", "%", "$(ls)", "--json", "9" * 400, "a" * 3000,
)  # fmt: skip


def odd_text(chance: np.random.Generator) -> str:
    return "".join(chance.choice(PIECES) for _ in range(chance.integers(0, 6)))


def test_any_text_is_an_amount_or_a_fault(soak_times: Callable[[int], int]) -> None:
    chance = np.random.default_rng(20260101)
    read = 0
    for _ in range(soak_times(200_000)):
        text = odd_text(chance)
        try:
            quantity = parse_quantity(text)
        except InputFault as fault:
            assert fault.faults
            continue
        read += 1
        assert np.isfinite(quantity.value), text
    assert read > 0


def test_any_words_end_in_sentences(
    soak_times: Callable[[int], int], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    chance = np.random.default_rng(20260102)
    refused = 0
    for _ in range(soak_times(5_000)):
        words = ["check"]
        for _ in range(chance.integers(1, 4)):
            words += ["--lift", odd_text(chance)]
        for option in ("--area", "--water", "--repeat", "--season", "--seed", "--garden", "--units"):
            if chance.random() < 0.5:
                words += [option, odd_text(chance)]
        monkeypatch.setattr(sys, "argv", ["mullbed", *words])
        with pytest.raises(SystemExit) as ended:
            main.run()
        shown = capsys.readouterr()
        assert ended.value.code in (0, 2, None), (words, shown.err)
        assert "Traceback" not in shown.err
        if ended.value.code == 2:
            refused += 1
            assert shown.out == "", words
            assert shown.err.strip()
    assert refused > 0
