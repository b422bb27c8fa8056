"""The open files of the record lose nothing: invented entries of every kind go out and come back the same."""

from __future__ import annotations

import csv
import json
import re
import types
from dataclasses import MISSING, fields, is_dataclass
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from io import StringIO
from pathlib import Path
from typing import Any, Union, get_args, get_origin, get_type_hints

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from mullbed.domain.garden import WeatherSource
from mullbed.domain.observation import OBSERVABLES
from mullbed.domain.record import Entry, entry_id
from mullbed.domain.record_kinds import FORMS, Kind
from mullbed.domain.record_papers import Document, KeptVerbatim, PhotoTaken, TakenBack
from mullbed.domain.record_seen import FieldChecked, Observed, WeatherDay
from mullbed.domain.record_seen import SoilTested as SoilTestKept
from mullbed.domain.record_work import Cost
from mullbed.domain.spread import Evidence, Spread
from mullbed.errors import InputFault
from mullbed.files.record_calendar import plain_summary, read_record_calendar, record_calendar
from mullbed.files.record_document import read_record_document, record_document
from mullbed.files.record_tables import OTHERS, Unsigned, columns_of, read_record_table, record_tables, table_name
from mullbed.files.table_descriptions import table_descriptions

START = datetime(2027, 4, 1, 8, tzinfo=UTC)
TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=12) | st.sampled_from(
    ["", "=1+1", '"quoted", with comma', "-3", "@home", " blank ", "two\nlines", "ends in \r\n", "é ü 🌧"]
)
NAMES = st.sampled_from(["Gate Bed", "North, by the wall", '"Old" bed', "+Plus", "Beet é"])
DAYS = st.dates(date(2020, 1, 1), date(2030, 12, 31))
UNSIGNED = Unsigned("garden", "Ada", START, lambda: pytest.fail("every row has its id"))


def invented(hint: Any) -> st.SearchStrategy[Any]:
    """Return a strategy for a type; numbers lie between 0 and 1, so that shares and amounts are both sound."""
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        return st.one_of(*(st.none() if one is types.NoneType else invented(one) for one in get_args(hint)))
    if origin is tuple:
        inner = get_args(hint)
        if len(inner) == 2 and inner[1] is Ellipsis:
            return st.lists(invented(inner[0]), min_size=1, max_size=3).map(tuple)
        return st.tuples(*(invented(one) for one in inner))
    simple: dict[Any, st.SearchStrategy[Any]] = {
        str: TEXTS,
        bool: st.booleans(),
        int: st.integers(1, 9),
        float: st.floats(0.0, 1.0),
        date: DAYS,
        Path: st.sampled_from([Path("weather.csv"), Path("a b/=c.csv")]),
    }
    if hint in simple:
        return simple[hint]
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return st.sampled_from(list(hint))
    if hint is Spread:
        ordered = st.lists(st.floats(0.0, 1.0), min_size=3, max_size=3).map(sorted)
        return ordered.map(lambda one: Spread(*one, "1", Evidence.GUESS))
    if hint in SPECIAL:
        return SPECIAL[hint]
    if is_dataclass(hint):
        return dataclass_of(hint)
    raise AssertionError(f"no strategy for {hint}")


def dataclass_of(kind: Any) -> st.SearchStrategy[Any]:
    hints = get_type_hints(kind)

    @st.composite
    def built(draw: st.DrawFn) -> Any:
        given_values = {
            one.name: draw(invented(hints[one.name]))
            for one in fields(kind)
            if (one.default is MISSING and one.default_factory is MISSING) or draw(st.booleans())
        }
        try:
            return kind(**given_values)
        except (ValueError, InputFault):
            assume(False)

    return built()


@st.composite
def observed(draw: st.DrawFn) -> Observed:
    row = OBSERVABLES[draw(st.sampled_from(sorted(OBSERVABLES)))]
    if row.is_class:
        return Observed(row.key, word=draw(st.sampled_from(row.words)), said=draw(TEXTS))
    return Observed(row.key, value=draw(st.floats(row.low, row.high)), repeats=draw(st.integers(1, 4)))


SPECIAL: dict[Any, st.SearchStrategy[Any]] = {
    Observed: observed(),
    WeatherSource: st.sampled_from([WeatherSource(Path("weather.csv")), WeatherSource(None, (1.0,) * 12)]),
    WeatherDay: st.builds(
        WeatherDay, st.none() | st.floats(0, 90), st.none() | st.floats(-20, 5), st.none() | st.floats(5, 30)
    ),
    Cost: st.builds(Cost, TEXTS, st.sampled_from(["12.50", "-3", "0.1"]), st.sampled_from(["EUR", "USD"])),
    PhotoTaken: st.builds(PhotoTaken, st.just("ab" * 32), st.just("image/png"), st.integers(1, 999), TEXTS),
    Document: st.builds(
        Document, TEXTS, st.integers(1, 9), st.dictionaries(st.text(max_size=3), st.integers()).map(json.dumps), TEXTS
    ),
    SoilTestKept: st.builds(
        SoilTestKept,
        st.lists(st.deferred(lambda: dataclass_of(get_args(get_type_hints(SoilTestKept)["values"])[0])), min_size=1)
        .map(tuple),
        TEXTS,
    ),
    FieldChecked: st.builds(
        FieldChecked, TEXTS, TEXTS, st.lists(st.floats(-9, 9), min_size=1, max_size=4).map(tuple), TEXTS
    ),
}  # fmt: skip


@st.composite
def records(draw: st.DrawFn) -> tuple[Entry, ...]:
    """Return entries of every kind, one or two of each, some corrected, some taken back, some not understood."""
    found: list[Entry] = []

    def kept(kind: str, facts: Any, **more: Any) -> Entry:
        number = len(found)
        moment = START + timedelta(seconds=number, microseconds=draw(st.integers(0, 999_999)))
        form = FORMS.get(Kind(kind)) if kind in set(Kind) else None
        bed = draw(NAMES) if form is None or form.needs_bed or draw(st.booleans()) else None
        batch = "hay, of spring" if form is not None and form.needs_batch else None
        identity = entry_id(moment, number.to_bytes(10, "big"))
        entry = Entry(
            identity, "garden", kind, draw(DAYS), moment, "Ada", facts, **({"bed": bed, "batch": batch} | more)
        )
        found.append(entry)
        return entry

    some = draw(
        st.lists(st.sampled_from([kind for kind in Kind if kind is not Kind.TAKEN_BACK]), min_size=1, max_size=5)
    )
    for kind in some:
        first = kept(kind, draw(invented(FORMS[kind].facts)))
        if draw(st.booleans()):
            kept(kind, draw(invented(FORMS[kind].facts)), corrects=first.id)
        if draw(st.booleans()):
            kept(Kind.TAKEN_BACK, TakenBack(draw(TEXTS)), withdraws=first.id)
    if draw(st.booleans()):
        kept("seen from above", KeptVerbatim(3, '{"height":2.5}'))
        kept(Kind.WATER, KeptVerbatim(7, '{"deep":true}'))
    return tuple(found)


def by_id(entries: Any) -> list[Entry]:
    return sorted(entries, key=lambda entry: entry.id)


SETTINGS = settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))


@SETTINGS
@given(records())
def test_the_document_of_the_record_loses_nothing(entries: tuple[Entry, ...]) -> None:
    assert read_record_document(record_document("garden", entries), "record.json") == entries


@SETTINGS
@given(records())
def test_the_tables_of_the_record_lose_nothing(entries: tuple[Entry, ...]) -> None:
    kinds = {table_name(kind): str(kind) for kind in Kind}
    found: list[Entry] = []
    for name, text in record_tables(entries).items():
        found += read_record_table(text, name, kinds.get(name), UNSIGNED)
    assert by_id(found) == by_id(entries)


@SETTINGS
@given(records())
def test_the_calendar_of_the_record_loses_nothing(entries: tuple[Entry, ...]) -> None:
    content = record_calendar("garden", entries, frozenset(), plain_summary)
    assert by_id(read_record_calendar(content, "record.ics")) == by_id(entries)


@pytest.mark.parametrize("kind", list(Kind))
def test_every_kind_of_entry_can_be_invented_and_told(kind: Kind) -> None:
    """Guards the tests above: no kind may be left out of them for want of a strategy."""
    seen: list[Any] = []

    @settings(max_examples=1, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(invented(FORMS[kind].facts))
    def drawn(facts: Any) -> None:
        seen.append(facts)

    drawn()
    assert seen
    assert isinstance(seen[0], FORMS[kind].facts)


@SETTINGS
@given(records())
def test_every_column_of_every_table_is_described(entries: tuple[Entry, ...]) -> None:
    tables = record_tables(entries)
    described = {one["url"]: one for one in json.loads(table_descriptions(tables))["tables"]}
    assert set(described) == set(tables)
    for name, text in tables.items():
        header = next(csv.reader(StringIO(text, newline="")))
        columns = described[name]["tableSchema"]["columns"]
        assert [one["titles"] for one in columns] == header
        for one in columns:
            unit = re.search(r"\[(.+)\]$", one["titles"])
            assert one.get("schema:unitCode") == (unit[1] if unit and name != OTHERS else None)


NO_UNIT = {"value", "error", "version"}
"""Numbers whose unit stands in a cell beside them, or that count versions."""


@pytest.mark.parametrize("kind", list(Kind))
def test_every_number_of_a_table_has_its_unit_in_the_header(kind: Kind) -> None:
    bare = [
        column.header
        for column in columns_of(FORMS[kind].facts)
        if column.kind in (int, float) and not column.unit and column.path[-1] not in NO_UNIT
        if column.path[-2:-1] not in [(name,) for name in ("organic_matter", "litres")]
    ]
    assert not bare
