"""A laboratory's table as CSV or spreadsheet: units forced, methods named, every fault at once."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from mullbed.errors import InputFault
from mullbed.files.laboratory_table import read_laboratory


def table(tmp_path: Path, *lines: str) -> Path:
    path = tmp_path / "report.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


def read(path: Path, columns: dict[str, str] | None = None, methods: dict[str, str] | None = None):
    return read_laboratory(path, columns=columns or {}, methods=methods or {})


def test_a_row_a_sample_with_units_and_methods_in_its_head(tmp_path: Path):
    path = table(
        tmp_path,
        "Parcel;sampled;depth;cores;pH;OM [%];P (Bray 1) [mg/kg];K2O [mg/100g];nitrate-N [mg/kg];remarks",
        "Low;2027-04-02;0-15 cm;12;6,4;3,1;32;24;<2;wet",
    )
    (one,) = read(path, {"bed": "Parcel"})
    assert (one.bed, one.day, one.depth_to, one.cores) == ("Low", date(2027, 4, 2), pytest.approx(0.15), 12)
    values = {value.name: value for value in one.values}
    assert values["phosphorus"].method == "Bray 1" and values["phosphorus"].value == 32.0
    assert values["potassium"].value == pytest.approx(240.0 * 0.8301)  # known: 2 K in K2O
    assert values["nitrate nitrogen"].below_limit and values["nitrate nitrogen"].value == 2.0
    assert values["organic matter"].value == 3.1 and values["pH"].value == 6.4


def test_a_row_a_value_gives_the_same_sample(tmp_path: Path):
    path = table(
        tmp_path,
        "bed,sample,parameter,result,unit,method",
        "Low,S1,Organic matter,3.1,%,loss on ignition",
        "Low,S1,Phosphorus,32,ppm,Olsen",
        "High,S2,pH,7.1,,water",
    )
    low, high = read(path)
    assert [value.name for value in low.values] == ["organic matter", "phosphorus"]
    assert low.values[1].method == "Olsen"
    assert high.bed == "High" and high.values[0].unit == "1"


def test_nitrate_whose_meaning_is_open_is_refused_until_it_is_told(tmp_path: Path):
    path = table(tmp_path, "bed,NO3 [mg/kg]", "Low,50")
    with pytest.raises(InputFault, match="factor of four"):
        read(path)
    (one,) = read(path, {"nitrate as no3": "NO3 [mg/kg]"})
    assert one.values[0].name == "nitrate nitrogen"
    assert one.values[0].value == pytest.approx(11.3)


def test_every_fault_is_told_at_once(tmp_path: Path):
    path = table(tmp_path, "bed,day,depth,P [mg/kg],K,pH,OM [%]", "Low,soon,15,32,3,64,a lot")
    with pytest.raises(InputFault) as told:
        read(path, {"plot": "Parzelle"})
    words = str(told.value)
    for part in ("Parzelle", "phosphorus without its method", "no unit", "soon", "depth '15'", "pH 64", "a lot"):
        assert part in words, part


def test_a_spreadsheet_reads_as_the_same_table(tmp_path: Path):
    from openpyxl import Workbook

    book = Workbook()
    book.active.append(["bed", "day", "pH", "organic matter [%]"])
    book.active.append(["Low", date(2027, 4, 2), 6.4, 3.1])
    book.save(tmp_path / "report.xlsx")
    (one,) = read(tmp_path / "report.xlsx")
    assert one.day == date(2027, 4, 2)
    assert {value.name: value.value for value in one.values} == {"pH": 6.4, "organic matter": 3.1}


@pytest.mark.parametrize("content", ["", "bed,colour\nLow,red\n", "bed,pH\n,,\n"])
def test_a_table_without_a_value_is_refused(tmp_path: Path, content: str):
    with pytest.raises(InputFault):
        read(table(tmp_path, content))
