"""Settled pieces of lace, judged by shapely and by measuring."""

import numpy as np
import pytest
from scipy.spatial import cKDTree

from render.errors import SettingError
from render.plan.work import plan_work
from render.settle.settle import settle
from render.threads.network import Kind
from render.threads.replay import lay_threads
from tests.pieces import lattice, line, pricked
from tests.settle.conftest import count_crossings, planned_crossings

GAUGE = 0.25


@pytest.mark.parametrize("state", ["pillow", "finished"])
def test_threads_cross_where_the_plan_says_and_nowhere_else(piece, state):
    laid = lay_threads(piece)
    paths = settle(laid, gauge_mm=GAUGE, state=state)
    assert count_crossings(paths) == planned_crossings(laid)


def test_the_right_thread_lies_on_top_at_every_crossing(piece):
    paths = settle(lay_threads(piece), gauge_mm=GAUGE)

    def height(thread: int, at: np.ndarray) -> float:
        points = paths.thread(thread)
        return float(points[np.hypot(*(points[:, :2] - at).T).argmin(), 2])

    crossings = paths.crossings
    for over, under, at in zip(crossings.over, crossings.under, crossings.at, strict=True):
        assert height(over, at) > 0 > height(under, at)


def test_settling_twice_gives_the_same_bytes(make):
    plan = make["whole diamond"]()
    first, second = (settle(lay_threads(plan), gauge_mm=GAUGE) for _ in range(2))
    assert first.points.tobytes() == second.points.tobytes()
    assert first.crossings.at.tobytes() == second.crossings.at.tobytes()


def test_points_of_a_thread_lie_close_together(piece):
    paths = settle(lay_threads(piece), gauge_mm=GAUGE)
    for thread in range(len(paths.radius)):
        assert np.hypot(*np.diff(paths.thread(thread)[:, :2], axis=0).T).max() < 0.75 * GAUGE


def test_pins_stay_clear_of_threads_on_the_pillow(make):
    plan = make["torchon"]()
    paths = settle(lay_threads(plan), gauge_mm=GAUGE, pin_mm=0.5)
    gaps = paths.points[None, :, :2] - plan.pricking.holes[:, None]
    assert np.sqrt((gaps**2).sum(axis=2)).min() > 0.25


def test_rows_of_cloth_are_evenly_spaced(make):
    """In the middle of a strip neighbouring crossings of a passive lie about equally far apart.

    Plain cloth of one thread under one tension has one spacing: F. T. Peirce, "The geometry of
    cloth structure", Journal of the Textile Institute 28 (1937) T45-T96. Pins draw the rows
    together at the sides, by turns, so the middle third of the strip is looked at.
    """
    paths = settle(lay_threads(make["whole strip"]()), gauge_mm=GAUGE)
    at = paths.crossings.at
    middle = (np.abs(at[:, 0] - 5) < 1.7) & (np.abs(at[:, 1] - 19) < 10)
    rows = np.sort(at[middle, 1])
    lines = rows[np.concatenate([[True], np.diff(rows) > 0.12])]
    assert np.std(np.diff(lines)) < 0.35 * np.mean(np.diff(lines))


def test_one_thread_runs_straight_across_each_row_of_half_stitch(make):
    """READ in Dillmont, p. 483, and Edkins: one bobbin of the worker goes right across."""
    laid = lay_threads(make["half strip"]())
    paths = settle(laid, gauge_mm=GAUGE)
    widths = []
    for thread in range(len(paths.radius)):
        x = paths.thread(thread)[:, 0]
        widths.append(np.abs(np.diff(x)).sum())
    # It goes to and fro over the width of 10 mm, some 19 times; the others cross it a few times.
    assert max(widths) > 15 * 9
    assert np.median(widths) < 0.5 * max(widths)


def test_crossings_of_point_ground_hang_above_their_pins(make):
    """The pin is left open: it stands between the two pairs that leave (Edkins, point ground)."""
    plan = make["point"]()
    laid = lay_threads(plan)
    paths = settle(laid, gauge_mm=0.18)
    crossing = np.flatnonzero(laid.kind == Kind.CROSSING)
    inside = laid.stitch[crossing] >= 0
    pin = plan.pricking.holes[plan.hole[laid.stitch[crossing[inside]]]]
    below = pin - paths.crossings.at[inside]
    assert np.all(below[:, 1] > 0.25)
    assert np.all(np.abs(below[:, 0]) < below[:, 1])


@pytest.mark.parametrize(("gauge", "state"), [(0.0, "pillow"), (0.25, "starched")])
def test_settings_that_make_no_sense_are_refused(make, gauge, state):
    with pytest.raises(SettingError):
        settle(lay_threads(make["torchon"]()), gauge_mm=gauge, state=state)


def test_pieces_one_below_another_settle_as_each_does_alone():
    foot = line([(0, 0), (0, 25)], "footside")
    spots = lattice(5, 6)
    alone = lay_threads(plan_work(pricked(spots, [], [foot])))
    below = [(0.0, 50.0 * k) for k in range(3)]
    lines = [line(foot.points + shift, "footside") for shift in below]
    three = lay_threads(plan_work(pricked(np.concatenate([spots + s for s in below]), [], lines)))
    one, all_three = (settle(laid, gauge_mm=GAUGE).points[:, :2] for laid in (alone, three))
    for shift in below:
        here = all_three[np.abs(all_three[:, 1] - shift[1] - 12.5) < 25] - shift
        assert len(here) == len(one)
        assert cKDTree(here).query(one)[0].max() < 0.01
