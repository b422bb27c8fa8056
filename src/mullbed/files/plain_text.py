"""Text of a garden file or a table beside it; what is too large or not text is refused before it is read whole."""

from __future__ import annotations

from pathlib import Path

from mullbed.errors import Fault, InputFault

LARGEST_BYTES = 4_000_000
"""Far more than a thousand beds need."""


def read_plain_text(path: Path, what: str, largest: int = LARGEST_BYTES) -> str:
    """Return the text of a UTF-8 file; ``what`` says what it should hold, such as "a garden file (TOML)".

    Raises
    ------
    InputFault
        When the file is missing, too large, empty or not UTF-8 text.
    """
    place = str(path)
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise InputFault([Fault(place, "not a plain file", what, "Give the path of a file.")])
        content = b""
        if size <= largest:
            with path.open("rb") as stream:
                content = stream.read(largest + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "no such path"
        remedy = "Check the path and its spelling, or give another file."
        raise InputFault([Fault(place, f"cannot be read ({reason})", what, remedy)]) from error
    if size > largest or len(content) > largest:
        found = f"{max(size, len(content)) / 1e6:.0f} MB is too large"
        remedy = "Give the garden file itself; keep weather and other tables in files of their own."
        raise InputFault([Fault(place, found, f"{what} of at most {largest / 1e6:.0f} MB", remedy)])
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        found = f"byte 0x{content[error.start]:02x} is not UTF-8"
        remedy = "Save the file again as UTF-8 text."
        raise InputFault([Fault(f"{place}, line {line}", found, f"{what} in UTF-8", remedy)]) from error
    if not text.strip():
        raise InputFault([Fault(place, "empty", what, "Describe the garden in it, or give another file.")])
    return text
