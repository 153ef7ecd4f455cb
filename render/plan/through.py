"""Working the pairs of one trail through those of another where they cross, as cloth."""

import numpy as np
from numpy.typing import NDArray

from render.plan.cloth import Cloth
from render.plan.crossing import Crossing, Lane
from render.plan.rails import RIGHT
from render.plan.stitches import STITCHES, Stitch

Points = NDArray[np.float64]


def work_through(crossing: Crossing, left: Cloth, right: Cloth) -> list[int]:
    """Work the pairs of one trail through those of another that hang to the right of it.

    Returns
    -------
    The holes for which there was no stitch.
    """
    first, second = left.in_order(), right.in_order()
    at = _places(crossing, len(first), len(second))
    pinned, rest = _pins(left.holes, crossing.holes, at)
    moves = STITCHES["whole"]
    for i in range(len(first) - 1, -1, -1):
        for j in range(len(second)):
            hole = pinned.get((i, j), -1)
            second[j], first[i] = left.pillow.stitch(
                Stitch(moves, len(moves) if hole >= 0 else None), first[i], second[j],
                (float(at[i, j, 0]), float(at[i, j, 1])),
                technique="whole", hole=hole, area=left.number,
            )  # fmt: skip
    for cloth, legs, lane in zip((left, right), (first, second), crossing.lanes, strict=True):
        go_on(cloth, legs, lane)
    return rest


def go_on(cloth: Cloth, legs: list[int], lane: Lane) -> None:
    """Let a trail go on beyond a crossing with these pairs, from left to right."""
    cloth.begin(legs, lane.onward)
    x, y = lane.gates[1, 0 if lane.onward == RIGHT else 1] - lane.run * lane.width / 4
    cloth.spot = float(x), float(y)


def _places(crossing: Crossing, n: int, m: int) -> Points:
    """Return (n, m, 2) where the ways of two trails cross."""
    one, two = crossing.lanes[0].lines(n)[:, None], crossing.lanes[1].lines(m)[None]
    p, q = one[:, :, 0], two[:, :, 0]
    r, s = one[:, :, 1] - p, two[:, :, 1] - q
    across = r[..., 0] * s[..., 1] - r[..., 1] * s[..., 0]
    gap = q - p
    share = (gap[..., 0] * s[..., 1] - gap[..., 1] * s[..., 0]) / np.where(across, across, 1.0)
    return np.asarray(p + np.clip(share, 0, 1)[..., None] * r)


def _pins(
    holes: Points, wanted: tuple[int, ...], at: Points
) -> tuple[dict[tuple[int, int], int], list[int]]:
    """Give each hole to the stitch nearest to it that has no pin yet."""
    m = at.shape[1]
    pinned: dict[tuple[int, int], int] = {}
    rest: list[int] = []
    for hole in wanted:
        order = np.hypot(*(at.reshape(-1, 2) - holes[hole]).T).argsort(kind="stable").tolist()
        free = next(((k // m, k % m) for k in order if (k // m, k % m) not in pinned), None)
        if free is None:
            rest.append(hole)
        else:
            pinned[free] = hole
    return pinned, rest
