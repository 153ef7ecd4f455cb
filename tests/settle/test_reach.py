"""Pins near which no thread lies are found."""

import dataclasses

import numpy as np

from render.plan.work import plan_work
from render.settle.reach import pins_out_of_reach
from render.settle.settle import settle
from render.threads.replay import lay_threads
from tests.pieces import diamond


def settled():
    plan = plan_work(diamond(3))
    return plan, settle(lay_threads(plan), gauge_mm=0.3)


def test_every_pin_of_a_diamond_in_ground_is_reached():
    assert len(pins_out_of_reach(*settled())) == 0


def test_pins_beyond_the_threads_are_named():
    plan, paths = settled()
    edge = plan.pricking.holes[:, 0].min()
    moved = dataclasses.replace(paths, points=paths.points + np.array([9.0, 0.0, 0.0]))
    left = np.flatnonzero(plan.pricking.holes[:, 0] == edge)
    assert set(left) <= set(pins_out_of_reach(plan, moved).tolist())
