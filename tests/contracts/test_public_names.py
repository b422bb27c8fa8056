"""The public names of the package: typed, documented, in order, loaded when they are asked for."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from pathlib import Path

import pytest

import mullbed

HEAVY = ("numpy", "numba", "scipy", "highspy", "xarray", "sqlalchemy", "fastapi", "typst", "pandas")


def loaded_after(code: str) -> set[str]:
    """Return which heavy packages a fresh interpreter has loaded after some code."""
    asked = f"import sys, json\n{code}\nprint(json.dumps([name for name in {HEAVY!r} if name in sys.modules]))"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    return set(json.loads(done.stdout.splitlines()[-1]))


def test_importing_the_package_loads_nothing_heavy() -> None:
    assert loaded_after("import mullbed\ndir(mullbed)") == set()


def test_an_error_or_a_word_of_the_record_loads_no_engine_and_no_database() -> None:
    assert loaded_after("import mullbed\nmullbed.InputFault, mullbed.Where, mullbed.demo_garden()") == set()


def test_a_dataset_is_not_loaded_before_one_is_made() -> None:
    assert "xarray" not in loaded_after("import mullbed\nmullbed.dataset_of_forecasts, mullbed.weather_of_dataset")


def test_every_public_name_is_there_told_once_and_in_order() -> None:
    assert mullbed.__all__ == sorted(mullbed.__all__) and len(set(mullbed.__all__)) == len(mullbed.__all__)
    assert dir(mullbed) == mullbed.__all__
    for name in mullbed.__all__:
        assert getattr(mullbed, name).__doc__, f"{name} says nothing of itself"
    with pytest.raises(AttributeError, match="no_such_name"):
        getattr(mullbed, "no_such_name")  # noqa: B009


def test_type_checkers_find_every_name_where_it_is_loaded_from() -> None:
    tree = ast.parse(Path(mullbed.__file__).read_text(encoding="utf-8"))
    (block,) = [node for node in tree.body if isinstance(node, ast.If)]
    typed = {name.name: one.module for one in block.body if isinstance(one, ast.ImportFrom) for name in one.names}
    assert typed == mullbed._PLACES


def test_every_public_name_is_on_the_page_or_a_type_of_one_that_is() -> None:
    page = (Path(__file__).parents[2] / "docs/howto/use-from-python.md").read_text(encoding="utf-8")
    shown = {name for name in mullbed.__all__ if f"mullbed.{name}" in page}
    functions = {name for name in mullbed.__all__ if name.islower()}
    rest = functions - shown
    assert rest <= {
        "diagnose_bed",
        "list_cautions",
        "list_crops",
        "list_in_hand",
        "list_residues",
        "preview_layer",
        "read_garden",
    }
