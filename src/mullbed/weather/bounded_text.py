"""Text of a file that is small enough and really is text; anything else is refused before it is read whole."""

from __future__ import annotations

from pathlib import Path

from mullbed.errors import Fault, InputFault

LARGEST_BYTES = 20_000_000
"""About four hundred years of daily rows; a larger file is not one place's weather."""


def read_bounded_text(path: Path, largest: int = LARGEST_BYTES) -> str:
    """Return the text of a UTF-8 file of at most so many bytes.

    Raises
    ------
    InputFault
        When the file is missing, too large, empty or not UTF-8 text.
    """
    place = str(path)
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise InputFault([Fault(place, "not a plain file", "a CSV file", "Give the path of a file.")])
        if size > largest:
            raise InputFault([_too_large(place, f"{size / 1e6:.0f} MB", largest)])
        with path.open("rb") as stream:
            content = stream.read(largest + 1)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise InputFault(
            [Fault(place, f"cannot be read ({reason})", "a readable CSV file", "Check the path and its spelling.")]
        ) from error
    if len(content) > largest:
        raise InputFault([_too_large(place, f"more than {largest / 1e6:.0f} MB", largest)])
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise InputFault(
            [
                Fault(
                    f"{place}, line {line}",
                    f"byte 0x{content[error.start]:02x} is not UTF-8",
                    "UTF-8 text",
                    "Save the file again as UTF-8 text (in a spreadsheet: CSV UTF-8).",
                )
            ]
        ) from error
    if not text.strip():
        raise InputFault([Fault(place, "empty", "a header line and one row a day", "Put the weather in the file.")])
    return text


def _too_large(place: str, found: str, largest: int) -> Fault:
    return Fault(
        place,
        f"{found} is too large",
        f"at most {largest / 1e6:.0f} MB",
        "Keep the daily rows of one place only, and the columns this page names.",
    )
