"""Spiders: legs from both sides meet about one pin, in a gap of the lattice.

A gap of n by n places with one hole in its middle is a spider of n legs a side: each of the n
pairs from the left works through each from the right, n² whole stitches, the pin is set, and they
work back. A single hole in its place among its neighbours is one of the ground round the spiders.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.plan.lattice import Lattice
from render.plan.steps import LEFT, RIGHT
from render.pricking.model import Pricking

Points = NDArray[np.float64]
Indices = NDArray[np.int64]
Link = tuple[int, int, int]

# A hole is a body when no other stands within so many steps of it on the lattice.
ALONE = 1.3
# How far, in steps, a neighbour may lie from its place while bodies are looked for.
BESIDE_SPIDERS = 0.4
# How many steps a hole may stand from where a leg of the spider should begin or end.
NEAR = 0.45


def spider_bodies(pricking: Pricking, lattice: Lattice, part: Indices) -> Indices:
    """Return the holes of spider ground that stand alone in a gap of the lattice."""
    asked = part[[pricking.ground[hole] == "spider" for hole in part.tolist()]]
    asked = asked[[not pricking.owners[hole] for hole in asked.tolist()]]
    if not len(asked) or len(part) < 5:
        return asked[:0]
    return asked[[_legs_a_side(pricking, lattice, part, int(h)) > 1 for h in asked]]


def _legs_a_side(pricking: Pricking, lattice: Lattice, part: Indices, hole: int) -> int:
    """Return of how many legs a side a hole is the body, 1 for a common hole of ground."""
    holes = pricking.holes
    _, near = cKDTree(holes[part]).query(holes[hole], k=min(13, len(part)))
    beside = part[np.asarray(near)]
    beside = beside[beside != hole]
    across = _in_steps(_steps_about(lattice, beside), holes[beside] - holes[hole])
    nearest = float(np.abs(across).max(axis=1).min())
    return 1 if nearest < ALONE else max(2, round(2 * nearest - 1))


def _steps_about(lattice: Lattice, beside: Indices) -> Points:
    """Return (2, 2) the steps to the lower left and lower right in the midst of some holes."""
    return np.asarray(np.median(lattice.step[beside], axis=0))


def _in_steps(step: Points, run: Points) -> Points:
    """Return (n, 2) runs counted in steps to the lower left and lower right."""
    return np.asarray(np.linalg.solve(step.T, run.T).T)


def with_legs(
    pricking: Pricking, lattice: Lattice, part: Indices, bodies: Indices, found: list[Link]
) -> tuple[Lattice, list[Link]]:
    """Lead the pairs round each spider to its body and on from there.

    Returns
    -------
    The lattice with steps for the bodies, and the links of their legs.
    """
    tree = cKDTree(pricking.holes[part])
    low = {(a, port) for a, _, port in found}
    up = {(b, 1 - port) for _, b, port in found}
    step, down = lattice.step.copy(), lattice.down.copy()
    legs: list[Link] = []
    for body in bodies.tolist():
        _, near = tree.query(pricking.holes[body], k=min(12, len(part)))
        beside = part[np.asarray(near)]
        step[body] = _steps_about(lattice, beside)
        down[body] = lattice.down[beside].mean(axis=0)
        down[body] /= np.hypot(*down[body])
        for port in (LEFT, RIGHT):
            for source in _leg_ends(pricking, part, step[body], body, port, -1):
                if (source, port) not in low:
                    low.add((source, port))
                    legs.append((source, body, port))
            for target in _leg_ends(pricking, part, step[body], body, port, 1):
                if (target, 1 - port) not in up:
                    up.add((target, 1 - port))
                    legs.append((body, target, port))
    return replace(lattice, step=step, down=down), legs


def _leg_ends(
    pricking: Pricking, part: Indices, step: Points, body: int, port: int, sign: int
) -> list[int]:
    """Return the holes where legs that run by a port begin (sign -1) or end (sign 1)."""
    run = pricking.holes[part] - pricking.holes[body]
    along, aside = _in_steps(step, run).T[[port, 1 - port]]
    ahead = sign * along
    nearest = float(np.maximum(np.abs(along), np.abs(aside)).min())
    legs = max(2, round(2 * nearest - 1))
    first = np.abs(ahead - (legs + 1) / 2) < NEAR
    places = np.arange(legs) - (legs - 1) / 2
    off = np.abs(aside[:, None] - places).min(axis=1)
    return [int(hole) for hole in part[first & (off < NEAR)]]
