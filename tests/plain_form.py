"""The plain form of an equation, whether or not it was compiled."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any


def plain(equation: Callable[..., Any]) -> Callable[..., Any]:
    """Return the equation as it is written; with NUMBA_DISABLE_JIT=1 it is that already."""
    written: Callable[..., Any] = getattr(equation, "py_func", equation)
    return written
