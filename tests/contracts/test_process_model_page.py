"""The page of the model tells the numbers the engine uses and names every equation number in use."""

from __future__ import annotations

import re
import runpy

from source_files import REPOSITORY, equations

PAGE = REPOSITORY / "docs" / "topics" / "process-model.md"


def test_the_table_of_parameters_is_what_the_engine_uses() -> None:
    renewed = runpy.run_path(str(REPOSITORY / "docs" / "renew_parameters.py"))["page"]()
    assert PAGE.read_text(encoding="utf-8") == renewed, "run python docs/renew_parameters.py"
    assert len(re.findall(r"^\| `\w+` \| [-\d.]+ \|", renewed, re.M)) >= 58


def test_every_equation_number_in_the_code_is_told_on_the_page() -> None:
    cited = {
        int(number)
        for equation in equations()
        for found in re.findall(r"\[@mullbed_model\] eq\. (\d+)(?:-(\d+))?", equation.docstring)
        for number in found
        if number
    }
    told: set[int] = set()
    for first, last in re.findall(r"\*\*\((\d+)(?:-(\d+))?\)\*\*", PAGE.read_text(encoding="utf-8")):
        told |= set(range(int(first), int(last or first) + 1))
    assert len(cited) >= 20
    assert cited <= told
    assert told == set(range(1, 28))
