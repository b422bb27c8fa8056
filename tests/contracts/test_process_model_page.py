"""The page of the model tells the numbers the engine uses and names every equation number in use."""

from __future__ import annotations

import re

from source_files import REPOSITORY, equations

from mullbed.simulate.parameters import PARAMETERS

PAGE = (REPOSITORY / "docs" / "topics" / "process-model.md").read_text(encoding="utf-8")
DOUBT = {"cv": "CV {:g}", "log": "log-sd {:g}", "sd": "sd {:g}", "": "held"}


def test_every_parameter_stands_on_the_page_with_value_doubt_unit_and_class() -> None:
    rows = re.findall(r"^\| `(\w+)` \| (\S+) \| ([^|]+) \| ([^|]+) \| ([^|]+) \|$", PAGE, re.M)
    told = {name: (middle, doubt, unit, evidence) for name, middle, doubt, unit, evidence in rows}
    ours = {
        one.name: (f"{one.middle:g}", DOUBT[one.kind].format(one.spread), one.unit, str(one.evidence))
        for one in PARAMETERS
    }
    assert told == ours


def test_every_equation_number_in_the_code_is_told_on_the_page() -> None:
    cited = {
        int(number)
        for equation in equations()
        for found in re.findall(r"\[@mullbed_model\] eq\. (\d+)(?:-(\d+))?", equation.docstring)
        for number in found
        if number
    }
    told: set[int] = set()
    for first, last in re.findall(r"\*\*\((\d+)(?:-(\d+))?\)\*\*", PAGE):
        told |= set(range(int(first), int(last or first) + 1))
    assert len(cited) >= 20
    assert cited <= told
    assert told == set(range(1, 28))
