"""Run the command line in this process as a shell would."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from mullbed.cli import main

sys.path.insert(0, str(Path(__file__).parent))


@dataclass(frozen=True)
class Ended:
    """How a command ended."""

    code: int
    out: str
    err: str


@pytest.fixture
def mullbed(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[..., Ended]:
    """Return a function that runs ``mullbed`` with words and tells exit code and both outputs."""

    def run(*words: str) -> Ended:
        monkeypatch.setattr(sys, "argv", ["mullbed", *words])
        with pytest.raises(SystemExit) as ended:
            main.run()
        shown = capsys.readouterr()
        code = ended.value.code
        return Ended(code if isinstance(code, int) else (0 if code is None else 1), shown.out, shown.err)

    return run
