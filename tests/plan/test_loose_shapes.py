"""Shapes drawn roughly over a lattice take and give as many pairs as the ground has for them.

Two pairs come to each hole of ground and two leave it: so as many come to any patch of it as leave
(common practice, no source).
"""

import numpy as np
import pytest

from render.plan.work import plan_work
from tests.pieces import lattice, pricked, region
from tests.plan.verifier import comings_and_goings, replay

ROUND = np.linspace(0, 2 * np.pi, 40, endpoint=False)


def shape_by_lot(seed):
    """Return an ellipse, every other time a circle."""
    lot = np.random.default_rng(seed)
    flat = lot.uniform(0.5, 0.8) if seed % 2 else 1.0
    way = np.stack([np.cos(ROUND), flat * np.sin(ROUND)], axis=1)
    return lot.uniform(35, 55, 2) + lot.uniform(11, 24) * way


@pytest.mark.parametrize("seed", range(40))
def test_no_pair_comes_or_goes_at_a_rough_circle_in_ground(seed):
    stitch, ground = ("whole", "half")[seed // 2 % 2], ("torchon", "point")[seed // 4 % 2]
    plan = plan_work(pricked(lattice(19, 19), [region(shape_by_lot(seed), stitch)], ground=ground))
    replay(plan)
    assert comings_and_goings(plan) == (0, 0)
    used = {*plan.hole.tolist(), *plan.turn.tolist()}
    assert set(range(len(plan.pricking.holes))) <= used
