"""In areas that ground feeds, rows lie level: no hole waits for others much further down."""

import numpy as np
import pytest

from render.plan.work import plan_work
from tests.figures import fan
from tests.pieces import PITCH, lattice, pricked, region


def star(tips, seed):
    """Return torchon ground with a star over it, turned anyhow."""
    turn = np.random.default_rng(seed).uniform(0, 2 * np.pi)
    angle = turn + np.pi * np.arange(2 * tips) / tips
    reach = np.where(np.arange(2 * tips) % 2, 13.0, 28.0)
    outline = 45 + reach[:, None] * np.stack([np.sin(angle), -np.cos(angle)], axis=1)
    return pricked(lattice(19, 19), [region(outline, "whole")])


def backwards(pricking):
    """Return for each area how far up a worker goes for a hole, at most, in spacings."""
    plan = plan_work(pricking)
    depth = pricking.holes @ pricking.down
    found = []
    for area in range(len(pricking.areas)):
        turned = [
            int(plan.turn[leg])
            for stitch, legs in enumerate(plan.given.tolist())
            for leg in legs
            if plan.area[stitch] == area and plan.turn[leg] >= 0
        ]
        levels = depth[turned]
        found.append(float((np.maximum.accumulate(levels) - levels).max()) / PITCH)
    return found


@pytest.mark.parametrize("pins", [9, 13, 17, 21])
def test_the_rows_of_a_fan_lie_level(pins):
    assert max(backwards(fan(pins))) <= 1.0


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("tips", range(4, 9))
def test_the_arms_of_a_star_are_worked_side_by_side(tips, seed):
    assert max(backwards(star(tips, seed))) <= 3.0
