"""Firm and slack work: the same crossings, more or less air."""

import numpy as np
import pytest
from scipy.spatial import cKDTree

from render.errors import SettingError
from render.plan.work import plan_work
from render.settle.settle import settle
from render.threads.replay import lay_threads
from tests.pieces import strip


@pytest.fixture(scope="module")
def laid():
    return lay_threads(plan_work(strip("whole", rows=14)))


def worked(laid, tension):
    return settle(laid, gauge_mm=0.6, tension=tension)


@pytest.mark.parametrize("tension", ["firm", "usual", "slack"])
def test_tension_changes_no_crossing(laid, tension):
    usual, other = (worked(laid, word) for word in ("usual", tension))
    assert len(other.tangles) == 0
    assert (other.crossings.over == usual.crossings.over).all()
    assert (other.crossings.under == usual.crossings.under).all()
    assert other.radius == pytest.approx(0.3)


def test_the_slacker_the_work_the_further_loops_stand_off_their_pins(laid):
    """Common practice, no source: slack pairs leave loops at the pins."""
    used = np.unique(laid.plan.turn[laid.plan.turn >= 0])
    pins = laid.plan.pricking.holes[used]

    def room(tension):
        points = worked(laid, tension).points[:, :2]
        return np.median(cKDTree(points).query(pins)[0])

    firm, usual, slack = (room(word) for word in ("firm", "usual", "slack"))
    assert firm < usual < slack


def test_more_thread_goes_into_slack_work(laid):
    def length(tension):
        paths = worked(laid, tension)
        return sum(
            np.linalg.norm(np.diff(paths.thread(k)[:, :2], axis=0), axis=1).sum()
            for k in range(len(paths.radius))
        )

    assert length("firm") < length("usual") < length("slack")


def test_an_unknown_tension_is_refused(laid):
    with pytest.raises(SettingError, match="firm, usual, slack"):
        worked(laid, "floppy")
