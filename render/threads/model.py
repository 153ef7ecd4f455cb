"""The threads of a piece of lace as curves in space."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, eq=False)
class Crossings:
    """Where two threads cross, seen from above.

    Attributes
    ----------
    over, under
        (X,) numbers of the thread on top and of the one beneath it.
    at
        (X, 2) positions in mm.
    """

    over: NDArray[np.int64]
    under: NDArray[np.int64]
    at: NDArray[np.float64]

    def __post_init__(self) -> None:
        if not len(self.over) == len(self.under) == len(self.at):
            raise ValueError("every crossing needs a thread above, one below and a position")
        for array in (self.over, self.under, self.at):
            array.setflags(write=False)


@dataclass(frozen=True, eq=False)
class ThreadPaths:
    """Where every thread runs.

    Attributes
    ----------
    points
        (P, 3) positions in mm, one thread after another: x to the right, y down the page, z
        towards the viewer, 0 at the middle of the lace's thickness. Neighbouring points are close
        enough to be joined by straight pieces at any scale the picture needs.
    starts
        (T + 1,) offsets: thread t owns ``points[starts[t]:starts[t + 1]]``.
    radius
        (T,) thread radii in mm.
    pair
        (T,) the pair each thread was hung with, -1 for a gimp.
    role
        (T,) what the thread is wound for, an index into `render.plan.model.ROLES`.
    region
        (T,) the region the thread was hung for, -1 for none.
    crossings
        Every crossing of two threads.
    tangles
        (K, 2) places in mm where threads lie across each other though they were not worked so:
        none in a sound piece.
    """

    points: NDArray[np.float64]
    starts: NDArray[np.int64]
    radius: NDArray[np.float64]
    pair: NDArray[np.int64]
    role: NDArray[np.int64]
    region: NDArray[np.int64]
    crossings: Crossings
    tangles: NDArray[np.float64] = field(default_factory=lambda: np.zeros((0, 2)))

    def __post_init__(self) -> None:
        if self.points.ndim != 2 or self.points.shape[1] != 3:
            raise ValueError(f"points must be (P, 3), not {self.points.shape}")
        if self.starts[0] != 0 or self.starts[-1] != len(self.points):
            raise ValueError("starts must run from 0 to the number of points")
        threads = len(self.starts) - 1
        for name in ("radius", "pair", "role", "region"):
            array = getattr(self, name)
            if len(array) != threads:
                raise ValueError(f"{len(array)} values of {name} for {threads} threads")
            array.setflags(write=False)
        self.points.setflags(write=False)
        self.starts.setflags(write=False)
        self.tangles.setflags(write=False)

    def thread(self, t: int) -> NDArray[np.float64]:
        """Return the (n, 3) points of thread t, read-only."""
        return self.points[self.starts[t] : self.starts[t + 1]]
