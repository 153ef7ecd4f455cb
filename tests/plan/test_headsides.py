"""Picots beside ground: made outside it, and told of where they are asked for inside.

Common practice, no source.
"""

from dataclasses import replace

import numpy as np
import pytest

from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from tests.pieces import line, marked
from tests.plan.verifier import holes_left_out, replay
from tests.whole.test_repeats import picots_and_footside


def worked(asked, mirrored=False):
    """Work point ground whose headside is on the maker's right, or on the left if mirrored."""
    way = np.array([-1.0 if mirrored else 1.0, 1.0])
    once = picots_and_footside()
    lines = [
        line(one.points * way, one.word, **(one.options and {"picots": asked}))
        for one in once.lines
    ]
    piece = marked(once.holes * way, [], lines, ground="point")
    plan = plan_work(sort_holes(replace(piece, gauge_mm=0.16)))
    replay(plan)
    assert holes_left_out(plan) == set()
    return plan


@pytest.mark.parametrize(("asked", "mirrored"), [("right", False), ("left", True), ("both", False)])
def test_picots_are_made_outside(asked, mirrored):
    plan = worked(asked, mirrored)
    picots = plan.turn[plan.twists >= 6]
    assert len(picots) == 3
    assert (np.abs(plan.pricking.holes[picots, 0]) > 5).all()
    assert not plan.remarks


@pytest.mark.parametrize(("asked", "mirrored"), [("left", False), ("right", True)])
def test_picots_that_would_lie_in_the_ground_are_left_out_and_told(asked, mirrored):
    plan = worked(asked, mirrored)
    assert not (plan.twists >= 6).any()
    (told,) = [str(r) for r in plan.remarks if "picots" in r.message]
    assert f"on its {asked}, looking down from its upper end, lies the ground" in told
