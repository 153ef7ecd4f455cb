"""Bent trails: what is worked is what lies there, and every pin holds thread.

The judges are plane geometry (shapely) and a plan worked by hand, see `tests.whole.verifier`.
"""

from collections import Counter
from functools import lru_cache

import numpy as np
import pytest
import shapely

from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from render.settle.settle import settle
from render.threads.replay import lay_threads
from tests.plan.verifier import holes_left_out, replay
from tests.scrolls import SHAPES
from tests.whole.verifier import curves, meetings, that_cross_themselves, worked_by_hand


@lru_cache
def worked(name):
    pricking = sort_holes(SHAPES[name]())
    plan = plan_work(pricking)
    return plan, settle(lay_threads(plan), gauge_mm=pricking.gauge_mm)


@pytest.mark.parametrize("name", SHAPES)
def test_every_pin_is_worked_at(name):
    plan, _ = worked(name)
    replay(plan)
    assert holes_left_out(plan) == set()


@pytest.mark.parametrize("name", SHAPES)
def test_threads_cross_where_they_were_worked_and_nowhere_else(name):
    plan, paths = worked(name)
    planned = Counter()
    for pair, times in worked_by_hand(plan).items():
        planned[tuple(sorted(pair))] += times
    found = meetings(paths)
    assert found.threads == planned
    assert found.overlaps == 0
    assert that_cross_themselves(paths) == []


@pytest.mark.parametrize("name", SHAPES)
def test_thread_lies_at_every_pin(name):
    """A loop round a pin of half a millimetre lies within a millimetre of its middle."""
    plan, paths = worked(name)
    lines = shapely.union_all(curves(paths))
    used = np.unique([h for h in (*plan.hole, *plan.turn) if h >= 0])
    away = shapely.distance(shapely.points(plan.pricking.holes[used]), lines)
    assert away.max() < 1.0


@pytest.mark.parametrize("name", ["horseshoe", "letter s", "half-stitch scroll"])
def test_a_trail_that_ends_across_the_card_runs_on_beyond_its_last_pins(name):
    """Its pairs hang side by side in their order, and end beyond the last pin."""
    plan, paths = worked(name)
    ends = np.array([paths.thread(t)[-1, :2] for t in range(len(paths.starts) - 1)])
    toward = np.array(plan.throwings[0].toward)
    last = plan.pricking.holes[plan.turn[plan.turn >= 0][-1]]
    assert ((ends - last) @ toward > -1.5).all()
    across = (ends @ (toward[1], -toward[0])).reshape(-1, 2).mean(axis=1)
    assert np.diff(np.sort(across)).min() > 1.5 * plan.pricking.gauge_mm
