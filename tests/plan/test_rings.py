"""Rings: areas with an opening, in ground and standing alone.

That a ring is cut open at the top and worked down both sides, or runs round and is sewn to its
beginning where it stands alone, is common practice, no source.
"""

from collections import Counter

import pytest

from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from tests.plan.verifier import comings_and_goings, holes_left_out, holes_remarked_on, replay
from tests.trails import diamond_ring, lone_ring, random_trails


def worked(pattern):
    return plan_work(sort_holes(pattern))


def said(plan, words):
    return [r for r in plan.remarks if words in r.message]


@pytest.mark.parametrize(("n", "m"), [(5, 3), (7, 3), (8, 4), (9, 5)])
def test_a_ring_in_ground_takes_in_and_lets_out_what_the_ground_brings(n, m):
    """No pair comes or goes on the way, and W columns take W + 1 pairs (Dillmont, p. 486)."""
    plan = worked(diamond_ring(n, m))
    found = replay(plan)
    columns = len({round(float(x), 3) for x in plan.pricking.holes[:, 0]})
    assert comings_and_goings(plan) == (0, 0)
    assert max(found.hanging) == len(plan.hangings) == columns + 1
    assert holes_left_out(plan) == set()


@pytest.mark.parametrize("stitch", ["whole", "half", "double"])
def test_a_ring_with_an_open_middle_is_worked_down_both_sides(stitch):
    """An open middle takes no pairs: all that divide at its top meet again at its bottom."""
    plan = worked(diamond_ring(7, 5, stitch=stitch, filled=False))
    replay(plan)
    assert comings_and_goings(plan) == (0, 0)
    assert holes_left_out(plan) == set()
    assert len(said(plan, "divide here")) == 1


def test_both_sides_of_a_ring_are_alike():
    """The figure is its own mirror image, so its pins are worked with as many rows."""
    plan = worked(diamond_ring(7, 3))
    middle = float(plan.pricking.holes[:, 0].mean())
    turns = [plan.pricking.holes[h] for h in plan.turn.tolist() if h >= 0]
    on_left = Counter(round(middle - x, 3) for x, _ in turns if x < middle)
    on_right = Counter(round(x - middle, 3) for x, _ in turns if x > middle)
    assert on_left == on_right


@pytest.mark.parametrize(("pairs", "count", "flat"), [(4, 18, 1.0), (7, 24, 1.0), (6, 30, 0.7)])
def test_a_ring_that_stands_alone_runs_round_and_is_sewn_to_its_beginning(pairs, count, flat):
    """A row from each pin to the next, round to the one it began at; each crosses all passives."""
    plan = worked(lone_ring(count=count, flat=flat, pairs=str(pairs)))
    replay(plan)
    assert plan.technique.count("whole") == pairs * (2 * count - 1)
    assert len(plan.hangings) == pairs + 1
    assert holes_left_out(plan) == set()
    assert len(said(plan, "sewn to its beginning")) == 1
    begun = [hung.at for hung in sorted(plan.hangings, key=lambda hung: hung.leg)]
    assert sorted(thrown.sewn for thrown in plan.throwings) == sorted(begun)


@pytest.fixture(scope="module", params=range(6))
def by_lot(request):
    seeds = range(7 * request.param, 7 * (request.param + 1))
    return {seed: worked(random_trails(seed)) for seed in seeds}


def test_any_rings_and_trails_are_worked_soundly_and_each_hole_is_told_of(by_lot):
    for seed, plan in by_lot.items():
        found = replay(plan)
        assert len(plan.hangings) == len(plan.throwings), seed
        assert max(found.hanging) <= plan.most_pairs, seed
        assert holes_left_out(plan) - holes_remarked_on(plan) == set(), seed
