"""The committed tables are what the open tables give, so nobody edits a number by hand."""

from __future__ import annotations

import runpy
import shutil
import sys
from pathlib import Path

import pytest


def test_the_tables_are_what_their_builder_writes(
    shared_data: Path, repository: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not (shared_data / "materials_values.csv").exists():
        pytest.skip("OPEN TABLES ABSENT: materials_values.csv is not among the data sets; this check did not run")
    tables = repository / "src" / "mullbed" / "reference"
    for rules in ("residue_rules.toml", "crop_rules.toml"):
        shutil.copy(tables / rules, tmp_path)
    monkeypatch.syspath_prepend(str(repository / "scripts"))
    monkeypatch.delitem(sys.modules, "residue_handling", raising=False)
    builder = runpy.run_path(str(repository / "scripts" / "build_reference.py"))
    for work in ("residues", "crops"):
        monkeypatch.setitem(builder[work].__globals__, "OUT", tmp_path)
        builder[work](shared_data)
    for name in ("residues.csv", "residue_kinds.csv", "crops.csv"):
        assert (tmp_path / name).read_text("utf-8") == (tables / name).read_text("utf-8"), f"{name}: rebuild it"
