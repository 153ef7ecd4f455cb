"""Pieces drawn by lot in grounds that are more than one stitch at each pin."""

from dataclasses import replace as changed

import pytest

from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from tests.pieces import random_pattern
from tests.plan.verifier import comings_and_goings, holes_unexplained, replay

# Among them those in which pairs of one plait once hung where another should leave.
SEEDS = [*range(0, 50, 3), 20, 42, 46]


@pytest.mark.parametrize("ground", ["valenciennes", "spider", "rose"])
@pytest.mark.parametrize("seed", SEEDS)
def test_whatever_lies_on_the_card_is_worked_soundly(seed, ground):
    pattern = changed(random_pattern(seed, columns=(4, 11), rows=(5, 14)), ground=ground)
    plan = plan_work(sort_holes(pattern))
    replay(plan)
    assert len(plan.hangings) == len(plan.throwings)
    assert holes_unexplained(plan) == set()
    told = [remark for remark in plan.remarks if remark.kind == "change"]
    assert bool(told) or not any(comings_and_goings(plan))
