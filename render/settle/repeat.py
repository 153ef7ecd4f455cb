"""Settled threads of a few repeats, laid again for a longer piece."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.plan.model import WorkingPlan
from render.plan.numbering import Block
from render.threads.model import Crossings, ThreadPaths
from render.threads.network import Kind, LaidThreads
from render.threads.repeat import Lengths

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


def seam_gaps(paths: ThreadPaths, visit: Indices, lengths: Lengths, block: Block) -> Points:
    """Return (J, 2) in mm: how far threads at the end of a block miss those of the next one."""
    first = np.searchsorted(visit, np.concatenate([lengths.exits, lengths.entries]))
    out, into = np.split(paths.points[first, :2], 2)
    return np.asarray(out - into - block.step)


def lay_settled(
    laid: LaidThreads,
    paths: ThreadPaths,
    visit: Indices,
    lengths: Lengths,
    block: Block,
    base: Points,
    plan: WorkingPlan,
) -> ThreadPaths:
    """Return the settled threads of a longer piece.

    Parameters
    ----------
    laid, paths, visit
        The threads of a few repeats, settled, and the (P,) visit each point belongs to.
    lengths
        How the longer piece is made up of them.
    block
        What comes again.
    base
        (2,) in mm, where the first repeat lies in the longer piece.
    plan
        That of the longer piece.
    """
    bounds = np.searchsorted(visit, np.arange(len(laid.visits) + 1))
    first, end = bounds[lengths.first], bounds[lengths.end]
    count = end - first
    ends = np.cumsum(count)
    source = np.arange(int(ends[-1])) + np.repeat(first - ends + count, count)
    moves = np.repeat(lengths.moves, count)
    points = paths.points[source]
    points[:, :2] += base + moves[:, None] * block.step
    owner = np.repeat(lengths.thread, count)
    threads = len(lengths.source)
    starts = np.concatenate([[0], np.cumsum(np.bincount(owner, minlength=threads))])
    crossing = np.searchsorted(np.flatnonzero(laid.kind == Kind.CROSSING), lengths.node)
    at = paths.crossings.at[crossing] + base + lengths.node_moves[:, None] * block.step
    pair = np.repeat(np.arange(len(plan.hangings)), 2)
    return ThreadPaths(
        points=points,
        starts=starts.astype(np.int64),
        radius=paths.radius[lengths.source],
        pair=pair,
        role=paths.role[lengths.source],
        region=np.array([h.area for h in plan.hangings], np.int64)[pair],
        crossings=Crossings(lengths.over, lengths.under, at),
        tangles=_tangles_again(paths, crossing, lengths.node_moves[:, None] * block.step + base),
    )


def _tangles_again(paths: ThreadPaths, crossing: Indices, shift: Points) -> Points:
    """Name tangled places wherever what is tangled comes again."""
    if not len(paths.tangles):
        return paths.tangles
    near = cKDTree(paths.crossings.at).query(paths.tangles)[1]
    again, which = np.nonzero(crossing[:, None] == near)
    return np.asarray(paths.tangles[which] + shift[again])
