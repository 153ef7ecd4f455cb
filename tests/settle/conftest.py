"""Small pieces of lace, planned."""

from collections import Counter
from collections.abc import Callable

import numpy as np
import pytest
import shapely

from render.errors import Place
from render.pattern.model import Pattern, Region
from render.plan.model import WorkingPlan
from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from render.threads.model import ThreadPaths
from render.threads.network import Kind, LaidThreads


def lattice(columns: int, rows: int, across: float, down: float) -> np.ndarray:
    return np.array(
        [
            (x * across / 2, y * down / 2)
            for y in range(rows)
            for x in range(columns)
            if (x + y) % 2 == 0
        ]
    )


def planned(holes: np.ndarray, *regions: Region, ground: str = "torchon") -> WorkingPlan:
    none = (None,) * len(holes)
    return plan_work(sort_holes(Pattern("piece", holes, none, none, regions, ground=ground)))


def torchon() -> WorkingPlan:
    """Dillmont's fig. 787: 59 holes, 10 pairs."""
    return planned(lattice(9, 13, 5.0, 5.0))


def point() -> WorkingPlan:
    return planned(lattice(9, 13, 5.2, 3.0), ground="point")


def doubled() -> WorkingPlan:
    return planned(lattice(7, 9, 6.0, 6.0), ground="doubled")


def diamond(stitch: str) -> WorkingPlan:
    """Plan a diamond of four pairs a side in torchon ground."""
    holes = lattice(17, 23, 5.0, 5.0)
    middle = np.array([20.0, 30.0])
    off = np.abs(holes - middle).sum(axis=1)
    holes = holes[(off > 10.5) | (off > 9.0)]
    outline = middle + 10.5 * np.array([(0, -1), (1, 0), (0, 1), (-1, 0)])
    return planned(holes, Region((outline,), stitch, Place("diamond")))


def strip(stitch: str) -> WorkingPlan:
    """Plan a strip with staggered pins at its sides, as Dillmont's fig. 785."""
    left = np.array([(0.0, 4.0 * k) for k in range(10)])
    right = np.array([(10.0, 4.0 * k + 2.0) for k in range(10)])
    outline = np.concatenate([left, right[::-1]])
    return planned(np.concatenate([left, right]), Region((outline,), stitch, Place("strip")))


PIECES: dict[str, Callable[[], WorkingPlan]] = {
    "torchon": torchon,
    "point": point,
    "doubled": doubled,
    "whole diamond": lambda: diamond("whole"),
    "half diamond": lambda: diamond("half"),
    "whole strip": lambda: strip("whole"),
    "half strip": lambda: strip("half"),
}


@pytest.fixture(params=PIECES)
def piece(request: pytest.FixtureRequest) -> WorkingPlan:
    return PIECES[request.param]()


@pytest.fixture
def make() -> dict[str, Callable[[], WorkingPlan]]:
    return PIECES


def count_crossings(paths: ThreadPaths) -> Counter[tuple[int, int]]:
    """Return how often any two threads cross, found by shapely; (t, t) where one crosses itself."""
    lines = [shapely.LineString(paths.thread(t)[:, :2]) for t in range(len(paths.radius))]
    found: Counter[tuple[int, int]] = Counter()
    for i, j in shapely.STRtree(lines).query(lines, predicate="intersects").T:
        if i < j:
            found[int(i), int(j)] += len(
                shapely.get_coordinates(shapely.intersection(lines[i], lines[j]))
            )
    found.update((t, t) for t, line in enumerate(lines) if not line.is_simple)
    return found


def planned_crossings(laid: LaidThreads) -> Counter[tuple[int, int]]:
    """Return how often any two threads should cross, the common start of a pair included."""
    nodes = np.flatnonzero((laid.kind == Kind.CROSSING) | (laid.kind == Kind.START))
    return Counter(
        (int(min(a, b)), int(max(a, b)))
        for a, b in zip(laid.left[nodes], laid.right[nodes], strict=True)
    )
