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
import logging
import math
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
    """Tell whether the day loop of exactly this code was compiled on this machine before."""
    return any(cache_folder().rglob("kernel.run_members*.nbi"))


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

#: True where nothing is compiled and every loop runs as plain Python.
PLAIN = bool(_numba.config.DISABLE_JIT)


def _put_exponential_in_lanes() -> None:
    """Let compiled code work ``math.exp`` out in place, so that the compiler can do it for many lanes at once.

    The library's own routine is a call for one number, which ends every attempt at vectors. Here x = n ln 2 + r
    with n whole and |r| <= 0.35: the series of e**r up to r**13 is good to the last digit, and 2**n is written
    straight into the exponent bits. Inputs beyond -708 and 709 are held there; NaN stays NaN.
    """
    from numba.core import types
    from numba.core.cgutils import ir  # type: ignore[attr-defined] # what numba itself builds code from
    from numba.extending import lower_builtin

    real, whole = ir.DoubleType(), ir.IntType(64)
    shift = 1.5 * 2.0**52  # adding it rounds to a whole number and leaves that in the low bits

    def exponential(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        def number(value: float) -> Any:
            return ir.Constant(real, value)

        x = arguments[0]
        x = builder.select(builder.fcmp_ordered("<", x, number(-708.0)), number(-708.0), x)
        x = builder.select(builder.fcmp_ordered(">", x, number(709.0)), number(709.0), x)
        shifted = builder.fadd(builder.fmul(x, number(1.4426950408889634)), number(shift))
        turns = builder.fsub(shifted, number(shift))
        rest = builder.fsub(x, builder.fmul(turns, number(6.93147180369123816490e-01)))
        rest = builder.fsub(rest, builder.fmul(turns, number(1.90821492927058770002e-10)))
        series = number(1.0 / math.factorial(13))
        for power in range(12, -1, -1):
            series = builder.fadd(builder.fmul(series, rest), number(1.0 / math.factorial(power)))
        bits = builder.bitcast(shifted, whole)
        bits = builder.shl(builder.add(bits, ir.Constant(whole, 1023)), ir.Constant(whole, 52))
        return builder.fmul(series, builder.bitcast(bits, real))

    lower_builtin(math.exp, types.float64)(exponential)


def _leave_linear_algebra_out() -> None:
    """Keep numba from loading SciPy only to see whether compiled code could multiply matrices; ours never does.

    It saves a sixth of the time until a first result. Where numba is built otherwise, nothing is gained or lost.
    """
    try:
        from numba.np import linalg

        known = linalg.ensure_blas
    except (ImportError, AttributeError):
        return

    def absent() -> None:
        raise ImportError

    linalg.ensure_blas = absent
    try:
        import numba.np.arraymath  # noqa: F401 - looks once, when first imported
    finally:
        linalg.ensure_blas = known


if not PLAIN:
    _put_exponential_in_lanes()
    _leave_linear_algebra_out()


def tell_before_compiling() -> None:
    """Say once, through the log, that the day loop must be compiled on this machine first, which takes a while.

    Python shows a warning of the log on the error stream unless the program that uses the package set it up otherwise.
    """
    global _told
    if _told:
        return
    _told = True
    if not PLAIN and not is_cached():
        logging.getLogger(__name__).warning("Preparing the model for this machine, once: about half a minute.")


_told = False


def equation(function: Scalar) -> Scalar:
    """Compile a pure scalar equation and register it; cached, for those called one by one outside the loops."""
    compiled = _numba.njit(error_model="numpy", fastmath=FAST_FLAGS, nogil=True, cache=True, forceinline=True)(function)
    EQUATIONS[f"{function.__module__.rsplit('.', 1)[-1]}.{function.__name__}"] = compiled
    return compiled  # type: ignore[no-any-return]


def step(function: Scalar) -> Scalar:
    """Compile a step of the day, built into the loop that calls it.

    A call would hand over some hundred numbers that describe the arrays, every day: a quarter of the time.
    """
    compiled = _numba.njit(error_model="numpy", fastmath=FAST_FLAGS, nogil=True, forceinline=True)(function)
    return compiled  # type: ignore[no-any-return]


def loop(function: Scalar) -> Scalar:
    """Compile an engine loop over flat arrays; cached on disk, releases the interpreter lock."""
    compiled = _numba.njit(error_model="numpy", fastmath=FAST_FLAGS, nogil=True, cache=True)(function)
    return compiled  # type: ignore[no-any-return]
