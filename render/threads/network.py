"""Threads as a network: which crossings each passes, and with what above and below."""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from render.plan.model import WorkingPlan

Indices = NDArray[np.int64]


class Kind(IntEnum):
    """What a node of the network is."""

    CROSSING = 0
    BEND = 1
    START = 2
    END = 3
    # Where a gimp begins or ends.
    TIP = 4


@dataclass(frozen=True, eq=False)
class LaidThreads:
    """Every thread as the row of nodes it passes.

    N counts nodes, T threads, V visits: the passing of one thread at one node. A crossing and a
    start are visited twice, a bend, an end and a tip once. Threads of pairs come first, two a pair,
    then gimps.

    Attributes
    ----------
    plan
        What the threads were laid from.
    kind
        (N,) a Kind.
    at
        (N, 2) first positions in mm.
    left, right
        (N,) the thread that comes from the left and the one that comes from the right, seen along
        the work; -1 where there is none.
    left_over
        (N,) whether the thread from the left lies on top.
    stitch, move
        (N,) the stitch a crossing belongs to, -1 for twists of a leg and for bends, and the
        number of the movement in it.
    leg
        (N,) the leg a twist, bend, start, end or gimp lies on, -1 inside a stitch; of a tip the one
        next to it.
    ring
        (N,) for a bend 0 next to the pin, 1 outside another thread.
    passing
        (N,) the passing of a gimp a crossing belongs to, counted over all gimps and then over
        their crossings with each other; -1 for none.
    visits
        (V,) nodes, one thread after another.
    arriving
        (V,) the leg on which the thread comes to the node, -1 from within the same stitch.
    starts
        (T + 1,) offsets into `visits`.
    pair, role, area
        (T,) the pair, -1 for a gimp, an index into ROLES, and the area the thread was hung for.
    carried
        (L, 2) the threads of each leg where it begins, left and right.
    """

    plan: WorkingPlan
    kind: Indices
    at: NDArray[np.float64]
    left: Indices
    right: Indices
    left_over: NDArray[np.bool_]
    stitch: Indices
    move: Indices
    leg: Indices
    ring: Indices
    passing: Indices
    visits: Indices
    arriving: Indices
    starts: Indices
    pair: Indices
    role: Indices
    area: Indices
    carried: Indices

    def __post_init__(self) -> None:
        for name, value in vars(self).items():
            if name != "plan":
                value.setflags(write=False)

    @property
    def thread(self) -> Indices:
        """(V,) the thread of each visit."""
        return np.repeat(np.arange(len(self.starts) - 1), np.diff(self.starts))

    @property
    def edges(self) -> Indices:
        """(E,) visits v from which the thread runs on to visit v + 1."""
        running = np.ones(len(self.visits), bool)
        running[self.starts[1:] - 1] = False
        return np.flatnonzero(running)

    @property
    def twist(self) -> NDArray[np.bool_]:
        """(N,) crossings that are twists of a leg."""
        crossing = (self.kind == Kind.CROSSING) & (self.leg >= 0)
        return np.asarray(crossing & (self.passing < 0))

    @property
    def gauge_mm(self) -> NDArray[np.float64]:
        """(T,) the diameter of gimps, nan for threads of pairs."""
        gimps = [gimp.gauge_mm for gimp in self.plan.gimps]
        return np.concatenate([np.full(2 * len(self.plan.hangings), np.nan), gimps])

    @property
    def over(self) -> Indices:
        """(N,) the thread on top, -1 where nothing crosses."""
        return np.where(self.left_over, self.left, self.right)

    @property
    def under(self) -> Indices:
        """(N,) the thread beneath, -1 where nothing crosses."""
        return np.where(self.left_over, self.right, self.left)
