"""Daily weather back into the text of a station file a garden may name, remarks kept; and that text onto the disk."""

from __future__ import annotations

import os
from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path
from tempfile import NamedTemporaryFile

import numpy as np

from mullbed.domain.daily_weather import DailyWeather
from mullbed.errors import Fault, InputFault
from mullbed.weather.gaps import FIELDS


def station_file_text(weather: DailyWeather, remarks: Sequence[str] = ()) -> str:
    """Return a record as the text of a station file; missing values stay empty, remarks stand above the headings."""
    columns = {column: getattr(weather, name) for name, column in FIELDS.items() if getattr(weather, name) is not None}
    lines = [f"# source: {_one_line(weather.source)}", *(f"# {_one_line(remark)}" for remark in remarks)]
    lines.append(",".join(["date", *columns]))
    for place in range(weather.rain.size):
        cells = ["" if np.isnan(values[place]) else f"{values[place]:.6g}" for values in columns.values()]
        lines.append(",".join([(weather.first_day + timedelta(days=place)).isoformat(), *cells]))
    return "\n".join(lines) + "\n"


def _one_line(text: str) -> str:
    return " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())


def write_whole(path: Path, text: str) -> None:
    """Write a text whole or not at all; a file that was there is replaced at once.

    Raises
    ------
    InputFault
        When it cannot be written.
    """
    fresh: Path | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with NamedTemporaryFile("wb", dir=path.parent, prefix=f".{path.name}-", delete=False) as stream:
            fresh = Path(stream.name)
            stream.write(text.encode("utf-8"))
            stream.flush()
            os.fsync(stream.fileno())
        fresh.chmod(0o644)
        fresh.replace(path)
    except OSError as error:
        if fresh is not None:
            fresh.unlink(missing_ok=True)
        found = f"cannot be written ({error.strerror or type(error).__name__})"
        raise InputFault([Fault(str(path), found, "a file that may be written", "Choose another place.")]) from error
