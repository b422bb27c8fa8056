"""TOML text as the table a file of ours begins with, knowing the line of every key."""

from __future__ import annotations

import tomllib

from mullbed.errors import Fault, InputFault
from mullbed.files.key_lines import KeyLines
from mullbed.files.reading import Reading, Table


def toml_root(text: str, place: str) -> Table:
    """Return the root table of a text; ``place`` names it in faults.

    Raises
    ------
    InputFault
        When the text is not TOML.
    """
    remedy = "Mend that line; texts stand in quotes, dates and numbers do not."
    try:
        values = tomllib.loads(text)
    except ValueError as error:
        raise InputFault([Fault(place, f"not TOML: {str(error)[:200]}", "TOML", remedy)]) from error
    except RecursionError as error:
        raise InputFault([Fault(place, "not TOML: brackets within brackets", "TOML", remedy)]) from error
    return Table(Reading(place, KeyLines(text)), values)
