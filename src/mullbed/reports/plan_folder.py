"""The six outputs of a plan, written whole or not at all: the only place where reports touch the disk."""

from __future__ import annotations

import os
import shutil
from collections.abc import Mapping
from pathlib import Path
from tempfile import mkdtemp

from mullbed.errors import Fault, InputFault

OUTPUTS = ("plan.json", "layers.csv", "gather.csv", "calendar.ics", "cards.pdf", "report.html")


def write_folder(folder: Path, files: Mapping[str, str | bytes]) -> tuple[Path, ...]:
    """Write all files into the folder at once and return their paths.

    They are written beside it first; a folder that was there is kept until all are written, and comes back if the
    exchange fails. Other files in it stay as they are.

    Raises
    ------
    InputFault
        When the folder cannot be written.
    """
    folder = folder.absolute()
    if folder.exists() and not folder.is_dir():
        raise _refused(folder, "it is a file")
    fresh: Path | None = None
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        fresh = Path(mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
        fresh.chmod(0o755)
        for name, content in files.items():
            data = content.encode("utf-8") if isinstance(content, str) else content
            with (fresh / name).open("wb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
        _exchange(folder, fresh, set(files))
    except OSError as error:
        if fresh is not None and fresh.exists():
            shutil.rmtree(fresh, ignore_errors=True)
        raise _refused(folder, error.strerror or str(error)) from error
    except BaseException:
        if fresh is not None and fresh.exists():
            shutil.rmtree(fresh, ignore_errors=True)
        raise
    return tuple(folder / name for name in files)


def _exchange(folder: Path, fresh: Path, written: set[str]) -> None:
    """Put the fresh folder in the place of the old one; where others keep files there too, exchange file by file."""
    if not folder.exists():
        fresh.rename(folder)
        return
    old = Path(mkdtemp(prefix=f".{folder.name}-old-", dir=folder.parent))
    try:
        if {entry.name for entry in folder.iterdir()} <= written:
            folder.rename(old / folder.name)
            try:
                fresh.rename(folder)
            except OSError:
                (old / folder.name).rename(folder)
                raise
        else:
            _exchange_files(folder, fresh, old, written)
    finally:
        shutil.rmtree(old, ignore_errors=True)


def _exchange_files(folder: Path, fresh: Path, old: Path, written: set[str]) -> None:
    """Exchange file by file; on a failure every old file goes back to its place."""
    moved: list[str] = []
    placed: list[str] = []
    try:
        for name in sorted(written):
            if (folder / name).exists():
                (folder / name).rename(old / name)
                moved.append(name)
        for name in sorted(written):
            (fresh / name).rename(folder / name)
            placed.append(name)
    except OSError:
        for name in placed:
            (folder / name).unlink()
        for name in moved:
            (old / name).rename(folder / name)
        raise
    fresh.rmdir()


def _refused(folder: Path, what: str) -> InputFault:
    return InputFault([Fault("--out", f"{folder}: {what}", "a folder that can be written", "Choose another folder.")])
