"""Renew the hashed, address-free locks from the project file."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parent.parent

COMMON = (
    "--universal",
    "--generate-hashes",
    "--no-emit-index-url",
    "--no-annotate",
    "--no-header",
    "--python-version",
    "3.11",
    "--quiet",
)

LOCKS = {
    "requirements/installer.txt": ("--group", "pyproject.toml:installer"),
    "requirements/lock.txt": ("pyproject.toml", "--group", "pyproject.toml:build"),
    "requirements/dev.txt": ("pyproject.toml", "--group", "pyproject.toml:dev"),
}


def renew(lock: str, sources: tuple[str, ...]) -> None:
    """Write one lock; versions already in it are kept where they still fit."""
    uv = Path(sys.executable).parent / "uv"
    subprocess.run([uv, "pip", "compile", *COMMON, *sources, "-o", lock], check=True, cwd=REPOSITORY)


if __name__ == "__main__":
    for lock, sources in LOCKS.items():
        renew(lock, sources)
        print(lock)
