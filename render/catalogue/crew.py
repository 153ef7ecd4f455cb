"""Do each job in a process of its own, a few at a time.

A process that ends with its job gives all its memory back, and takes nothing with it if it dies.
"""

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from multiprocessing import get_context
from multiprocessing.connection import Connection, wait
from multiprocessing.context import ForkProcess
from time import monotonic
from typing import Generic, TypeVar

Job = TypeVar("Job")
Done = TypeVar("Done")


class Lost(Generic[Job]):
    """A job whose process died or took too long.

    Attributes
    ----------
    job
        What was to be done.
    reason
        What became of it.
    """

    def __init__(self, job: Job, reason: str) -> None:
        self.job = job
        self.reason = reason


def as_done(
    work: Callable[[Job], Done], jobs: Sequence[Job], processes: int, longest_minutes: float
) -> Iterator[Done | Lost[Job]]:
    """Do jobs and yield their results as they come.

    Parameters
    ----------
    work
        Does one job; it must not raise.
    jobs
        What there is to do, begun in this order.
    processes
        How many at a time. Systems that cannot fork do one after another in this process.
    longest_minutes
        A job that takes longer is given up.
    """
    if not hasattr(os, "fork"):
        yield from map(work, jobs)
        return
    waiting = list(reversed(jobs))
    running: dict[Connection, tuple[ForkProcess, Job, float]] = {}
    try:
        while waiting or running:
            while waiting and len(running) < max(processes, 1):
                job = waiting.pop()
                with _undisturbed():
                    reader, child = _start(work, job)
                    running[reader] = child, job, monotonic() + 60 * longest_minutes
            ready = wait(
                list(running), max(0, min(end for *_, end in running.values()) - monotonic())
            )
            overdue = [r for r, (*_, end) in running.items() if end <= monotonic()]
            for reader in [r for r in running if r in ready or r in overdue]:
                child, job, _ = running.pop(reader)
                if reader in ready:
                    yield _fetch(reader, child, job)
                else:
                    _end(reader, child)
                    yield Lost(job, f"it took longer than {longest_minutes:g} minutes")
    finally:
        for reader, (child, *_) in running.items():
            _end(reader, child)


@contextmanager
def _undisturbed() -> Iterator[None]:
    """Keep Ctrl-C waiting: within a fork it would be lost.

    A process started here never hears of it: the one that started it does, and ends it.
    """
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _start(work: Callable[[Job], Done], job: Job) -> tuple[Connection, ForkProcess]:
    context = get_context("fork")
    reader, writer = context.Pipe(duplex=False)
    child = context.Process(target=_work, args=(work, job, reader, writer), daemon=True)
    child.start()
    writer.close()
    return reader, child


def _work(work: Callable[[Job], Done], job: Job, reader: Connection, writer: Connection) -> None:
    # With our copy of its end open we would not notice that it is gone.
    reader.close()
    try:
        writer.send(work(job))
    except BrokenPipeError:
        raise SystemExit(1) from None


def _fetch(reader: Connection, child: ForkProcess, job: Job) -> Done | Lost[Job]:
    try:
        result: Done = reader.recv()
    except EOFError:
        child.join()
        return Lost(job, f"its process ended before its work was done (status {child.exitcode})")
    finally:
        reader.close()
    child.join()
    return result


def _end(reader: Connection, child: ForkProcess) -> None:
    reader.close()
    child.kill()
    child.join()
