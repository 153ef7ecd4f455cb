"""The judge must be able to say no: each plan here was spoilt on purpose."""

from dataclasses import replace

import numpy as np
import pytest

from render.plan.work import plan_work
from tests.pieces import diamond, lattice, pricked
from tests.plan.verifier import holes_left_out, replay


@pytest.fixture(scope="module")
def plan():
    return plan_work(diamond(3))


def changed(array, row, value):
    copy = np.array(array)
    copy[row] = value
    return copy


def test_a_sound_plan_passes(plan):
    assert len(replay(plan).standing) == len(plan.moves)


@pytest.mark.parametrize("stitch", [0, 7, 30, -1])
def test_pairs_that_change_sides_are_found(plan, stitch):
    spoilt = replace(plan, taken=changed(plan.taken, stitch, plan.taken[stitch][::-1]))
    with pytest.raises(AssertionError, match="hang apart"):
        replay(spoilt)


def test_a_pair_used_twice_is_found(plan):
    spoilt = replace(plan, taken=changed(plan.taken, 20, plan.taken[19]))
    with pytest.raises(AssertionError, match="does not hang"):
        replay(spoilt)


def test_a_pair_left_hanging_is_found(plan):
    with pytest.raises(AssertionError, match="left hanging"):
        replay(replace(plan, throwings=plan.throwings[:-1]))


def test_a_stitch_without_its_pairs_is_found(plan):
    with pytest.raises(AssertionError, match=r"nothing hangs|does not hang"):
        replay(replace(plan, hangings=plan.hangings[1:]))


def test_a_hole_that_is_forgotten_is_found():
    plan = plan_work(pricked(lattice(5, 5)))
    assert holes_left_out(replace(plan, hole=changed(plan.hole, 4, -1))) == {int(plan.hole[4])}
