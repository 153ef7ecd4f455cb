"""When gimps are laid: where each is begun so that the work can follow it."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from render.plan.gimp_map import crossings_on, find_crossings
from render.plan.model import Gimp, WorkingPlan

Indices = NDArray[np.int64]
Steps = list[tuple[int, int]]

# A gimp that goes both ways is begun at one of so many pairs that hang there first.
EARLIEST = 4


def begin_gimps(plan: WorkingPlan, gimps: Sequence[Gimp]) -> tuple[list[Gimp], list[Gimp]]:
    """Say where each gimp is begun, and cut those that no work could follow in one.

    A pair can be passed between the stitch that lets it go and the one that takes it. A gimp goes
    from one end to the other; or it is wound on two bobbins, laid in between its ends, and goes
    both ways.

    Parameters
    ----------
    plan
        The work.
    gimps
        What is to be laid, sorted in among the twists of their legs.

    Returns
    -------
    All of them, and those among them that begin where another was cut.
    """
    done, again = list(gimps), []
    order = _Order(plan, done)
    number = 0
    while number < len(done):
        begun, gimp = order.begun(number), done[number]
        while begun is None and gimp.over:
            # Where the end has come, pairs at the beginning are worked on already.
            shorter, _ = _cut(gimp, len(gimp.passings) - 1)
            done[number] = gimp = replace(shorter, over=gimp.over - 1)
            begun = order.begun(number, len(gimp.passings))
        if begun is None:
            done[number : number + 1] = _cut(done[number], order.longest(number))
            again.append(number + 1)
            order = _Order(plan, done, order.settled)
            begun = order.begun(number) or 0
        order.settle(number, begun, len(done[number].passings))
        done[number] = replace(done[number], begun=begun)
        number += 1
    return done, [done[k] for k in again]


def _cut(gimp: Gimp, length: int) -> tuple[Gimp, Gimp]:
    """Cut a gimp after so many passings."""
    (ax, ay), (bx, by) = gimp.passings[length - 1].at, gimp.passings[length].at
    ends = [((1 - t) * ax + t * bx, (1 - t) * ay + t * by) for t in (0.4, 0.6)]
    return (
        replace(gimp, passings=gimp.passings[:length], tips=(gimp.tips[0], ends[0])),
        replace(gimp, passings=gimp.passings[length:], tips=(ends[1], gimp.tips[1])),
    )


class _Order:
    """What has to come before what: stitches, then passings, then crossings of gimps.

    Attributes
    ----------
    settled
        Where the first gimps are begun, in their order.
    """

    def __init__(
        self, plan: WorkingPlan, gimps: Sequence[Gimp], settled: Sequence[int] = ()
    ) -> None:
        stitch = np.arange(len(plan.moves))
        self._source = np.full(len(plan.twists), -1)
        goal = self._source.copy()
        self._source[plan.given.ravel()] = np.repeat(stitch, 2)
        goal[plan.taken.ravel()] = np.repeat(stitch, 2)
        both = (self._source >= 0) & (goal >= 0)
        self._gimps = gimps
        self._rows = self._number(plan, gimps)
        steps = self._along_legs(goal)
        self._steps = np.concatenate([
            np.stack([self._source[both], goal[both]]), np.array(steps, np.int64).reshape(-1, 2).T
        ], axis=1)  # fmt: skip
        self.settled: list[int] = []
        for number, begun in enumerate(settled):
            self.settle(number, begun, len(gimps[number].passings))

    def begun(self, number: int, length: int | None = None) -> int | None:
        """Return before which passing a gimp can be begun, None where there is no such.

        With a length, that many of its passings are all there is of it.
        """
        legs = [passing.leg for passing in self._gimps[number].passings[:length]]
        first: list[int] = np.argsort(self._source[legs], kind="stable")[:EARLIEST].tolist()
        either_side = [k + side for k in first for side in (0, 1)]
        for begun in dict.fromkeys((0, len(legs), *either_side)):
            if self._can_be_followed(self._both_ways(number, begun, length)):
                return begun
        return None

    def longest(self, number: int) -> int:
        """Return how many passings of a gimp from its first end on can be laid in one."""
        low, high = 1, len(self._gimps[number].passings) - 1
        while low < high:
            middle = (low + high + 1) // 2
            if self.begun(number, middle) is None:
                high = middle - 1
            else:
                low = middle
        return low

    def settle(self, number: int, begun: int, length: int) -> None:
        """Let a gimp of so many passings be begun before one of them."""
        steps = np.array(self._both_ways(number, begun, length), np.int64).reshape(-1, 2).T
        self._steps = np.concatenate([self._steps, steps], axis=1)
        self.settled.append(begun)

    def _number(self, plan: WorkingPlan, gimps: Sequence[Gimp]) -> list[list[int]]:
        """Return the numbers of passings and crossings along each gimp, after all stitches."""
        counts = [len(gimp.passings) for gimp in gimps]
        self._first = (len(plan.moves) + np.cumsum([0, *counts])).tolist()
        crossings = find_crossings(plan, gimps)
        self._count = self._first[-1] + len(crossings)
        return [
            [
                n
                for k in range(count)
                for n in (
                    self._first[g] + k,
                    *(self._first[-1] + c for c, _ in crossings_on(crossings, g, k)),
                )
            ]
            for g, count in enumerate(counts)
        ]

    def _along_legs(self, goal: Indices) -> Steps:
        """Return what comes before what on the legs that gimps pass."""
        stops: dict[int, list[tuple[int, float, int]]] = {}
        for first, gimp in zip(self._first, self._gimps, strict=False):
            for k, passing in enumerate(gimp.passings):
                row = stops.setdefault(passing.leg, [])
                row.append((passing.after, passing.along, first + k))
        steps: Steps = []
        for leg, row in stops.items():
            way = [int(self._source[leg]), *(n for *_, n in sorted(row)), int(goal[leg])]
            steps += pairwise(n for n in way if n >= 0)
        return steps

    def _both_ways(self, number: int, begun: int, length: int | None = None) -> Steps:
        """Return what comes before what along a gimp, both ways from where it is begun."""
        row, first = self._rows[number], self._first[number]
        if length is not None:
            row = row[: row.index(first + length - 1) + 1]
        here = row.index(first + begun) if first + begun in row else len(row)
        return [*pairwise(row[here:]), *pairwise(row[:here][::-1])]

    def _can_be_followed(self, more: Steps) -> bool:
        """Tell whether nothing has to wait for itself."""
        added = np.array(more, np.int64).reshape(-1, 2).T
        before, after = np.concatenate([self._steps, added], axis=1)
        graph = coo_array((np.ones(len(before)), (before, after)), shape=(self._count,) * 2)
        pieces, _ = connected_components(graph, directed=True, connection="strong")
        return bool(pieces == self._count)
