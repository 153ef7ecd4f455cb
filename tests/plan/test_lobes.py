"""Figures with several tops or feet: each is worked by itself, as a maker works a heart.

That two lobes are begun apart and joined at the cleft is common practice, no source.
"""

import numpy as np
import pytest

from render.plan.turning import find_turns
from render.plan.work import plan_work
from tests.figures import CROSSED, CROWN, FEET, HEART, MOON, figure
from tests.pieces import PITCH, lattice_places, pricked, region, spots
from tests.plan.verifier import (
    comes_before,
    comings_and_goings,
    holes_left_out,
    holes_unexplained,
    replay,
)

FIGURES = {"heart": HEART, "feet": FEET, "crossed": CROSSED, "moon": MOON, "crown": CROWN}
DOWN = np.array([0.0, 1.0])


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


def worked_in(plan, where=lambda x, y: True):
    """Return the numbers of the stitches of the figure at places, in mm, that are asked for."""
    return [
        k
        for k, (area, (x, y)) in enumerate(zip(plan.area.tolist(), plan.at.tolist(), strict=True))
        if area == 0 and where(x, y)
    ]


def apart(plan, some, others):
    """Tell whether of two lots of stitches none has to wait for one of the other."""
    found = replay(plan)
    return not any(
        comes_before(found, a, b) or comes_before(found, b, a) for a in some for b in others
    )


@pytest.mark.parametrize("stitch", ["whole", "half"])
@pytest.mark.parametrize("name", FIGURES)
def test_it_is_worked_over_every_pin_and_loses_no_pair(name, stitch):
    plan = plan_work(figure(FIGURES[name], stitch))
    replay(plan)
    assert holes_left_out(plan) == set()


@pytest.mark.parametrize("name", ["heart", "feet", "crossed"])
def test_no_pair_comes_or_goes_where_all_its_sides_slant(name):
    assert comings_and_goings(plan_work(figure(FIGURES[name]))) == (0, 0)


@pytest.mark.parametrize("name", FIGURES)
def test_a_mirrored_figure_takes_as_many_stitches(name):
    corners = FIGURES[name]
    mirrored = [(16 - c, r) for c, r in corners][::-1]
    first, second = (plan_work(figure(c)) for c in (corners, mirrored))
    assert len(worked_in(first)) == len(worked_in(second))


def test_the_lobes_of_a_heart_are_worked_apart_down_to_the_cleft():
    plan = plan_work(figure(HEART))
    x, y = np.array([8, 6]) * PITCH
    left = worked_in(plan, lambda a, b: a < x and b < y - 0.5 * PITCH)
    right = worked_in(plan, lambda a, b: a > x and b < y - 0.5 * PITCH)
    assert len(left) > 6
    assert len(left) == len(right)
    assert apart(plan, left, right)


def test_the_feet_of_a_figure_are_worked_apart_below_the_cleft():
    plan = plan_work(figure(FEET))
    x, y = np.array([8, 8]) * PITCH
    left = worked_in(plan, lambda a, b: a < x and b > y + 0.5 * PITCH)
    right = worked_in(plan, lambda a, b: a > x and b > y + 0.5 * PITCH)
    assert len(left) > 6
    assert apart(plan, left, right)
    assert ["divide here" in r.message for r in plan.remarks] == [True]


def test_an_outline_that_crosses_itself_is_worked_as_one_and_told_of():
    """A band that runs down, up on its own right and down again through itself."""
    knot = [(2, 2), (4, 2), (6, 12), (8, 4), (10, 12), (4, 6), (12, 2), (8, 12), (3, 10)]
    plan = plan_work(figure(knot))
    replay(plan)
    assert holes_unexplained(plan) == set()


# How an outline turns ----------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "tops", "feet"), [("heart", 2, 1), ("feet", 1, 2),
                                                   ("crossed", 2, 2), ("moon", 2, 1),
                                                   ("crown", 3, 1)])  # fmt: skip
def test_tops_bottoms_and_clefts_are_told_apart(name, tops, feet):
    """Of one outline, tops and feet are one more than the clefts between them."""
    turns = find_turns(np.array(FIGURES[name], float), DOWN, 1.5)
    kinds = [(t.low, t.within) for t in turns]
    assert kinds.count((False, False)) == tops
    assert kinds.count((True, True)) == tops - 1
    assert kinds.count((True, False)) == feet
    assert kinds.count((False, True)) == feet - 1


def test_pins_that_stand_in_and_out_are_no_turns():
    lot = np.random.default_rng(5)
    angle = np.linspace(0, 2 * np.pi, 40, endpoint=False)
    round_ = 20 * np.column_stack([np.sin(angle), -np.cos(angle)])
    for _ in range(20):
        assert len(find_turns(round_ + lot.uniform(-1, 1, round_.shape), DOWN, 3.6)) == 2
