"""The one place that compiles: ``equation`` for a scalar equation, ``step`` and ``loop`` for the engine.

Every equation of :mod:`mullbed.processes` is a pure scalar function marked ``@equation``; numba compiles and
inlines it in the daily loop. ``equation.py_func`` is the plain form for reading and for the published checks.
With ``NUMBA_DISABLE_JIT=1`` everything runs as plain Python, from the same source.

Importing this module imports numba (a quarter of a second), so record, list and show commands never do.
The cache folder's name holds a hash of the code that the loops are made from, because numba does not notice
a change in an inlined equation of another file.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from platformdirs import user_cache_path

Scalar = TypeVar("Scalar", bound=Callable[..., Any])

#: Every equation of the package by "module.name"; house-rule tests and the documentation read it.
EQUATIONS: dict[str, Callable[..., Any]] = {}

#: Fast-math flags that keep NaN and infinity meaningful.
FAST_FLAGS = {"nsz", "arcp", "contract", "afn"}


def source_fingerprint() -> str:
    """Return a short hash of the code compiled loops are made from: equations, engine and this file."""
    package = Path(__file__).parent
    digest = hashlib.sha256()
    sources = [*package.glob("processes/**/*.py"), *package.glob("simulate/**/*.py"), Path(__file__)]
    for path in sorted(sources):
        digest.update(str(path.relative_to(package)).encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def cache_folder() -> Path:
    """Return the user's cache folder for compiled loops of exactly this code."""
    return user_cache_path("mullbed") / "compiled" / source_fingerprint()


def is_cached() -> bool:
    """Tell whether the loops of exactly this code were compiled on this machine before."""
    return any(cache_folder().rglob("*.nbi"))


def _import_numba() -> Any:
    """Point numba's cache at our folder, then import it."""
    try:
        folder = cache_folder()
        folder.mkdir(parents=True, exist_ok=True)
        os.environ["NUMBA_CACHE_DIR"] = str(folder)
    except OSError:  # a read-only home: compile anew each time rather than fail
        pass
    import numba

    return numba


_numba = _import_numba()


def equation(function: Scalar) -> Scalar:
    """Compile a pure scalar equation and register it."""
    compiled = _numba.njit(error_model="numpy", fastmath=FAST_FLAGS, nogil=True)(function)
    EQUATIONS[f"{function.__module__.rsplit('.', 1)[-1]}.{function.__name__}"] = compiled
    return compiled  # type: ignore[no-any-return]


def step(function: Scalar) -> Scalar:
    """Compile a step of the day, built into the loop that calls it.

    A call would hand over some hundred numbers that describe the arrays, every day: a quarter of the time.
    """
    compiled = _numba.njit(error_model="numpy", fastmath=FAST_FLAGS, nogil=True, cache=True, forceinline=True)(function)
    return compiled  # type: ignore[no-any-return]


def loop(function: Scalar) -> Scalar:
    """Compile an engine loop over flat arrays; cached on disk, releases the interpreter lock."""
    compiled = _numba.njit(error_model="numpy", fastmath=FAST_FLAGS, nogil=True, cache=True)(function)
    return compiled  # type: ignore[no-any-return]
