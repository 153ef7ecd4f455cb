"""Where pairs are hung and where threads end, side by side in their order."""

from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

import numpy as np
from numpy.typing import NDArray

from render.plan.model import Throwing, WorkingPlan
from render.settle.legs import stitches_of_legs, upright_at
from render.threads.network import Kind, LaidThreads

Points = NDArray[np.float64]

# Pairs that end in another than the working direction run on in it.
ALONG = 0.9
# Threads that end so much further down, in spacings, hang out of each other's way.
APART = 3.0


def hold_starts(laid: LaidThreads, gauge: float, around: float, target: Points) -> None:
    """Hang pairs side by side where several begin at one spot.

    Parameters
    ----------
    laid
        The threads.
    gauge, around
        Diameter of the threads, and distance from the middle of a pin to a thread round it, in mm.
    target
        (N, 2) where starts are to be put.
    """
    plan = laid.plan
    _, goal = stitches_of_legs(plan)
    node_of = {int(laid.leg[n]): n for n in np.flatnonzero(laid.kind == Kind.START).tolist()}
    groups: dict[tuple[float, float], list[int]] = {}
    for number, hanging in enumerate(plan.hangings):
        x, y = hanging.at
        row = groups.setdefault((round(x, 3), round(y, 3)), [])
        legs = [plan.hangings[k].leg for k in row]
        place = legs.index(hanging.beside) + 1 if hanging.beside in legs else 0
        row.insert(place, number)
    for row in groups.values():
        for k, number in enumerate(row):
            hanging = plan.hangings[number]
            across, down = upright_at(plan, hanging.hole, int(goal[hanging.leg]))
            aside = (k - (len(row) - 1) / 2) * 2.2 * gauge
            here = np.array(hanging.at)
            at_pin = hanging.hole >= 0 and bool((here == plan.pricking.holes[hanging.hole]).all())
            up = around if at_pin else 0.0
            target[node_of[hanging.leg]] = here + aside * across - up * down


def hang_ends(
    laid: LaidThreads, at: Points, target: Points, gauge_mm: float, around: float
) -> None:
    """Let threads end side by side, pairs in the order in which they hang.

    Parameters
    ----------
    laid
        The threads.
    at
        (N, 2) where nodes are.
    target
        (N, 2) where ends are to be put; those of threads that come out of an area below their
        last crossing in `at`; a pair that ends at a pin hangs beside it.
    gauge_mm, around
        Diameter of the threads, and distance from the middle of a pin to a thread round it.
    """
    plan = laid.plan
    visit = laid.starts[1:] - 1
    visit = visit[laid.kind[laid.visits[visit]] == Kind.END]
    last = at[laid.visits[visit - 1]]
    ends: dict[int, list[int]] = {}
    for number in np.argsort(laid.visits[visit], kind="stable").tolist():
        ends.setdefault(int(laid.leg[laid.visits[visit[number]]]), []).append(number)
    cloth = np.zeros(len(plan.twists), bool)
    cloth[plan.given.ravel()] = np.repeat(plan.area >= 0, 2)
    source, _ = stitches_of_legs(plan)
    going_on = [t for t in plan.throwings if t.end and _runs_on(plan, t)]
    for _, group in groupby(going_on, key=lambda t: (t.after, t.area, t.toward, t.sewn)):
        row = list(group)
        _run_on(laid, row, [visit[ends[t.leg]] for t in row], at, target, gauge_mm)
    ended = [t for t in plan.throwings if t.end and not _runs_on(plan, t)]
    leaving = [t.leg for t in ended]
    frames = [upright_at(plan, -1, -1 if cloth[g] else int(source[g])) for g in leaving]
    # Those that end together hang in the order in which they were recorded.
    for first, beyond in _alike(frames, [t.after for t in ended]):
        across, down = frames[first]
        spots = []
        for leg in leaving[first:beyond]:
            spot = laid.at[laid.visits[visit[ends[leg][0]]]]
            middle = last[ends[leg]].mean(axis=0) if cloth[leg] else spot
            x, pin, side = float(middle @ across), plan.turn[leg], int(plan.turn_side[leg])
            if pin >= 0:
                x = float(plan.pricking.holes[pin] @ across) + side * (around + gauge_mm)
            spots.append((x, spot @ down))
        places = np.array(spots)
        for together in _level(places[:, 1], APART * float(np.median(plan.pricking.spacing))):
            places[together, 0] = _in_order(places[together, 0], 2.4 * gauge_mm)
        for leg, (x, y) in zip(leaving[first:beyond], places.tolist(), strict=True):
            for number, half in zip(ends[leg], (-0.55, 0.55), strict=True):
                target[laid.visits[visit[number]]] = (x + half * gauge_mm) * across + y * down


def _runs_on(plan: WorkingPlan, throwing: Throwing) -> bool:
    """Tell whether a pair is sewn on, or ends with a trail that does not hang down."""
    if throwing.sewn is not None:
        return True
    return throwing.area >= 0 and bool(np.array(throwing.toward) @ plan.pricking.down < ALONG)


def _run_on(
    laid: LaidThreads,
    row: Sequence[Throwing],
    visits: Sequence[NDArray[np.int64]],
    at: Points,
    target: Points,
    gauge_mm: float,
) -> None:
    """Let pairs side by side run on along their trail, or to the place where they are sewn."""
    nodes = [laid.visits[v] for v in visits]
    before = [at[laid.visits[v - 1]] for v in visits]
    if row[0].sewn is None:
        toward = np.array(row[0].toward)
        aside = np.array([toward[1], -toward[0]])
        places = np.array([spots.mean(axis=0) @ aside for spots in before])
        # As far on as it was laid: threads that still hang free are drawn back into the cloth.
        ends = [
            x * aside + (laid.at[pair].mean(axis=0) @ toward) * toward
            for x, pair in zip(_in_order(places, 2.4 * gauge_mm), nodes, strict=True)
        ]
    else:
        ends = [laid.at[pair].mean(axis=0) for pair in nodes]
    for end, pair, spots in zip(ends, nodes, before, strict=True):
        way = end - spots.mean(axis=0) if row[0].sewn is not None else np.array(row[0].toward)
        way /= max(float(np.hypot(*way)), 1e-9)
        aside = np.array([way[1], -way[0]])
        for half, k in zip((-0.55, 0.55), np.argsort(spots @ aside, kind="stable"), strict=True):
            target[pair[k]] = end + half * gauge_mm * aside


def _alike(frames: list[Points], moments: list[int]) -> list[tuple[int, int]]:
    """Return from where to where frames of one moment point the same way."""
    starts = [
        k
        for k in range(len(frames))
        if k == 0 or moments[k] != moments[k - 1] or not np.allclose(frames[k], frames[k - 1])
    ]
    return list(pairwise([*starts, len(frames)]))


def _level(down: NDArray[np.float64], apart: float) -> Iterator[NDArray[np.int64]]:
    """Part places, by how far down they lie, where nothing lies for such a distance."""
    order = np.argsort(down, kind="stable")
    for those in np.split(order, np.flatnonzero(np.diff(down[order]) > apart) + 1):
        yield np.sort(those)


def _in_order(place: NDArray[np.float64], gap: float) -> NDArray[np.float64]:
    """Move places as little as may be so that each lies a gap beyond the one before.

    References
    ----------
    .. M. Ayer et al., "An empirical distribution function for sampling with incomplete
       information", Annals of Mathematical Statistics 26 (1955) 641-647: pooling neighbours
    """
    blocks: list[tuple[float, int]] = []
    for k, x in enumerate(place.tolist()):
        total, count = x - k * gap, 1
        while blocks and blocks[-1][0] / blocks[-1][1] >= total / count:
            other, more = blocks.pop()
            total, count = total + other, count + more
        blocks.append((total, count))
    level = np.array([total / count for total, count in blocks for _ in range(count)])
    return np.asarray(level + gap * np.arange(len(place)))
