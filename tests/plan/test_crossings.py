"""Trails that cross through each other.

That the pairs of one are worked in whole stitch through those of the other, and both go on, is
common practice, no source; that a crossing of n and m pairs takes n times m stitches follows, as
for the legs of a spider (Dillmont, 1886, p. 485: n squared).
"""

from collections import Counter

import numpy as np
import pytest

from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from tests.plan.verifier import comings_and_goings, holes_left_out, replay
from tests.trails import crossing, tape, tapes


def meetings_of_pairs(plan):
    """Count how often each two pairs meet, each known by the area it was hung for and a number.

    CTC lets two pairs change places, CTTC leaves each on its side (handbooks agree).
    """
    pair = {h.leg: (h.area, k) for k, h in enumerate(plan.hangings)}
    met = Counter()
    for moves, taken, given in zip(
        plan.moves, plan.taken.tolist(), plan.given.tolist(), strict=True
    ):
        left, right = (pair[leg] for leg in taken)
        met[frozenset((left, right))] += 1
        changed = {"CTC": (right, left), "CTTC": (left, right)}[moves]
        pair |= dict(zip(given, changed, strict=True))
    return met


@pytest.mark.parametrize("slope", [0.5, 1.0, 1.6])
@pytest.mark.parametrize("pairs", [3, 5])
def test_every_pair_of_one_trail_goes_once_through_every_pair_of_the_other(slope, pairs):
    plan = plan_work(sort_holes(crossing(slope=slope, pairs=str(pairs))))
    replay(plan)
    across = {k: n for k, n in meetings_of_pairs(plan).items() if len({a for a, _ in k}) == 2}
    assert len(across) == (pairs + 1) ** 2
    assert set(across.values()) == {1}


@pytest.mark.parametrize("slope", [0.5, 1.0, 1.6])
def test_both_trails_go_on_with_their_pairs_and_their_holes(slope):
    plan = plan_work(sort_holes(crossing(slope=slope, pairs="4")))
    assert len(plan.hangings) == 2 * (4 + 1)
    assert comings_and_goings(plan) == (0, 0)
    assert holes_left_out(plan) == set()


def test_trails_in_half_stitch_cross_as_cloth():
    plan = plan_work(sort_holes(crossing(stitch="half", pairs="4")))
    assert plan.technique.count("whole") == (4 + 1) ** 2
    assert set(plan.technique) == {"half", "whole"}


def test_a_trail_may_cross_two_others():
    first = tape([(0, 0), (40, 40)])
    others = [tape([(x, 0), (x - 24, 36)]) for x in (26, 48)]
    plan = plan_work(sort_holes(tapes(first, *others, pairs="4", apart=True)))
    replay(plan)
    across = {k: n for k, n in meetings_of_pairs(plan).items() if len({a for a, _ in k}) == 2}
    assert len(across) == 2 * 5 * 5


def test_trails_that_cross_one_way_and_back_are_told_of_or_worked():
    """Two that cross twice come out as they went in, each on its own side."""
    middle = np.linspace(0, 3 * np.pi, 60)
    swaying = [tape(np.column_stack([s * 9 * np.cos(middle / 1.5), 6 * middle])) for s in (1, -1)]
    plan = plan_work(sort_holes(tapes(*swaying, pairs="4", apart=True)))
    replay(plan)
    across = {k: n for k, n in meetings_of_pairs(plan).items() if len({a for a, _ in k}) == 2}
    assert set(across.values()) == {2}
