"""The steps of a lattice as they are read off the card, and where they can be trusted."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.plan.toward import Directions

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

LEFT, RIGHT = 0, 1

# A neighbour counts for a diagonal when it lies between these angles from the working direction.
STEEPEST, FLATTEST = np.deg2rad(4), np.deg2rad(86)
# Two neighbours lie opposite each other when the middle between them is this near, in steps.
STRAIGHT = 0.3


def commonest_steps(holes: Points, neighbours: Indices, toward: Points) -> Points:
    """Return (N, 2, 2) steps that are the commonest round each hole about its own direction."""
    step = np.zeros((len(holes), 2, 2))
    near = np.asarray(cKDTree(holes).query(holes, k=min(len(holes), 9))[1]).reshape(len(holes), -1)
    for port in (LEFT, RIGHT):
        diagonal, run = _diagonals(holes, neighbours, toward, port)
        usual = _commonest(run, holes, toward, port)
        local = _local_commonest(diagonal, run, len(holes), usual)
        step[:, port] = np.median(local[near], axis=1)
    return step


def _diagonals(
    holes: Points, neighbours: Indices, toward: Points, port: int
) -> tuple[Indices, Points]:
    """Return the neighbours that lie on a diagonal, the upper one first, and their runs."""
    run = holes[neighbours[:, 1]] - holes[neighbours[:, 0]]
    down = toward[neighbours].sum(axis=1)
    along = (run * down).sum(axis=1)
    upward = along < 0
    ends = np.where(upward[:, None], neighbours[:, ::-1], neighbours)
    run = np.where(upward[:, None], -run, run)
    # With y down the page the maker's right is (y, -x).
    rightward = run[:, 0] * down[:, 1] - run[:, 1] * down[:, 0]
    angle = np.arctan2(rightward if port == RIGHT else -rightward, np.abs(along))
    keep = (angle > STEEPEST) & (angle < FLATTEST)
    return ends[keep], run[keep]


def _commonest(run: Points, holes: Points, toward: Points, port: int) -> Points:
    """Return the vector most others are close to."""
    if not len(run):
        down = toward.mean(axis=0)
        side = 1.0 if port == RIGHT else -1.0
        diagonal = (down + side * np.array([down[1], -down[0]])) / np.sqrt(2)
        return np.asarray(diagonal * _usual_gap(holes))
    size = float(np.median(np.hypot(*run.T)))
    # In a regular lattice thousands of vectors coincide: a sample tells as much.
    sample = run[:: max(1, len(run) // 800)]
    apart = np.hypot(*(sample[:, None] - sample[None]).transpose(2, 0, 1))
    close = apart <= 0.25 * size
    return np.asarray(sample[close[close.sum(axis=1).argmax()]].mean(axis=0))


def _usual_gap(holes: Points) -> float:
    if len(holes) < 2:
        return 2.0
    return float(np.median(np.asarray(cKDTree(holes).query(holes, k=2)[0])[:, 1]))


def _local_commonest(diagonal: Indices, run: Points, count: int, usual: Points) -> Points:
    """Return for each hole the most typical vector among its own and its neighbours' diagonals."""
    own: list[list[int]] = [[] for _ in range(count)]
    for number, (a, b) in enumerate(diagonal.tolist()):
        own[a].append(number)
        own[b].append(number)
    local = np.tile(usual, (count, 1))
    ends = diagonal.tolist()
    for hole in range(count):
        around = set(own[hole])
        for number in own[hole]:
            a, b = ends[number]
            around.update(own[b if a == hole else a])
        if not around:
            continue
        vectors = run[sorted(around)]
        apart = np.hypot(*(vectors[:, None] - vectors[None]).transpose(2, 0, 1))
        size = max(float(np.hypot(*usual)), 1e-9)
        agreement = np.minimum(apart, 0.5 * size).sum(axis=1)
        # A single odd neighbour must not outvote the piece as a whole.
        agreement += 0.5 * np.minimum(np.hypot(*(vectors - usual).T), 0.5 * size)
        local[hole] = vectors[agreement.argmin()]
    return local


def _axes(holes: Points, neighbours: Indices, part: Indices) -> dict[int, Points]:
    """Return for holes that lie midway between two neighbours (k, 3) the steps to such pairs.

    The third column says how far, in steps, the hole lies from the middle.
    """
    around: dict[int, list[int]] = {}
    for a, b in neighbours.tolist():
        around.setdefault(a, []).append(b)
        around.setdefault(b, []).append(a)
    axes: dict[int, Points] = {}
    for hole in part.tolist():
        run = holes[around.get(hole, [])] - holes[hole]
        i, j = np.triu_indices(len(run), 1)
        step = (run[i] - run[j]) / 2
        bent = np.hypot(*((run[i] + run[j]) / 2).T)
        straight = bent < STRAIGHT * np.hypot(*step.T)
        if straight.any():
            crook = bent[straight] / np.hypot(*step[straight].T)
            axes[hole] = np.column_stack([step[straight], crook])
    return axes


def _sure_steps(axes: Points, toward: Points) -> tuple[float, Points] | None:
    """Choose two axes as steps to the lower left and lower right; return doubt and steps.

    The two should lie alike to both sides of the working direction, with no hole between.
    """
    crook, down = axes[:, 2], np.where((axes[:, :2] @ toward < 0)[:, None], -1, 1) * axes[:, :2]
    angle = angles(np.broadcast_to(toward, down.shape), down)
    size = np.log(np.maximum(np.hypot(*down.T), 1e-9))
    # With y down the page a positive turn is towards the maker's left.
    left, right = np.flatnonzero(angle > STEEPEST), np.flatnonzero(angle < -STEEPEST)
    i, j = (grid.ravel() for grid in np.meshgrid(left, right))
    between = (down[i] + down[j]) / 2
    off = np.linalg.norm(between[:, None] - down[None], axis=2).min(axis=1, initial=np.inf)
    clear = off > 0.5 * np.hypot(*between.T)
    i, j = i[clear], j[clear]
    if not len(i):
        return None
    doubt = np.abs(angle[i] + angle[j]) + np.abs(size[i] - size[j]) + 2 * (crook[i] + crook[j])
    best = int(np.round(doubt + 0.2 * (size[i] + size[j]), 6).argmin())
    return float(doubt[best]), np.stack([down[i[best]], down[j[best]]])


def by_sight(
    holes: Points, part: Indices, neighbours: Indices, step: Points, directions: Directions
) -> tuple[Points, list[int]]:
    """Return steps as they can be seen at each hole, and holes with the least doubt first."""
    step = step.copy()
    doubt = np.full(len(holes), np.inf)
    for hole, found in _axes(holes, neighbours, part).items():
        sure = _sure_steps(found, directions.toward[hole])
        if sure is not None:
            doubt[hole], step[hole] = sure
    return step, _least_first(doubt, part, directions.told)


def by_match(
    holes: Points, part: Indices, step: Points, directions: Directions
) -> tuple[Points, list[int]]:
    """Return steps and holes, those first whose neighbours stand best where steps lead."""
    tree = cKDTree(holes[part])
    doubt = np.zeros(len(holes))
    for port in (LEFT, RIGHT):
        for sign in (1.0, -1.0):
            _, found = tree.query(holes[part] + sign * step[part, port])
            run = sign * (holes[part[found]] - holes[part])
            doubt[part] += np.minimum(miss(step[part], run, port), 1.0)
    way = step / np.maximum(np.linalg.norm(step, axis=2, keepdims=True), 1e-9)
    doubt += np.abs(angles(directions.toward, way.sum(axis=1)))
    return step, _least_first(doubt, part, directions.told)


def _least_first(doubt: NDArray[np.float64], part: Indices, told: NDArray[np.bool_]) -> list[int]:
    order = np.lexsort((part, np.round(doubt[part], 3), ~told[part]))
    return [int(hole) for hole in part[order]]


def miss(step: Points, run: Points, port: int) -> NDArray[np.float64]:
    """Return how far, in steps, (n, 2) runs are from a step by a port, given (n, 2, 2) steps."""
    (ax, ay), (bx, by) = step[:, port].T, step[:, 1 - port].T
    turn = ax * by - ay * bx
    flat = np.abs(turn) < 1e-9
    turn = np.where(flat, 1.0, turn)
    x, y = run.T
    own, other = (x * by - y * bx) / turn, (ax * y - ay * x) / turn
    return np.asarray(np.where(flat, np.inf, np.maximum(np.abs(own - 1), np.abs(other))))


def angles(a: Points, b: Points) -> NDArray[np.float64]:
    """Return the angles in radians by which (n, 2) vectors must be turned to lie along others."""
    return np.asarray(np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1)))
