"""Plaits and leaves drawn by lot: whatever is drawn, it is worked soundly and said what is not."""

import numpy as np
import pytest

from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from tests.joined_pieces import guipure_by_lot, with_lines_by_lot
from tests.plan.verifier import (
    comings_and_goings,
    holes_unexplained,
    lines_left_out,
    lines_worked,
    replay,
    told_to_come_and_go,
)

SEEDS = range(60)
MADE = {"lines over a lattice": with_lines_by_lot, "trails and lines": guipure_by_lot}


@pytest.fixture(scope="module", params=MADE)
def plans(request):
    return {seed: plan_work(sort_holes(MADE[request.param](seed))) for seed in SEEDS}


def test_only_neighbours_meet_and_no_pair_is_lost(plans):
    for seed, plan in plans.items():
        found = replay(plan)
        assert len(plan.hangings) == len(plan.throwings), seed
        assert max(found.hanging) <= plan.most_pairs, seed


def test_every_hole_of_the_work_has_a_pin_or_a_remark(plans):
    for seed, plan in plans.items():
        assert holes_unexplained(plan) == set(), seed


def test_every_line_is_worked_or_a_remark_says_why_not(plans):
    for seed, plan in plans.items():
        drawn = {k for k, run in enumerate(plan.pricking.runs) if run.word != "footside"}
        assert drawn - lines_worked(plan) <= lines_left_out(plan), seed


def test_pairs_that_come_or_go_on_the_way_are_told_with_a_place(plans):
    for seed, plan in plans.items():
        told = [r for r in plan.remarks if r.kind == "change"]
        hung, thrown = comings_and_goings(plan)
        told_hung, told_thrown = told_to_come_and_go(plan)
        assert hung <= told_hung, seed
        assert thrown <= told_thrown, seed
        assert all(r.place is not None for r in told), seed


def test_places_and_directions_are_sound(plans):
    for seed, plan in plans.items():
        along = plan.run >= 0
        assert np.isfinite(plan.at).all(), seed
        assert np.allclose(np.hypot(*plan.toward[along].T), 1), seed
        assert (plan.toward[~along] == 0).all(), seed
        assert (plan.twists >= 0).all(), seed


@pytest.mark.parametrize("seed", [3, 17, 40])
def test_the_same_piece_is_worked_the_same_way(seed):
    first, second = (plan_work(sort_holes(guipure_by_lot(seed))) for _ in range(2))
    assert np.array_equal(first.taken, second.taken)
    assert first.remarks == second.remarks
