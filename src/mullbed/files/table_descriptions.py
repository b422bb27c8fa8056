"""What stands in the tables of the record, for other programs: CSV on the Web (W3C), in the name it looks for."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import date
from enum import StrEnum
from typing import Any

from mullbed.domain.record_kinds import FORMS, Kind
from mullbed.files.record_tables import ENTRY_COLUMNS, OTHERS, columns_of, table_name

DESCRIPTION_FILE = "csv-metadata.json"
_TYPES: dict[Any, object] = {
    bool: {"base": "boolean", "format": "yes|no"},
    int: "integer",
    float: "double",
    date: "date",
    str: "string",
}
_MEANS = {
    "id": "Id of the entry; rows of one id are its parts.",
    "garden": "Id of the garden.",
    "day": "Day it is about.",
    "written_at": "Moment it was written, in UTC.",
    "author": "Who wrote it.",
    "bed": "Name of the bed.",
    "batch": "Name of the batch.",
    "subject": "Id of an entry it belongs to.",
    "corrects": "Id of the entry it stands in place of.",
    "withdraws": "Id of the entry it takes back.",
}


def table_descriptions(names: Iterable[str]) -> str:
    """Return the description of tables by their file names."""
    kinds = {table_name(kind): kind for kind in Kind}
    document = {
        "@context": "http://www.w3.org/ns/csvw",
        "dialect": {"delimiter": ",", "header": True, "encoding": "utf-8"},
        "tables": [_table(name, kinds.get(name)) for name in sorted(names) if name in kinds or name == OTHERS],
    }
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def _table(name: str, kind: Kind | None) -> dict[str, object]:
    columns: list[dict[str, object]] = [_entry_column(one) for one in ENTRY_COLUMNS]
    if kind is None:
        columns += [
            {"titles": "kind", "datatype": "string"},
            {"titles": "version [1]", "datatype": "integer"},
            {"titles": "facts", "datatype": "json"},
        ]
    else:
        facts = columns_of(FORMS[kind].facts)
        if any(column.part for column in facts):
            columns.append({"titles": "part", "datatype": "integer", "dc:description": "Number of the part."})
        for column in facts:
            told: dict[str, object] = {"titles": column.header, "datatype": _type(column.kind)}
            if column.unit:
                told["schema:unitCode"] = column.unit
            columns.append(told)
    for number, one in enumerate(columns, start=1):
        one["name"] = f"c{number}"
    return {"url": name, "dc:title": f"Entries of kind: {kind or 'others'}", "tableSchema": {"columns": columns}}


def _entry_column(name: str) -> dict[str, object]:
    kinds = {"day": "date", "written_at": "dateTime"}
    return {"titles": name, "datatype": kinds.get(name, "string"), "dc:description": _MEANS[name]}


def _type(kind: Any) -> object:
    if kind in _TYPES:
        return _TYPES[kind]
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return {"base": "string", "format": "|".join(str(one) for one in kind)}
    return "json"
