"""Where the bundled garden lies: an invented place with real weather, to try everything on."""

from __future__ import annotations

from importlib import resources
from pathlib import Path


def bundled_garden() -> Path:
    """Return the path of the bundled garden file; its weather lies beside it."""
    return Path(str(resources.files("mullbed.files") / "demo" / "garden.toml"))
