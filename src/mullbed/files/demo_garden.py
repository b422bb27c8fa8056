"""Where the invented garden lies that comes with the program."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path


def demo_garden() -> Path:
    """Return the garden file of the demo, which names its weather file beside it."""
    return Path(str(files("mullbed.files").joinpath("demo/garden.toml")))
