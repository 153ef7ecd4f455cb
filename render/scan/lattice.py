"""What the holes of a pricking have to do with their neighbours."""

from itertools import chain

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.scan.model import Points

NEAR = 1.75  # spacings within which a hole has to do with another
TOLERANCE = 0.15  # spacings by which a hole may stand off the place its neighbours give it
LARGEST_TURN_DEGREES = 12.0


def spacing_at(centres: Points, places: Points | None = None) -> NDArray[np.float64]:
    """Return the distance from hole to hole around each place.

    Parameters
    ----------
    centres
        (N, 2) holes.
    places
        (M, 2); the holes themselves where None.

    Returns
    -------
    (M,) median, over the seven holes nearest to the place, of the distance to the next hole.
    """
    places = centres if places is None else places
    if len(centres) < 2:
        return np.full(len(places), np.inf)
    tree = cKDTree(centres)
    nearest = np.asarray(tree.query(centres, 2)[0])[:, 1]
    around = np.asarray(tree.query(places, min(7, len(centres)))[1]).reshape(len(places), -1)
    spacing: NDArray[np.float64] = np.median(nearest[around], axis=1)
    return spacing


def support(centres: Points, places: Points) -> NDArray[np.int64]:
    """Count how often two holes lie in line with a place at equal steps.

    Parameters
    ----------
    centres
        (N, 2) holes that are relied on.
    places
        (M, 2) places in question; a hole at the place itself does not count.

    Returns
    -------
    (M,) pairs of holes such that the place is one step further on, or half way between them. The
    latter alone do not count: the middle between any two holes of a lattice lies so.
    """
    if len(centres) < 3 or not len(places):
        return np.zeros(len(places), np.int64)
    tree = cKDTree(centres)
    spacing = spacing_at(centres, places)
    near = tree.query_ball_point(places, NEAR * spacing)
    owner = np.repeat(np.arange(len(places)), [len(found) for found in near])
    hole = np.fromiter(chain.from_iterable(near), int)
    step = centres[hole] - places[owner]
    other = np.hypot(*step.T) > 0.3 * spacing[owner]
    owner, hole, step = owner[other], hole[other], step[other]
    slack = TOLERANCE * spacing[owner]
    beyond = tree.query(centres[hole] + step)[0] < slack
    opposite = tree.query(places[owner] - step)[0] < slack
    further = np.bincount(owner[beyond], minlength=len(places))
    half_way = np.bincount(owner[opposite], minlength=len(places)) // 2
    return np.where(further > 0, further + half_way, 0)


def places_in_line(centres: Points) -> Points:
    """Return where a hole is to be expected and none was found.

    Parameters
    ----------
    centres
        (N, 2) holes.

    Returns
    -------
    (M, 2) places that are, for two pairs of neighbours or more, one step further on in line.
    """
    if len(centres) < 4:
        return np.empty((0, 2))
    tree = cKDTree(centres)
    spacing = spacing_at(centres)
    near = tree.query_ball_point(centres, NEAR * spacing)
    first = np.repeat(np.arange(len(centres)), [len(found) for found in near])
    second = np.fromiter(chain.from_iterable(near), int)
    first, second = first[first != second], second[first != second]
    places: Points = 2 * centres[second] - centres[first]
    slack = spacing[second]
    empty = tree.query(places)[0] > 0.4 * slack
    places, slack = places[empty], TOLERANCE * slack[empty]
    if not len(places):
        return places
    agreeing = cKDTree(places).query_ball_point(places, slack)
    middles = np.array([places[one].mean(axis=0) for one in agreeing if len(one) >= 2])
    return np.asarray(np.unique(middles.reshape(-1, 2).round(1), axis=0), np.float64)


def find_turn(centres: Points) -> float | None:
    """Find how a picture must be turned so that its pricking stands upright.

    Parameters
    ----------
    centres
        (N, 2) holes, y down.

    Returns
    -------
    Degrees clockwise, or None where the holes do not tell. The steps from hole to hole of an
    upright pricking are the same seen in a mirror; the axis of the best mirror is the vertical.
    """
    steps = _steps(centres)
    if len(steps) < 24:
        return None
    directions = np.arctan2(steps[:, 1], steps[:, 0])
    orders = np.arange(1, 13)
    weights = np.exp(-((orders * np.radians(2.0)) ** 2) * 2)
    waves = np.exp(-2j * np.outer(orders, directions)).mean(axis=1)
    tries = np.radians(np.linspace(-LARGEST_TURN_DEGREES, LARGEST_TURN_DEGREES, 961))
    # Turned back by an angle, the waves of an even distribution are real.
    even = (waves[:, None] ** 2 * np.exp(4j * np.outer(orders, tries))).real
    merit = (weights[:, None] * even).sum(axis=0)
    best = int(merit.argmax())
    most = (weights * np.abs(waves) ** 2).sum()
    if merit[best] < 0.6 * most or most < 0.15 or best in (0, len(tries) - 1):
        return None
    return -float(np.degrees(tries[best]))


def _steps(centres: Points) -> Points:
    """Return the vectors from each hole to its neighbours that go on to another hole."""
    if len(centres) < 3:
        return np.empty((0, 2))
    tree = cKDTree(centres)
    spacing = spacing_at(centres)
    near = tree.query_ball_point(centres, 1.5 * spacing)
    owner = np.repeat(np.arange(len(centres)), [len(found) for found in near])
    hole = np.fromiter(chain.from_iterable(near), int)
    step = centres[hole] - centres[owner]
    moved = np.hypot(*step.T) > 0
    beyond = tree.query(centres[hole] + step)[0] < TOLERANCE * spacing[owner]
    steps: Points = step[moved & beyond]
    return steps
