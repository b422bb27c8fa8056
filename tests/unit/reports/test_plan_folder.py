"""Outputs are written whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest
from season_sample import FIRST, GARDEN, PLAN

from mullbed.errors import InputFault
from mullbed.reports.plan_folder import OUTPUTS, write_folder
from mullbed.reports.plan_outputs import plan_outputs


def names(folder: Path) -> list[str]:
    return sorted(entry.name for entry in folder.iterdir())


def test_a_plan_leaves_its_six_outputs_and_nothing_beside_them(tmp_path: Path) -> None:
    written = write_folder(tmp_path / "demo-out", plan_outputs(PLAN, GARDEN, made_on=FIRST))
    assert names(tmp_path / "demo-out") == sorted(OUTPUTS)
    assert names(tmp_path) == ["demo-out"]
    assert all(path.stat().st_size > 100 for path in written)


def test_a_second_plan_takes_the_place_of_the_first(tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_folder(out, {"a.txt": "old", "b.txt": "old"})
    write_folder(out, {"a.txt": "new", "b.txt": b"new"})
    assert [(out / name).read_text() for name in names(out)] == ["new", "new"]
    assert names(tmp_path) == ["out"]


def test_files_of_others_stay(tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "notes.txt").write_text("mine")
    write_folder(out, {"a.txt": "new"})
    assert names(out) == ["a.txt", "notes.txt"]
    assert (out / "notes.txt").read_text() == "mine"


class Breaks(dict[str, str | bytes]):
    """Contents whose second file cannot be had."""

    def items(self):  # type: ignore[no-untyped-def, override]
        yield "a.txt", "new"
        raise RuntimeError("drawing failed")


@pytest.mark.parametrize("others", [False, True])
def test_a_failure_leaves_what_was_there(tmp_path: Path, others: bool) -> None:
    out = tmp_path / "out"
    write_folder(out, {"a.txt": "old"})
    if others:
        (out / "notes.txt").write_text("mine")
    before = names(out)
    with pytest.raises(RuntimeError):
        write_folder(out, Breaks({"a.txt": "new", "b.txt": "new"}))
    assert names(out) == before
    assert (out / "a.txt").read_text() == "old"
    assert names(tmp_path) == ["out"]


@pytest.mark.parametrize("others", [False, True])
def test_a_failing_exchange_gives_the_old_files_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, others: bool
) -> None:
    out = tmp_path / "out"
    write_folder(out, {"a.txt": "old", "b.txt": "old"})
    if others:
        (out / "notes.txt").write_text("mine")
    before = names(out)
    real, calls = Path.rename, []

    def rename(self: Path, target: Path) -> Path:
        calls.append(self)
        if len(calls) == (4 if others else 2):
            raise OSError(28, "No space left on device")
        return real(self, target)

    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(InputFault, match="No space left"):
        write_folder(out, {"a.txt": "new", "b.txt": "new"})
    assert names(out) == before
    assert (out / "a.txt").read_text() == "old" and (out / "b.txt").read_text() == "old"
    assert names(tmp_path) == ["out"]


def test_a_file_in_the_place_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    with pytest.raises(InputFault, match="it is a file"):
        write_folder(tmp_path / "out", {"a.txt": "new"})
    assert (tmp_path / "out").read_text() == "a file"
