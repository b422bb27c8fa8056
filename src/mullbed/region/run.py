"""Run numbered pieces of work on threads here, on processes here, or on a cluster at an address; keep each as it ends.

Three functions that are handed in make, run and keep a piece. Making and keeping happen in this process and one at a
time; only running is spread out. A piece is kept whole or not at all, and no more pieces are in memory than a few for
each worker, however many there are.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from threading import Lock
from typing import TYPE_CHECKING, Any, TypeVar

from mullbed.errors import Fault, InputFault

if TYPE_CHECKING:
    from distributed import Client

Piece = TypeVar("Piece")
Result = TypeVar("Result")

AHEAD = 2
"""Pieces handed to each worker of a cluster before the first of them is back."""


def run_pieces(
    numbers: Sequence[int],
    make: Callable[[int], Piece],
    work: Callable[[Piece], Result],
    keep: Callable[[int, Result], None],
    *,
    threads: int = 1,
    processes: int = 0,
    cluster: str | None = None,
    stop: Callable[[], bool] = lambda: False,
) -> None:
    """Run pieces until all are kept or somebody asks to stop; those that were begun are ended and kept.

    Parameters
    ----------
    numbers : sequence of int
    make : callable
        Returns the piece of a number.
    work : callable
        Runs a piece; a function of a module, so that other processes find it.
    keep : callable
        Takes a number and what its piece came to.
    threads : int
        In this process, where neither processes nor a cluster is asked for.
    processes : int
        So many processes of one thread each on this machine.
    cluster : str, optional
        Address of a dask scheduler, such as "tcp://10.0.0.5:8786".
    stop : callable

    Raises
    ------
    InputFault
        When nothing answers at the address.
    """
    if cluster is not None:
        with _client_at(cluster) as client:
            _on_cluster(client, numbers, make, work, keep, stop)
    elif processes > 0:
        with _own_processes(processes) as client:
            _on_cluster(client, numbers, make, work, keep, stop)
    else:
        _on_threads(numbers, make, work, keep, threads, stop)


def _on_threads(
    numbers: Sequence[int],
    make: Callable[[int], Piece],
    work: Callable[[Piece], Result],
    keep: Callable[[int, Result], None],
    threads: int,
    stop: Callable[[], bool],
) -> None:
    """Run a graph of one task a piece; only numbers are in the graph, so that it stays small."""
    from dask.threaded import get as on_threads

    single = Lock()

    def piece(number: int) -> bool:
        if stop():
            return False
        with single:
            made = make(number)
        found = work(made)
        with single:
            keep(number, found)
        return True

    graph: dict[Any, Any] = {("piece", number): (piece, number) for number in numbers}
    on_threads(graph, list(graph), num_workers=max(1, threads))


def _on_cluster(
    client: Client,
    numbers: Sequence[int],
    make: Callable[[int], Piece],
    work: Callable[[Piece], Result],
    keep: Callable[[int, Result], None],
    stop: Callable[[], bool],
) -> None:
    """Keep a few pieces with the workers, and hand out the next one as one comes back."""
    from distributed import as_completed

    waiting = iter(numbers)
    room = max(2, AHEAD * sum(client.nthreads().values()))
    number_of: dict[Any, int] = {}

    def handed_out(count: int) -> Iterator[Any]:
        for _ in range(count):
            number = None if stop() else next(waiting, None)
            if number is None:
                return
            future = client.submit(work, make(number), pure=False)
            number_of[future.key] = number
            yield future

    running = as_completed(list(handed_out(room)), loop=client.loop, with_results=True)
    for future, found in running:
        keep(number_of.pop(future.key), found)
        future.release()
        for following in handed_out(1):
            running.add(following)


@contextmanager
def _client_at(address: str) -> Iterator[Client]:
    from distributed import Client

    try:
        client = Client(address, timeout="10s", set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        allowed = 'the address of a dask scheduler that runs, such as "tcp://10.0.0.5:8786"'
        remedy = "Start `dask scheduler` and `dask worker`, with this version of Mullbed installed for the workers."
        raise InputFault([Fault("--cluster", address, allowed, remedy)]) from error
    with client:
        if not client.nthreads():
            fault = Fault("--cluster", f"{address} has no worker", "at least one", "Start `dask worker` for it.")
            raise InputFault([fault])
        _same_model(client, address)
        yield client


def _same_model(client: Client, address: str) -> None:
    """Refuse workers whose model is not ours to the last line: what comes out would not be one thing."""
    from mullbed.compiled import source_fingerprint

    own = source_fingerprint()
    remedy = "Install the same version of Mullbed, with its extra [region], for every worker."
    try:
        theirs = client.run(source_fingerprint)
    except ModuleNotFoundError as error:
        fault = Fault("--cluster", f"{address} has workers without {error.name}", "workers with Mullbed", remedy)
        raise InputFault([fault]) from error
    others = sorted(worker for worker, model in theirs.items() if model != own)
    if others:
        found = f"{len(others)} of {len(theirs)} workers with another model, {others[0]} among them"
        raise InputFault([Fault("--cluster", found, "workers with this version", remedy)])


@contextmanager
def _own_processes(processes: int) -> Iterator[Client]:
    from distributed import Client, LocalCluster

    with (
        LocalCluster(n_workers=processes, threads_per_worker=1, processes=True, dashboard_address=None) as here,
        Client(here, set_as_default=False) as client,
    ):
        yield client
