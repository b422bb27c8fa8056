"""Every publication is named once, used, and tried; what is not stands on a counted list that may only shrink."""

from __future__ import annotations

import re
import tomllib

from source_files import KEY, PACKAGE, REPOSITORY, SOURCES, equations, source_keys

#: Named in sources.toml and used nowhere yet.
UNUSED = {
    "cfr112", "justes2009", "larsson1997", "mccalla1946", "mckenzie1958", "nett2015", "nicolardot2001", "small2019",
    "sullivan2012", "usda_soil_survey", "viskari2022", "weber2018",
}  # fmt: skip
#: Cited by an equation, and no file of tests/published names them yet.
UNTRIED: set[str] = set()
READABLE = {".py", ".csv", ".toml"}


def test_every_publication_is_used_or_counted_as_unused() -> None:
    text = "".join(
        path.read_text(encoding="utf-8")
        for path in PACKAGE.rglob("*")
        if path.suffix in READABLE and path != SOURCES and path.is_file()
    )
    unused = {key for key in source_keys() if not re.search(rf"\b{re.escape(key)}\b", text)}
    assert unused <= UNUSED, f"unused and not counted: {sorted(unused - UNUSED)}"


def test_every_source_of_an_equation_is_tried_or_counted_as_untried() -> None:
    tests = REPOSITORY / "tests" / "published"
    text = "".join(path.read_text(encoding="utf-8") for path in tests.rglob("*") if path.suffix in READABLE)
    names = " ".join(path.stem for path in tests.rglob("test_*.py"))
    cited = {key for equation in equations() for key in KEY.findall(equation.docstring)} - {"mullbed_model"}
    untried = {key for key in cited if key not in text and key not in names}
    assert untried <= UNTRIED, f"untried and not counted: {sorted(untried - UNTRIED)}"


def test_every_publication_says_who_when_what_and_how_it_was_seen() -> None:
    rows = tomllib.loads(SOURCES.read_text(encoding="utf-8"))
    assert len(rows) >= 50
    for key, row in rows.items():
        assert row["title"].strip(), key
        assert row["seen"] in {"read", "second hand", "from memory"}, key
        assert isinstance(row["year"], int), key
        assert row["authors"], key
        if row["address"].startswith("http"):
            assert row["address"].startswith("https://"), key
        elif row["address"]:
            assert "." in row["address"], key
