"""Trails that come to pins of their own or of another trail that have been used before.

That they are sewn there, a loop of the worker drawn through with a hook, is common practice, no
source. Which pins are shared is counted here from the drawing.
"""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from render.plan.model import Sewing
from render.plan.planar import lies_flat
from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from tests.plan.verifier import comings_and_goings, holes_left_out, replay
from tests.scrolls import hairpin, side_by_side, spiral
from tests.trails import branching, tape, tapes


def worked(pattern):
    plan = plan_work(sort_holes(pattern))
    replay(plan)
    assert holes_left_out(plan) == set()
    assert comings_and_goings(plan) == (0, 0)
    return plan


def said(plan, words):
    return [r for r in plan.remarks if words in r.message]


def turns_at(plan, hole):
    return np.flatnonzero(plan.turn == hole).tolist()


def test_a_trail_worked_up_beside_another_is_sewn_at_every_pin_they_share():
    plan = worked(side_by_side())
    edge = [a.edge for a in plan.pricking.areas]
    shared = np.intersect1d(*edge)
    assert sorted(s.hole for s in plan.sewings) == shared.tolist()
    for sewing in plan.sewings:
        assert turns_at(plan, sewing.hole) == [sewing.to, sewing.leg]
    (told,) = said(plan, "is sewn at this pin")
    assert f"at {len(shared) - 1} more" in told.message
    assert "the trail that is worked before it" in told.message
    assert told.place == plan.pricking.place(plan.sewings[0].hole)


def test_trails_worked_down_side_by_side_meet_and_are_not_sewn():
    plan = worked(side_by_side(up=False))
    shared = np.intersect1d(*(a.edge for a in plan.pricking.areas))
    assert plan.sewings == ()
    assert len(set(shared.tolist()) - set(plan.hole.tolist())) <= 1, "but for the last"


def test_a_hairpin_is_sewn_to_its_own_first_arm():
    plan = worked(hairpin())
    between = np.flatnonzero(np.abs(plan.pricking.holes[:, 0]) < 0.1)
    arms = [h for h in between.tolist() if plan.pricking.holes[h, 1] < 16]
    assert sorted(s.hole for s in plan.sewings) == arms
    assert len(said(plan, "to an earlier part of it")) == 1


@pytest.mark.parametrize("inner", [3.0, 6.0])
@pytest.mark.parametrize("turns", [1.4, 1.9])
def test_a_spiral_is_sewn_where_one_turn_lies_beside_the_last(turns, inner):
    """From where its second turn begins, at each pin of the first turn's outer edge."""
    plan = worked(spiral(turns, inner))
    holes = plan.pricking.holes
    edge = plan.pricking.areas[0].edges[0].tolist()
    twice = {h for h in edge if edge.count(h) == 2}
    sewn = {s.hole for s in plan.sewings}
    assert sewn <= twice
    assert len(twice - sewn) <= 3, "but for the tips"
    away = np.hypot(*holes[sorted(twice)].T)
    assert away.min() > inner + 3.9
    assert len(twice) == pytest.approx((turns - 1) * 2 * np.pi * away.mean() / 2.6, abs=2.5)


def test_twists_for_each_pin_are_given_at_sewings_too():
    plan = worked(spiral(tie="3"))
    legs = [leg for s in plan.sewings for leg in (s.leg, s.to)]
    assert set(plan.twists[legs].tolist()) == {3}


def test_a_trail_that_ends_at_finished_work_is_sewn_on_there():
    """The spiral is worked inwards; its last pin was one of its first turn."""
    plan = worked(spiral())
    assert [t.sewn is not None for t in plan.throwings] == [True] * 5
    (told,) = said(plan, "its pairs are sewn on here")
    away = np.hypot(
        *(np.array([t.sewn for t in plan.throwings]) - (told.place.x_mm, told.place.y_mm)).T
    )
    assert away.min() == 0
    assert away.max() < 2.6


def test_a_branch_that_ends_in_a_trail_still_under_way_goes_into_it():
    plan = plan_work(sort_holes(branching(ending=True)))
    assert all(t.sewn is None for t in plan.throwings)


def test_pins_that_stand_beside_each_other_belong_each_to_its_own_trail():
    """Two tapes touch at a bend, with a millimetre between their pins."""
    bend = np.linspace(-1.2, 1.2, 60)
    left, right = (
        tape(np.column_stack([s * (20.5 - 18 * np.cos(bend)), 22 * np.sin(bend)])) for s in (-1, 1)
    )
    plan = worked(tapes(left, right, pairs="5"))
    assert plan.sewings == ()
    for area, (pins, _) in zip(plan.pricking.areas, (left, right), strict=True):
        spots = shapely.points(plan.pricking.holes[area.edge])
        foreign = shapely.distance(spots, shapely.MultiPoint(pins)) > 0.21
        assert foreign.sum() <= 3, "but for those where the edges part"


def test_what_cannot_lie_flat_is_found():
    """Sewings of opposite order would have to cross each other."""
    plan = worked(side_by_side())
    assert lies_flat(plan, plan.sewings)
    first, second = plan.sewings[:2]
    swapped = [Sewing(first.leg, second.to, first.hole), Sewing(second.leg, first.to, second.hole)]
    assert not lies_flat(replace(plan), swapped)
