"""Taut threads at rest, against what statics asks."""

import numpy as np
import pytest

from render.settle.tension import FIXED, rest

STAR = np.array([[0, 3], [1, 3], [2, 3]])


def spread(angles: list[float]) -> np.ndarray:
    turn = np.deg2rad(angles)
    ends = 5.0 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    return np.vstack([ends, [[0.7, -0.4]]])


def angle_between(middle: np.ndarray, a: np.ndarray, b: np.ndarray) -> float:
    u, v = a - middle, b - middle
    return float(np.degrees(np.arccos(u @ v / np.hypot(*u) / np.hypot(*v))))


def held(count: int, fixed: int) -> np.ndarray:
    return np.where(np.arange(count) < fixed, FIXED, 0.0)


def test_three_equal_pulls_meet_at_120_degrees():
    """Torricelli's point: any triangle without an angle of 120 degrees or more."""
    points = spread([10, 120, 250])
    found = rest(points, STAR, np.ones(3), held(4, 3), points, rounds=40)
    for i, j in ((0, 1), (1, 2), (2, 0)):
        assert angle_between(found[3], found[i], found[j]) == pytest.approx(120, abs=0.01)


@pytest.mark.parametrize("ratio", [0.6, 1.0, 1.2, 2**0.5, 1.6])
def test_a_stem_of_another_pull_opens_its_legs_by_the_triangle_of_forces(ratio):
    """Two legs of pull 1 balance a stem of pull r where cos(angle / 2) = r / 2."""
    points = spread([90, 210, 330])
    found = rest(points, STAR, np.array([ratio, 1, 1]), held(4, 3), points, rounds=200)
    opened = angle_between(found[3], found[1], found[2])
    assert opened == pytest.approx(np.degrees(2 * np.arccos(ratio / 2)), abs=0.05)


def test_a_lone_thread_is_straight_and_evenly_divided():
    points = np.array([[0, 0], [1, 3], [2, -1], [5, 2], [8, 4]], float)
    hold = np.array([FIXED, 0, 0, 0, FIXED])
    edges = np.array([[0, 1], [1, 2], [2, 3], [3, 4]])
    found = rest(points, edges, np.ones(4), hold, points, group=np.zeros(4, int))
    assert found == pytest.approx(np.linspace([0, 0], [8, 4], 5), abs=1e-6)


def test_what_is_pinned_does_not_move():
    points = spread([0, 90, 200])
    found = rest(points, STAR, np.ones(3), held(4, 3), points)
    assert np.array_equal(found[:3], points[:3])


def test_no_total_of_pull_times_length_is_smaller():
    """At rest every small move costs work."""
    points = spread([20, 130, 260])
    pull = np.array([1.0, 0.8, 1.3])
    found = rest(points, STAR, pull, held(4, 3), points, rounds=60)

    def work(middle: np.ndarray) -> float:
        return float(pull @ np.hypot(*(found[:3] - middle).T))

    for step in np.eye(2) * 0.05:
        assert work(found[3] + step) > work(found[3]) < work(found[3] - step)
