"""Figures with more than one top or bottom: hearts, hearts upside down, and a heart on its side.

Each lobe is begun by itself and the two are worked on as one from the cleft (common practice, no
source).
"""

import numpy as np
import pytest

from render.plan.lobes import find_lobes
from render.plan.rails import LEFT, RIGHT
from render.plan.work import plan_work
from tests.pieces import lattice_places, pricked, region, spots
from tests.plan.verifier import comings_and_goings, holes_left_out, replay


def heart_places(k):
    """Return the corners of a heart whose cleft is k rows deep, its middle column 0."""
    return [(-k, 0), (0, k), (k, 0), (2 * k, k), (0, 3 * k), (-2 * k, k)]


def heart(k, *, upside_down=False, stitch="whole", lower_right=0):
    """Return torchon ground with a heart; its right top may be cut off by so many rows."""
    column, row = 2 * k + 3, 4 + (2 * k + 3 + k + 4) % 2
    height = 3 * k + row + 4

    def within(c, r):
        u, v = c - column, (height - r if upside_down else r) - row
        top = abs(abs(u) - k)
        if u > 0:
            top = max(top, lower_right)
        return abs(u) < 2 * k and v > top and abs(u) + v < 3 * k

    corners = heart_places(k)
    if lower_right:
        corners[2:3] = [(k - lower_right, lower_right), (k + lower_right, lower_right)]
    around = [(column + u, height - row - v if upside_down else row + v) for u, v in corners]
    places = lattice_places(2 * column + 1, height + 1, within)
    return pricked(spots(places), [region(spots(around), stitch, "heart")])


@pytest.mark.parametrize("upside_down", [False, True])
@pytest.mark.parametrize("k", [2, 3, 4, 6])
def test_a_heart_is_worked_without_pairs_coming_or_going(k, upside_down):
    plan = plan_work(heart(k, upside_down=upside_down))
    replay(plan)
    assert comings_and_goings(plan) == (0, 0)
    assert holes_left_out(plan) == set()


@pytest.mark.parametrize("stitch", ["whole", "half", "double"])
def test_every_pair_of_a_heart_meets_the_others_level_by_level(stitch):
    """No stitch of the lobes lies below the cleft, and none of what joins them above it."""
    k = 4
    pricking = heart(k, stitch=stitch)
    plan = plan_work(pricking)
    cleft = pricking.areas[0].edge[
        np.argmin(
            np.hypot(*(pricking.holes[pricking.areas[0].edge] - pricking.areas[0].contours[0][1]).T)
        )
    ]
    middle, level = pricking.holes[cleft]
    inside = np.array(plan.area) == 0
    above = inside & (plan.at[:, 1] < level - 1e-6)
    apart = np.abs(plan.at[above, 0] - middle) - (level - plan.at[above, 1])
    # The sides of the cleft rise at 45 degrees; a worker at its pin is half a row off it at most.
    assert (apart > -2.6).all()


def test_a_heart_with_one_top_lower_is_worked_soundly():
    plan = plan_work(heart(6, lower_right=2))
    replay(plan)
    assert holes_left_out(plan) == set()


def rail(*turns):
    """Return a rail through (x, depth) corners, with a hole every step of one."""
    path = [np.array(turns[0], float)]
    for corner in turns[1:]:
        run = np.array(corner, float) - path[-1]
        count = int(np.abs(run).max())
        path += [path[-1] + run * (n + 1) / count for n in range(count)]
    return np.array(path)


DOWN = np.array([0.0, 1.0])


@pytest.mark.parametrize("side", [LEFT, RIGHT])
def test_a_rail_that_rises_away_from_the_area_leads_to_another_top(side):
    spots_ = rail((0, 0), (0, 6), (side * 4, 2), (side * 4, 12))
    (lobe,) = find_lobes(spots_, DOWN, side)
    assert lobe.is_top
    assert spots_[lobe.deep].tolist() == [0, 6]
    assert spots_[lobe.high].tolist() == [side * 4, 2]


@pytest.mark.parametrize("side", [LEFT, RIGHT])
def test_a_rail_that_rises_into_the_area_has_left_a_bottom(side):
    spots_ = rail((0, 0), (0, 8), (-side * 4, 4), (-side * 4, 12))
    (lobe,) = find_lobes(spots_, DOWN, side)
    assert not lobe.is_top
    assert spots_[lobe.deep].tolist() == [0, 8]


def test_a_shallow_dent_is_no_lobe():
    assert find_lobes(rail((0, 0), (0, 6), (1, 5), (1, 12)), DOWN, RIGHT) == []
