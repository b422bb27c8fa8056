"""One reader of lists beside a file: what cannot be read is told with its line, nothing is dropped in silence."""

from __future__ import annotations

from pathlib import Path

import pytest

from mullbed.files.key_lines import KeyLines
from mullbed.files.listed_rows import listed_rows
from mullbed.files.reading import Reading, Table

COLUMNS = ("name", "km")


def rows_of(folder: Path, text: str, **more: object) -> tuple[list[Table], list[str]]:
    path = folder / "list.csv"
    path.write_text(text, encoding="utf-8")
    above = Reading("file.toml", KeyLines(""))
    found = listed_rows(path, COLUMNS, above, what="roads", most=3, numbers=("km",), **more)  # type: ignore[arg-type]
    return found, [f"{fault.place}: {fault.value}" for fault in above.faults]


@pytest.mark.parametrize("between", [",", ";", "\t"])
def test_rows_are_read_whatever_parts_them(tmp_path: Path, between: str) -> None:
    found, faults = rows_of(
        tmp_path, f"# remark\nname{between}km\na{between}2\n\nb{between}\n".replace("# remark\n", "")
    )
    assert [(row.raw("name"), row.raw("km")) for row in found] == [("a", 2), ("b", None)]
    assert not faults


def test_decimal_commas_are_numbers_and_words_stay_words(tmp_path: Path) -> None:
    found, _ = rows_of(tmp_path, "name;km\na;1,5\nb;far\n")
    assert [row.raw("km") for row in found] == [1.5, "far"]


def test_a_cell_too_many_is_told_with_its_line(tmp_path: Path) -> None:
    found, faults = rows_of(tmp_path, "name,km\na,2\nb,1,5\n")
    assert [row.raw("name") for row in found] == ["a"]
    assert len(faults) == 1 and "line 3" in faults[0] and "3 cells" in faults[0]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("name,km\n" + "a,1\n" * 4, "4 rows"),
        ("name,mm\na,1\n", "unknown column 'mm'"),
        ("name,name\na,b\n", "stands twice"),
        ("km\n1\n", "no column name"),
    ],
)
def test_a_list_that_cannot_be_read_is_refused_whole(tmp_path: Path, text: str, told: str) -> None:
    found, faults = rows_of(tmp_path, text, needed="name")
    assert found == []
    assert told in " ".join(faults)


def test_a_missing_list_is_a_fault_of_the_file_that_names_it(tmp_path: Path) -> None:
    above = Reading("file.toml", KeyLines(""))
    assert listed_rows(tmp_path / "none.csv", COLUMNS, above, what="roads", most=3) == []
    assert len(above.faults) == 1
