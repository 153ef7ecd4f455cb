"""Settled plaits lie straight and firm, leaves keep their shape, picots stand outside the edge."""

import numpy as np
import pytest

from render.geometry.polygon import nearest_on_path
from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from render.settle.settle import settle
from render.threads.network import Kind
from render.threads.replay import lay_threads
from tests.joined_pieces import two_trails
from tests.pieces import line

GAUGE = 0.3


def crossings_of(word, gap=14.0, **options):
    """Return the settled crossings inside the stitches of one line, and its two ends."""
    ends = []

    def lines(left, right):
        ends.extend((left[5], right[10]))
        return [line(ends, word, **options)]

    laid = lay_threads(plan_work(sort_holes(two_trails(lines, gap=gap))))
    paths = settle(laid, gauge_mm=GAUGE)
    assert not len(paths.tangles)
    stitch = laid.stitch[laid.kind == Kind.CROSSING]
    inside = np.array([t == word for t in laid.plan.technique])[stitch] & (stitch >= 0)
    return paths.crossings.at[inside], np.array(ends)


def frame(ends):
    run = np.diff(ends, axis=0)[0]
    run = run / np.hypot(*run)
    return run, np.array([run[1], -run[0]])


def test_a_plait_runs_straight_from_hole_to_hole_in_even_steps():
    at, ends = crossings_of("plait")
    away, _ = nearest_on_path(ends, at, closed=False)
    assert away.max() < GAUGE
    # Where it begins and ends its threads come from aside.
    steps = np.hypot(*np.diff(at[2:-2], axis=0).T)
    assert np.ptp(steps) < 0.05 * GAUGE
    assert 1.5 < np.median(steps) / GAUGE < 3, "threads of a firm plait lie against each other"


def widths(word):
    """Return how far apart the outer two of three threads are crossed, row by row."""
    at, ends = crossings_of(word)
    _, across = frame(ends)
    return np.ptp(at.reshape(-1, 3, 2) @ across, axis=1)


def test_a_leaf_is_broad_in_the_middle_and_pointed_at_both_ends():
    found = widths("leaf")
    middle = len(found) // 2
    assert found[0] < 0.5 * found[middle] > found[-1]
    third = len(found) // 3
    means = [found[k * third : (k + 1) * third].mean() for k in range(3)]
    assert means[0] < 0.8 * means[1] > means[2]


def test_a_square_leaf_keeps_its_breadth():
    found = widths("square-leaf")
    assert np.ptp(found[1:-1]) < GAUGE
    assert found.mean() > 6 * GAUGE


@pytest.mark.parametrize("word", ["leaf", "square-leaf"])
def test_the_rows_of_a_leaf_lie_against_each_other(word):
    at, ends = crossings_of(word)
    run, _ = frame(ends)
    advance = np.diff(at.reshape(-1, 3, 2)[:, 1] @ run)[1:-1]
    assert np.ptp(advance) < 0.05 * GAUGE
    assert 1.0 <= advance.mean() / GAUGE < 1.2


def test_a_picot_stands_round_its_pin_outside_the_edge():
    def lines(left, right):
        return [line([left[0], left[30]], "headside", picots="left")]

    laid = lay_threads(plan_work(sort_holes(two_trails(lines))))
    paths = settle(laid, gauge_mm=GAUGE)
    holes = laid.plan.pricking.holes
    for hole in range(6, 26, 2):
        bend = (laid.kind == Kind.BEND) & (laid.plan.turn[laid.leg] == hole)
        worker = set(laid.left[bend].tolist())
        others = np.concatenate([
            paths.thread(t)[:, :2] for t in range(len(paths.radius)) if t not in worker
        ])  # fmt: skip
        beside = np.abs(others[:, 1] - holes[hole, 1]) < 0.5
        nearest = np.hypot(*(others[beside] - holes[hole]).T).min()
        assert nearest > 3 * GAUGE, "the cloth comes up to the pin"
