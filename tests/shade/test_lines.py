"""Points made fewer or more keep their threads where they were."""

import numpy as np
import pytest

from render.shade.lines import lines
from render.shade.view import View


def dense(paths, scale, size=4000):
    (made,) = lines(paths, View(0, 0, scale, size, size), np.full(len(paths.radius), 5.0))
    return made


def test_fine_points_are_thinned_and_ends_stay(lay):
    s = np.linspace(0, 10, 5001)
    made = dense(lay([np.column_stack([s, s, 0 * s])], 0.1), 10)
    assert len(made.points) < 300
    assert made.points[[0, -1], :2] == pytest.approx(np.array([[0, 0], [100, 100]]))


def test_a_polygon_is_drawn_as_the_circle_it_stands_for(lay):
    turn = np.linspace(0, 2 * np.pi, 25)
    ring = np.column_stack([20 + 5 * np.cos(turn), 20 + 5 * np.sin(turn), 0 * turn])
    made = dense(lay([ring], 0.1), 50)
    away = np.hypot(*(made.points[:, :2] / 50 - 20).T)
    middle = made.points[(made.points[:, 1] > 20 * 50), :2]
    assert np.hypot(*np.diff(middle, axis=0).T).max() < 6  # pixels
    # Both ends of the ring are straight for want of neighbours.
    assert np.abs(away[20:-20] - 5).max() < 0.012  # 5 (1 - cos(7.5 deg)) = 0.043 without


def test_sharp_corners_are_rounded_but_not_moved(lay):
    corner = np.array([[1, 1, 0], [3, 1, 0], [3, 3, 0]], float)
    made = dense(lay([corner], 0.1), 100)
    step = np.diff(made.points[:, :2], axis=0)
    turn = np.diff(np.unwrap(np.arctan2(step[:, 1], step[:, 0])))
    assert turn.sum() == pytest.approx(np.pi / 2, rel=0.01)  # curves begin a little aslant
    assert np.abs(turn).max() < np.radians(33)
    assert np.hypot(*(made.points[:, :2] / 100 - (3, 1)).T).min() < 0.5


def test_threads_do_not_join(lay):
    a = np.array([[1, 1, 0], [2, 1, 0]], float)
    made = dense(lay([a, a + 1, a + 2], 0.1), 10)
    assert (np.bincount(made.line) >= 2).all()
    assert len(made.joined) == len(made.points) - 3


def test_a_window_keeps_the_parts_of_threads_it_sees(lay):
    """A thread that leaves and comes back is two lines of one thread."""
    t = np.linspace(0, np.pi, 400)
    arch = np.column_stack([100 * (1 - np.cos(t)) / 2, 90 * np.sin(t), 0 * t])
    view = View(-1, -1, 10.0, 1020, 60)
    (made,) = lines(lay([arch], 0.1), view, np.array([5.0]))
    assert (made.thread == 0).all()
    (whole,) = lines(lay([arch], 0.1), View(-1, -1, 10.0, 1020, 1000), np.array([5.0]))
    seen = whole.points[whole.points[:, 1] < 60]
    kept = {tuple(p) for p in made.points.round(6)}
    assert all(tuple(p) in kept for p in seen.round(6))


def test_places_in_the_tables_grow_with_the_thread(lay):
    s = np.linspace(0, 20, 200)
    made = dense(lay([np.column_stack([s, 0 * s + 5, 0 * s])], 0.1), 20)
    length = made.points[-1, 0] - made.points[0, 0]
    assert made.points[-1, 3] - made.points[0, 3] == pytest.approx(length / 20 / 5.0)
