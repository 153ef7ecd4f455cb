"""Share work among forked processes and hand it back in order."""

import os
import traceback
import warnings
from collections.abc import Callable, Iterator, Sequence
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.context import ForkProcess
from typing import Any, TypeVar

Job = TypeVar("Job")
Done = TypeVar("Done")


def in_order(work: Callable[[Job], Done], jobs: Sequence[Job], processes: int) -> Iterator[Done]:
    """Do jobs in turn, several at once if there are processes for it.

    A process that is ahead waits for its result to be fetched, so that few results are held at any
    time. What `work` raises is raised here.

    Parameters
    ----------
    work
        Does one job; it sees the memory of this process as it is now.
    jobs
        What there is to do.
    processes
        How many processes; 1 does everything here.
    """
    processes = min(processes, len(jobs))
    if processes < 2 or not hasattr(os, "fork"):
        yield from map(work, jobs)
        return
    context = get_context("fork")
    started = []
    try:
        for k in range(processes):
            reader, writer = context.Pipe(duplex=False)
            child = context.Process(
                target=_send_all, args=(work, jobs[k::processes], writer), daemon=True
            )
            _start(child)
            writer.close()
            started.append((child, reader))
        for k in range(len(jobs)):
            result = _receive(started[k % processes][1])
            if isinstance(result, BaseException):
                raise result
            yield result
    finally:
        for child, reader in started:
            child.terminate()
            child.join()
            reader.close()


def _start(child: ForkProcess) -> None:
    with warnings.catch_warnings():
        # From 3.12 on Python warns that other threads' locks stay locked in a fork. Here those are
        # the idle workers of numpy's matrix library, which drawing does not call.
        warnings.filterwarnings("ignore", "This process .* is multi-threaded", DeprecationWarning)
        child.start()


def _receive(reader: Connection) -> Any:
    try:
        return reader.recv()
    except EOFError as error:
        raise RuntimeError("a drawing process ended before its work was done") from error


def _send_all(work: Callable[[Job], Done], jobs: Sequence[Job], writer: Connection) -> None:
    for job in jobs:
        try:
            writer.send(work(job))
        except BaseException as error:
            error.add_note(f"in a drawing process:\n{traceback.format_exc()}")
            writer.send(error)
            raise SystemExit(1) from error
    writer.close()
