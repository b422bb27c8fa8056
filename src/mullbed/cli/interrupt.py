"""A first Ctrl-C asks long work for the best it has so far; a second one stops it."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def best_so_far(tell: Callable[[str], None]) -> Iterator[Callable[[], bool]]:
    """Yield a function that says whether somebody asked to stop; the usual meaning of Ctrl-C comes back at the end.

    Parameters
    ----------
    tell : callable
        Told once, when the first Ctrl-C comes.
    """
    asked = threading.Event()

    def first(_number: int, _frame: object) -> None:
        asked.set()
        signal.signal(signal.SIGINT, signal.default_int_handler)
        tell("Taking the best plan so far. Press Ctrl-C again to stop without one.")

    if threading.current_thread() is not threading.main_thread():
        yield asked.is_set
        return
    before = signal.signal(signal.SIGINT, first)
    try:
        yield asked.is_set
    finally:
        signal.signal(signal.SIGINT, before)
