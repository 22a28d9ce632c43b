"""Where work runs: the cores of this machine, or a Dask cluster. Dask is loaded only if it is asked for."""

from __future__ import annotations

import importlib
import multiprocessing
from collections.abc import Iterator
from concurrent.futures import BrokenExecutor, Executor, ProcessPoolExecutor
from contextlib import contextmanager

from noonwall.errors import NoonwallError
from noonwall.fit.faults import fault

CONNECT_SECONDS = 10


@contextmanager
def executor(workers: int, cluster: str | None = None) -> Iterator[Executor]:
    """Give an executor: ``workers`` processes here, or every worker of the cluster at ``cluster``.

    Args:
        workers: number of processes on this machine; not used with a cluster.
        cluster: address of a Dask scheduler such as ``tcp://hall:8786``.

    Raises:
        NoonwallError: Dask is not installed, or nobody answers at the address.
    """
    if cluster is None:
        # started afresh rather than forked: a forked child may inherit locks of threads that it does not have
        with ProcessPoolExecutor(workers, mp_context=multiprocessing.get_context("spawn")) as pool:
            yield pool
        return
    try:
        distributed = importlib.import_module("distributed")
    except ImportError as error:
        raise fault(NoonwallError, "match.no-dask") from error
    try:
        client = distributed.Client(cluster, timeout=CONNECT_SECONDS, set_as_default=False)
    except (OSError, ValueError) as error:
        raise fault(NoonwallError, "match.no-cluster", address=cluster) from error
    with client, client.get_executor() as pool:
        yield pool


def is_lost(error: Exception) -> bool:
    """Tell whether a task failed because its process died, and not by an error of its own."""
    # Dask names a task whose workers died one after the other "killed"; its class needs Dask to be named
    return isinstance(error, BrokenExecutor) or type(error).__name__ == "KilledWorker"
