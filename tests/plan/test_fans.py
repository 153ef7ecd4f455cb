"""Fans: areas with more pins along their rim than along the ground, or fewer.

That a worker turns without a pin, or round the same one again, where the other side has more of
them is common practice, no source; that such turns are spread over the fan is what keeps its rows
even.
"""

from itertools import groupby

import numpy as np
import pytest

from render.plan.work import plan_work
from tests.figures import fan
from tests.pieces import PITCH
from tests.plan.verifier import holes_left_out, replay


def sides_of_turns(plan):
    """Return -1 for each pin of the fan on its rim and +1 for each along the ground, as worked."""
    edge = set(plan.pricking.areas[0].edge.tolist())
    legs = [leg for leg in np.flatnonzero(plan.turn >= 0).tolist() if plan.turn[leg] in edge]
    begun = {leg: k for k, given in enumerate(plan.given.tolist()) for leg in given}
    worked = sorted((begun.get(leg, -1), int(plan.turn[leg])) for leg in legs)
    x = plan.pricking.holes[:, 0]
    return [-1 if x[hole] <= PITCH * 0.9 else 1 for _, hole in worked]


@pytest.mark.parametrize("rim", [8, 11, 14, 17])
def test_a_fan_is_worked_over_every_pin(rim):
    plan = plan_work(fan(rim))
    replay(plan)
    assert holes_left_out(plan) == set()


def test_turns_without_a_pin_are_spread_over_a_fan():
    sides = sides_of_turns(plan_work(fan(17)))
    assert sides.count(-1) > sides.count(1) + 3
    assert max(len(list(run)) for _, run in groupby(sides)) <= 3
