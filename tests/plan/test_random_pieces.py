"""Pieces drawn by lot: whatever lies on the card, it is worked soundly or refused clearly."""

import numpy as np
import pytest

from render.errors import PlanError
from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from tests.pieces import random_pattern
from tests.plan.verifier import (
    comings_and_goings,
    holes_unexplained,
    replay,
    told_to_come_and_go,
)

GROUP = 25
GROUPS = range(14)


def seeds(group):
    return range(GROUP * group, GROUP * (group + 1))


def planned(seed):
    """Return the plan of a random piece, or the refusal. Anything else raised fails the test."""
    try:
        return plan_work(sort_holes(random_pattern(seed)))
    except PlanError as refusal:
        return refusal


@pytest.fixture(scope="module", params=GROUPS)
def plans(request):
    found = {seed: planned(seed) for seed in seeds(request.param)}
    refusals = [plan for plan in found.values() if isinstance(plan, PlanError)]
    assert all(str(refusal) for refusal in refusals), "a refusal has to say why"
    return {seed: plan for seed, plan in found.items() if not isinstance(plan, PlanError)}


def test_all_of_them_are_worked(plans):
    """Each has holes of ground or an area with edges: there is always something to work."""
    assert len(plans) == GROUP


def test_only_neighbours_meet_and_no_pair_is_lost(plans):
    for seed, plan in plans.items():
        found = replay(plan)
        assert len(plan.hangings) == len(plan.throwings), seed
        assert max(found.hanging) <= plan.most_pairs, seed


def test_every_hole_of_the_work_has_a_pin_or_a_remark(plans):
    for seed, plan in plans.items():
        assert holes_unexplained(plan) == set(), seed


def test_pairs_that_come_or_go_on_the_way_are_told_with_a_place(plans):
    for seed, plan in plans.items():
        told = [r for r in plan.remarks if r.kind == "change"]
        hung, thrown = comings_and_goings(plan)
        told_hung, told_thrown = told_to_come_and_go(plan)
        assert hung <= told_hung, seed
        assert thrown <= told_thrown, seed
        assert all(r.place is not None for r in told), seed


def test_places_and_numbers_are_sound(plans):
    for seed, plan in plans.items():
        holes = len(plan.pricking.holes)
        assert np.isfinite(plan.at).all(), seed
        assert (plan.hole < holes).all(), seed
        assert (plan.turn < holes).all(), seed
        assert (plan.twists >= 0).all(), seed
        inside = (plan.pin_after >= 0) & (plan.pin_after <= [len(m) for m in plan.moves])
        assert inside[plan.hole >= 0].all(), seed


@pytest.mark.parametrize("seed", range(0, 60, 6))
def test_the_same_piece_is_worked_the_same_way(seed):
    first, second = (plan_work(sort_holes(random_pattern(seed))) for _ in range(2))
    assert np.array_equal(first.taken, second.taken)
    assert first.hangings == second.hangings
    assert first.remarks == second.remarks
