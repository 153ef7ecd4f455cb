"""Gimps settle thick: held where they are drawn, with the pairs lying round them."""

import numpy as np
import pytest
from scipy.spatial import cKDTree

from render.plan.work import plan_work
from render.settle.settle import settle
from render.threads.replay import lay_threads
from tests.gimped_pieces import gimp_in_ground

GAUGE = 0.3
LINE = [(-4, 22), (18, 31), (44, 37)]


@pytest.fixture(scope="module")
def paths():
    plan = plan_work(gimp_in_ground(LINE, ground="point"), gauge_mm=GAUGE)
    return settle(lay_threads(plan), gauge_mm=GAUGE)


def closely(points, step=0.02):
    """Return points of a thread close to each other, in three dimensions."""
    way = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    even = np.arange(0, way[-1], step)
    return np.stack([np.interp(even, way, points[:, k]) for k in range(3)], axis=1)


def test_a_gimp_is_drawn_as_thick_as_it_is(paths):
    assert paths.radius[:-1] == pytest.approx(GAUGE / 2)
    assert paths.radius[-1] == pytest.approx(4 * GAUGE / 2)
    assert paths.pair[-1] == -1


def test_no_thread_cuts_through_the_gimp(paths):
    """Two round threads that touch have their middles as far apart as both radii."""
    gimp = cKDTree(closely(paths.thread(len(paths.pair) - 1)))
    touching = paths.radius[-1] + GAUGE / 2
    for t in range(len(paths.pair) - 1):
        apart, _ = gimp.query(closely(paths.thread(t)))
        # Threads are soft: they press into each other by less than half of their thickness.
        assert touching - apart.min() < GAUGE / 2


def test_a_gimp_keeps_near_its_line(paths):
    """No further off than half the way between two holes of a diagonal, in which it has room."""
    drawn = closely(np.column_stack([LINE, np.zeros(len(LINE))]))[:, :2]
    off, _ = cKDTree(drawn).query(paths.thread(len(paths.pair) - 1)[:, :2])
    assert off.max() < np.hypot(5, 5) / 2


def test_other_threads_run_as_they_did_away_from_the_gimp(paths):
    """What is pinned holds: a gimp in one row moves nothing three rows away."""
    bare = settle(
        lay_threads(plan_work(gimp_in_ground([(60, 0), (60, 9)], ground="point"))), gauge_mm=GAUGE
    )
    points = bare.points[:, :2]
    far = points[points[:, 1] < 22 - 15]
    apart, _ = cKDTree(paths.points[:, :2]).query(far)
    assert apart.max() < GAUGE / 2
