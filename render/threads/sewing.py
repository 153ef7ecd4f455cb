"""Sewings in threads: a worker's loop round a pin that clasps the loop another left there."""

from itertools import product

import numpy as np
from numpy.typing import NDArray

from render.plan.model import Sewing, WorkingPlan
from render.threads.network import Kind, LaidThreads

# A loop lies two rings further from the pin than the one it is sewn to.
OUTSIDE = 2
# The ways of a loop: towards its pin, and away from it.
IN, OUT = 0, 1
# The column of a node that names its leg.
LEG = 6
Row = tuple[int, int, int, bool, int, int, int, int, int]


def of_one_pair(sewing: Sewing, carried: NDArray[np.int64]) -> bool:
    """Tell whether both loops of a sewing are of the same threads.

    Then they do not clasp, as no thread crosses itself here: the later one is tied beside the
    earlier one.

    Parameters
    ----------
    carried
        (L, 2) the threads of each leg.
    """
    return not set(carried[sewing.leg].tolist()).isdisjoint(carried[sewing.to].tolist())


def clasp(
    plan: WorkingPlan,
    sewing: Sewing,
    rows: list[Row],
    passed: list[list[int]],
    arrived: list[list[int]],
) -> None:
    """Let the loop of a pair round a pin cross the one another left there, on either side.

    Each thread of the later pair goes over both of the earlier one, round the pin, and back under
    them: so they hold each other.

    Parameters
    ----------
    plan, sewing
        What was worked, and which pair of it is sewn to which.
    rows
        The nodes, by the columns of `LaidThreads` from `kind` to `passing`; eight are added: of the
        earlier loop on its way in and out, each ring, and each ring of the later one.
    passed, arrived
        The nodes of each thread, and the legs on which it comes to them; changed in place.
    """
    earlier, later = (_loop(leg, rows) for leg in (sewing.to, sewing.leg))
    turns = plan.turn_side[[sewing.to, sewing.leg]].tolist()
    # Loops that run round the same way meet the end of one with the beginning of the other.
    first = OUT if turns[0] == turns[1] else IN
    nodes: dict[tuple[int, int, int], int] = {}
    for way, a, b in product((IN, OUT), (0, 1), (0, 1)):
        one, two = earlier[a][0], later[b][0]
        # With y down the page, who comes from the left follows from how the later loop turns.
        from_left = (turns[1] > 0) == (way == OUT)
        left, right = (one, two) if from_left else (two, one)
        on_top = way == first
        nodes[way, a, b] = len(rows)
        rows.append((int(Kind.CROSSING), left, right, on_top != from_left, -1, -1, -1, 0, -1))
    for a, (thread, bend) in enumerate(earlier):
        before = [nodes[IN, a, b] for b in (1, 0)]
        after = [nodes[OUT, a, b] for b in (0, 1)]
        _insert(passed[thread], arrived[thread], bend, before, after, sewing.to)
    for b, (thread, bend) in enumerate(later):
        before = [nodes[first, a, b] for a in (1, 0)]
        after = [nodes[1 - first, a, b] for a in (0, 1)]
        _insert(passed[thread], arrived[thread], bend, before, after, sewing.leg)
        kind, left, right, over, stitch, move, leg, ring, passing = rows[bend]
        rows[bend] = kind, left, right, over, stitch, move, leg, ring + OUTSIDE, passing


def clasps(laid: LaidThreads) -> NDArray[np.int64]:
    """Return (K, 2, 2, 2) the crossings of each sewing.

    By the way of the earlier loop (in, out), its ring and the ring of the later one, from the pin.
    """
    sewn = (laid.kind == Kind.CROSSING) & (laid.stitch < 0) & (laid.leg < 0)
    return np.flatnonzero(sewn).reshape(-1, 2, 2, 2)


def _loop(leg: int, rows: list[Row]) -> list[tuple[int, int]]:
    """Return the threads of a leg that goes round a pin with their bends, the inner one first."""
    bends = [n for n, row in enumerate(rows) if row[0] == Kind.BEND and row[LEG] == leg]
    return [(rows[n][1], n) for n in bends]


def _insert(
    passed: list[int], arrived: list[int], bend: int, before: list[int], after: list[int], leg: int
) -> None:
    """Let a thread pass more nodes just before and just after a bend."""
    place = passed.index(bend)
    passed[place : place + 1] = [*before, bend, *after]
    arrived[place : place + 1] = [leg] * (len(before) + len(after) + 1)
