"""Plaits drawn over ground: no pair of ground goes across them, and none along them.

Common practice, no source: pairs that are not worked through each other do not change sides.
"""

import numpy as np
import pytest
import shapely

from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from tests.joined_pieces import WORDS, with_lines_by_lot
from tests.pieces import PITCH, lattice, line, pricked
from tests.plan.verifier import replay

LINES = {word: word for word in WORDS}


def spot(column, row):
    return column * PITCH, row * PITCH


def ground_with(*lines):
    plan = plan_work(pricked(lattice(11, 15), lines=lines))
    replay(plan)
    return plan


def ways(plan):
    """Return for each leg between two stitches its number, its straight way and whose it is."""
    made = {leg: s for s, legs in enumerate(plan.given.tolist()) for leg in legs}
    found = []
    for stitch, legs in enumerate(plan.taken.tolist()):
        for leg in legs:
            if leg in made and (plan.at[made[leg]] != plan.at[stitch]).any():
                way = shapely.LineString([plan.at[made[leg]], plan.at[stitch]])
                found.append((made[leg], stitch, way))
    return found


def of_line(plan, stitch):
    return plan.technique[stitch] in LINES


@pytest.mark.parametrize("seed", range(40))
def test_no_pair_of_ground_goes_across_a_line(seed):
    plan = plan_work(sort_holes(with_lines_by_lot(seed)))
    legs = ways(plan)
    lines = [leg for leg in legs if of_line(plan, leg[0]) and of_line(plan, leg[1])]
    plain = [
        leg for leg in legs
        if not any(of_line(plan, s) or plan.area[s] >= 0 for s in leg[:2])
    ]  # fmt: skip
    tree = shapely.STRtree([way for *_, way in lines])
    across, _ = tree.query([way for *_, way in plain], predicate="crosses")
    assert len(across) == 0


def test_a_plait_takes_the_place_of_the_pair_between_two_holes_of_ground():
    plan = ground_with(line([spot(5, 7), spot(6, 8)], "plait"))
    between = {
        (int(plan.hole[a]), int(plan.hole[b])) for a, b, _ in ways(plan)
        if plan.hole[a] >= 0 and plan.hole[b] >= 0
    }  # fmt: skip
    holes = plan.pricking.holes
    a, b = (int(np.hypot(*(holes - spot(*place)).T).argmin()) for place in ((5, 7), (6, 8)))
    assert (a, b) not in between
    assert any(plan.technique[s] == "plait" for s in range(len(plan.moves)))


@pytest.mark.parametrize("side", [-1, 1])
def test_a_plait_that_leaves_beside_both_pairs_of_a_hole_hangs_beside_them(side):
    """It is nearly level, they go down: seen from above they hang on one side of it."""
    plan = ground_with(line([spot(5, 7), spot(5 + 3 * side, 8)], "plait"))
    first = next(s for s in range(len(plan.moves)) if plan.technique[s] == "plait")
    at_hole = next(
        s for s in range(len(plan.moves))
        if plan.hole[s] >= 0 and np.allclose(plan.pricking.holes[plan.hole[s]], spot(5, 7))
    )  # fmt: skip
    row = hanging_before(plan, first)
    mine = [row.index(leg) for leg in plan.taken[first].tolist()]
    others = [row.index(leg) for leg in plan.given[at_hole].tolist() if leg in row]
    assert others
    assert (max(mine) < min(others)) if side < 0 else (min(mine) > max(others))


def hanging_before(plan, stitch):
    """Return the legs from left to right just before a stitch, on a plain list."""
    row, hangings, throwings = [], list(plan.hangings), list(plan.throwings)
    for number in range(stitch + 1):
        while hangings and hangings[0].before <= number:
            hung = hangings.pop(0)
            row.insert(row.index(hung.beside) + 1 if hung.beside >= 0 else 0, hung.leg)
        while throwings and throwings[0].after <= number:
            row.remove(throwings.pop(0).leg)
        if number < stitch:
            place = row.index(int(plan.taken[number, 0]))
            row[place : place + 2] = plan.given[number].tolist()
    return row
