"""Spiders: legs meet about one pin.

Sources: with two legs a side, four whole stitches above the pin and four below it: Th. de Dillmont,
*Encyclopedia of Needlework*, English edition, 1886, p. 485; J. Edkins, *Bobbin lace*, web handbook,
2002-22. Each pair from the left goes through each from the right once above and once below, so that
n legs a side take n² stitches twice: derived. That legs are twisted is common practice, no source.
"""

import numpy as np
import pytest

from render.plan.work import plan_work
from tests.lattices import with_spider
from tests.pieces import pricked, region
from tests.plan.verifier import comings_and_goings, holes_left_out, replay

LEGS = [2, 3, 4]


@pytest.fixture(scope="module", params=LEGS)
def spider(request):
    bent = with_spider(request.param)
    return request.param, bent, plan_work(pricked(bent.holes, ground="spider"))


def body(plan):
    return np.flatnonzero([word == "spider" for word in plan.technique])


def test_above_and_below_its_pin_it_has_as_many_whole_stitches_as_legs_meet(spider):
    legs, bent, plan = spider
    stitches = body(plan)
    assert len(stitches) == 2 * legs**2
    assert {plan.moves[k] for k in stitches} == {"CTC"}
    (pinned,) = np.flatnonzero(plan.hole == len(bent.holes) - 1)
    assert stitches.tolist().index(pinned) == legs**2 - 1
    assert plan.pin_after[pinned] == 3


def test_two_legs_a_side_take_four_and_four():
    plan = plan_work(pricked(with_spider(2).holes, ground="spider"))
    assert len(body(plan)) == 4 + 4


def test_each_pair_goes_back_to_its_own_side(spider):
    """Followed from stitch to stitch: a whole stitch changes the places of its two pairs."""
    legs, _, plan = spider
    side, stitches = {}, body(plan)
    for k in stitches:
        for place, leg in enumerate(plan.taken[k].tolist()):
            side.setdefault(leg, place)
        left, right = plan.taken[k].tolist()
        side[int(plan.given[k, 0])], side[int(plan.given[k, 1])] = side[right], side[left]
    inside = set(plan.taken[stitches].ravel().tolist())
    leaving = [leg for leg in plan.given[stitches].ravel().tolist() if leg not in inside]
    standing = {leg: plan.at[list(plan.taken.ravel()).index(leg) // 2, 0] for leg in leaving}
    middle = plan.pricking.holes[-1, 0]
    assert len(leaving) == 2 * legs
    assert all((standing[leg] > middle) == side[leg] for leg in leaving)


def test_legs_are_twisted_three_times_on_both_sides_of_the_body(spider):
    """Of the twists before it one belongs to the half stitch CT that the leg comes from."""
    _, _, plan = spider
    stitches = body(plan)
    inside = set(plan.given[stitches].ravel().tolist()) & set(plan.taken[stitches].ravel().tolist())
    coming = [leg for leg in plan.taken[stitches].ravel().tolist() if leg not in inside]
    leaving = [leg for leg in plan.given[stitches].ravel().tolist() if leg not in inside]
    assert {int(plan.twists[leg]) + 1 for leg in coming} == {3}
    assert {int(plan.twists[leg]) for leg in leaving} == {3}


def test_no_pair_comes_or_goes_and_columns_still_tell_their_number(spider):
    _, bent, plan = spider
    assert len(plan.hangings) == max(replay(plan).hanging) == bent.columns + 1
    assert comings_and_goings(plan) == (0, 0)
    assert holes_left_out(plan) == set()
    assert plan.remarks == ()


def test_round_spiders_the_ground_is_torchon(spider):
    _, bent, plan = spider
    assert plan.technique.count("torchon") == len(bent.holes) - 1


@pytest.mark.parametrize("ratio", [0.7, 1.732])
def test_a_spider_sits_on_any_lattice(ratio):
    plan = plan_work(pricked(with_spider(3, ratio=ratio).holes, ground="spider"))
    assert len(body(plan)) == 18
    assert comings_and_goings(plan) == (0, 0)


@pytest.mark.parametrize("legs", LEGS)
def test_a_region_of_spider_makes_one_in_another_ground(legs):
    """Its outline runs through the holes that send the legs, the hole inside is the body."""
    bent = with_spider(legs)
    x, y = bent.holes[-1]
    reach = 4.0 * (legs + 1)
    outline = [(x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y)]
    plan = plan_work(pricked(bent.holes, [region(outline, "ground", "web", ground="spider")]))
    assert len(body(plan)) == 2 * legs**2
    assert comings_and_goings(plan) == (0, 0)


def test_at_the_edge_of_the_piece_pairs_are_hung_for_the_legs_that_lack():
    bent = with_spider(2, margin=0)
    keep = np.array([r >= bent.places[-1][1] - 1 for _, r in bent.places])
    plan = plan_work(pricked(bent.holes[keep], ground="spider"))
    replay(plan)
    assert len(body(plan)) == 8
    assert holes_left_out(plan) == set()
