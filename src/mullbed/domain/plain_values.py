"""Domain words as plain values that JSON can hold, and back: nothing lost, nothing guessed.

Works for frozen dataclasses whose fields have types: texts, numbers, truth values, days, instants, paths, word lists
(``StrEnum``), tuples, dictionaries, series of numbers (NaN becomes null) and other dataclasses.
"""

from __future__ import annotations

import math
import types
from collections.abc import Mapping
from dataclasses import MISSING, fields, is_dataclass
from datetime import date, datetime
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from mullbed.errors import Fault, InputFault

Word = TypeVar("Word")


def to_plain(value: Any) -> Any:
    """Return a domain word as plain values; defaults are written too, so that a later default changes nothing."""
    if value is None or (isinstance(value, bool | str) and not isinstance(value, StrEnum)):
        return value
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, int | float):
        return value if math.isfinite(value) else None
    if isinstance(value, date):  # an instant too
        return value.isoformat()
    if isinstance(value, Path):
        return value.as_posix()
    if is_dataclass(value):
        return {one.name: to_plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): to_plain(one) for key, one in value.items()}
    if isinstance(value, tuple | list):
        return [to_plain(one) for one in value]
    if hasattr(value, "tolist"):
        return to_plain(value.tolist())
    raise TypeError(f"{type(value).__name__} has no plain form")


def from_plain(kind: type[Word], value: Any, place: str = "document") -> Word:
    """Return the domain word that plain values describe.

    Raises
    ------
    InputFault
        When a value does not fit, with its place; keys the word does not know are faults.
    """
    word: Word = _read(kind, value, place)
    return word


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _read(kind: Any, value: Any, place: str) -> Any:
    origin = get_origin(kind)
    if origin in (Union, types.UnionType):
        return _choice(get_args(kind), value, place)
    if origin is tuple:
        return _tuple(get_args(kind), value, place)
    if origin in (dict, Mapping) or (isinstance(origin, type) and issubclass(origin, Mapping)):
        _expect(isinstance(value, dict), value, "an object", place)
        key_kind, one_kind = get_args(kind)
        return {_key(key_kind, key, place): _read(one_kind, one, f"{place}.{key}") for key, one in value.items()}
    if origin is not None and getattr(origin, "__name__", "") == "ndarray":
        return _series(value, place)
    if kind is Any or kind is object:
        return value
    if is_dataclass(kind):
        return _word(kind, value, place)
    return _single(kind, value, place)


def _single(kind: Any, value: Any, place: str) -> Any:
    if kind is bool:
        _expect(isinstance(value, bool), value, "true or false", place)
        return value
    if kind is float:
        _expect(isinstance(value, int | float) and not isinstance(value, bool), value, "a number", place)
        return float(value)
    if kind is int:
        _expect(isinstance(value, int) and not isinstance(value, bool), value, "a whole number", place)
        return value
    _expect(isinstance(value, str), value, "a text", place)
    try:
        if kind is str:
            return value
        if kind is date or kind is datetime:
            return kind.fromisoformat(value)
        if kind is Path or (isinstance(kind, type) and issubclass(kind, StrEnum)):
            return kind(value)
    except ValueError:
        allowed = ", ".join(kind) if isinstance(kind, type) and issubclass(kind, StrEnum) else f"a {kind.__name__}"
        raise _refused(value, allowed, place) from None
    raise TypeError(f"{kind} has no plain form")


def _word(kind: Any, value: Any, place: str) -> Any:
    _expect(isinstance(value, dict), value, "an object", place)
    hints = _hints(kind)
    given: dict[str, Any] = {}
    for one in fields(kind):
        if one.name in value:
            given[one.name] = _read(hints[one.name], value[one.name], f"{place}.{one.name}")
        elif one.default is MISSING and one.default_factory is MISSING:
            raise _refused("missing", f"a value for {one.name}", f"{place}.{one.name}")
    unknown = sorted(set(value) - {one.name for one in fields(kind)})
    if unknown:
        raise _refused(f"unknown key '{unknown[0]}'", ", ".join(one.name for one in fields(kind)), place)
    try:
        return kind(**given)
    except ValueError as error:
        raise _refused(str(error), f"a sound {kind.__name__}", place) from error


def _choice(kinds: tuple[Any, ...], value: Any, place: str) -> Any:
    if value is None and types.NoneType in kinds:
        return None
    left = [kind for kind in kinds if kind is not types.NoneType]
    for kind in left[:-1]:
        try:
            return _read(kind, value, place)
        except InputFault:
            continue
    return _read(left[-1], value, place)


def _tuple(kinds: tuple[Any, ...], value: Any, place: str) -> tuple[Any, ...]:
    _expect(isinstance(value, list), value, "a list", place)
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        return tuple(_read(kinds[0], one, f"{place}[{index}]") for index, one in enumerate(value, start=1))
    _expect(len(value) == len(kinds), value, f"a list of {len(kinds)}", place)
    return tuple(
        _read(kind, one, f"{place}[{index}]")
        for index, (kind, one) in enumerate(zip(kinds, value, strict=True), start=1)
    )


def _key(kind: Any, key: str, place: str) -> Any:
    return key if kind is str else _read(kind, key, place)


def _series(value: Any, place: str) -> Any:
    import numpy as np

    sound = isinstance(value, list) and all(one is None or isinstance(one, int | float) for one in value)
    _expect(sound, value, "a list of numbers", place)
    return np.array([math.nan if one is None else float(one) for one in value], dtype=np.float64)


def _expect(sound: bool, value: Any, allowed: str, place: str) -> None:
    if not sound:
        raise _refused(value, allowed, place)


def _refused(value: Any, allowed: str, place: str) -> InputFault:
    text = str(value)
    shown = text if len(text) <= 60 else text[:57] + "..."
    return InputFault([Fault(place, shown, allowed, "Mend it there, or export the record again.")])
