"""Diamonds of whole stitch, and the pairs that plain ground takes.

Sources: J. Edkins, *Bobbin lace* (web handbook, 2002-2022): a diamond that four pairs enter from
each side is worked in 49 whole stitches, where plain ground would take 16 stitches of the same
pairs. (2n - 1)² and n² are the laws derived from it. Th. de Dillmont, *Encyclopedia of
Needlework*, English edition, 1886, p. 486 (two pairs to a pin of a first row) and fig. 800, p. 493:
30 pairs are divided into twos over a first row of 15 pins. The law of W + 1 pairs holds on the pair
numbers of figs. 787 and 791.
"""

from collections import Counter

import numpy as np
import pytest

from render.plan.work import plan_work
from tests.pieces import (
    diamond,
    diamond_ground,
    lattice,
    lattice_places,
    lattice_with_footside,
    pricked,
    spots,
    within_diamond,
)
from tests.plan.verifier import comings_and_goings, holes_left_out, pairs_standing, replay

SIZES = range(2, 9)


@pytest.fixture(scope="module", params=SIZES)
def worked(request):
    return request.param, plan_work(diamond(request.param))


def test_a_diamond_takes_the_square_of_its_odd_width_in_stitches(worked):
    n, plan = worked
    assert Counter(plan.technique)["whole"] == (2 * n - 1) ** 2


def test_four_pairs_a_side_take_49_whole_stitches():
    assert Counter(plan_work(diamond(4)).technique)["whole"] == 49


def test_a_diamond_needs_no_pair_beyond_those_of_its_ground(worked):
    n, plan = worked
    replay(plan)
    ground = plan_work(pricked(spots(diamond_ground(n))))
    assert comings_and_goings(plan) == (0, 0)
    assert len(plan.hangings) == len(ground.hangings)
    assert holes_left_out(plan) == set()


def test_n_pairs_enter_a_diamond_from_each_side_and_as_many_leave(worked):
    n, plan = worked
    inside = plan.area >= 0
    taken, given = set(plan.taken[inside].ravel()), set(plan.given[inside].ravel())
    assert len(taken - given) == len(given - taken) == 2 * n


def test_its_pins_stand_on_two_falling_and_two_rising_sides(worked):
    """4n - 4 pins, and a row of work between each and the next."""
    n, plan = worked
    (area,) = plan.pricking.areas
    turned = {int(h) for h in plan.turn[plan.turn >= 0]}
    pinned = {int(h) for h in plan.hole[plan.area >= 0] if h >= 0}
    assert len(area.edge) == 4 * n - 4
    assert turned | pinned >= set(area.edge.tolist())


@pytest.mark.parametrize("n", SIZES)
def test_ground_in_its_place_takes_n_times_n_stitches(n):
    places = diamond_ground(n)
    plan = plan_work(pricked(spots(places)))
    count = Counter(plan.hole.tolist())
    inside = [k for k, place in enumerate(places) if within_diamond(n, place) <= 0]
    assert sum(count[k] for k in inside) == n * n
    taken = {int(x) for k in inside for x in plan.taken[plan.hole == k].ravel()}
    given = {int(x) for k in inside for x in plan.given[plan.hole == k].ravel()}
    assert len(taken - given) == 2 * n


@pytest.mark.parametrize("columns", [2, 3, 4, 5, 8, 9, 14, 29, 30])
def test_ground_on_so_many_columns_takes_one_pair_more(columns):
    plan = plan_work(pricked(lattice(columns, 9)))
    assert len(plan.hangings) == columns + 1
    assert max(replay(plan).hanging) == columns + 1


def test_fifteen_pins_of_a_first_row_take_thirty_pairs():
    columns = 2 * 15 - 1
    plan = plan_work(pricked(lattice(columns, 6)))
    first = np.isclose(plan.pricking.holes[plan.hole][:, 1], 0)
    legs = {int(leg) for leg in plan.taken[first].ravel()}
    assert first.sum() == 15
    assert len(plan.hangings) == len(legs) == 30


@pytest.mark.parametrize("columns", [5, 8, 13])
def test_a_pin_is_worked_with_the_pairs_of_its_column(columns):
    """Column c, counted from 0, takes pairs c + 1 and c + 2: derived from figs. 787 and 791."""
    places = lattice_places(columns, 11)
    plan = plan_work(pricked(spots(places)))
    found = replay(plan)
    rows = [(hole, c) for hole, (c, r) in enumerate(places) if r > 0]
    for hole, column in rows:
        assert pairs_standing(plan, found, hole) == (column + 1, column + 2)


@pytest.mark.parametrize("side", [0, 1])
@pytest.mark.parametrize("passives", [1, 2, 3])
def test_the_passives_of_a_footside_come_on_top(side, passives):
    plan = plan_work(lattice_with_footside(9, 13, side, passives=str(passives)))
    replay(plan)
    assert len(plan.hangings) == 9 + 1 + passives
    assert comings_and_goings(plan) == (0, 0)
    assert holes_left_out(plan) == set()
