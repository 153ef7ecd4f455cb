"""Shapes a maker meets: ovals, bands on the slant, rings, areas that touch."""

import numpy as np
import pytest

from render.plan.balance import lanes_for
from render.plan.work import plan_work
from tests.pieces import (
    diamond,
    lattice,
    lattice_places,
    line,
    pricked,
    region,
    scallop,
    spots,
)
from tests.plan.verifier import comings_and_goings, holes_left_out, replay


@pytest.mark.parametrize("stitch", ["whole", "half", "double"])
@pytest.mark.parametrize("n", [2, 4, 6])
def test_a_diamond_is_worked_in_any_stitch_without_pairs_coming_or_going(n, stitch):
    plan = plan_work(diamond(n, stitch=stitch))
    replay(plan)
    assert comings_and_goings(plan) == (0, 0)
    assert sum(word == stitch for word in plan.technique) == (2 * n - 1) ** 2


@pytest.mark.parametrize("ground", ["torchon", "twisted", "doubled", "honeycomb", "brussels"])
def test_the_ground_round_a_diamond_makes_no_difference_to_it(ground):
    plan = plan_work(diamond(4, ground=ground))
    assert plan.technique.count("whole") == 49
    assert plan.technique.count(ground) == len(plan.pricking.holes) - 12


def test_two_diamonds_that_touch_at_a_pin_share_it():
    """One below the other, the upper one's last pin the lower one's first."""
    n, column = 3, 6
    tips = [6, 6 + 2 * (n - 1), 6 + 4 * (n - 1)]
    middles = [tips[0] + n - 1, tips[1] + n - 1]
    places = lattice_places(
        13, 21, lambda c, r: any(abs(c - column) + abs(r - m) < n - 1 for m in middles)
    )
    areas = [
        region(spots([(column, m - n + 1), (column + n - 1, m), (column, m + n - 1),
                      (column - n + 1, m)]), "whole", f"diamond {m}")
        for m in middles
    ]  # fmt: skip
    plan = plan_work(pricked(spots(places), areas))
    replay(plan)
    assert comings_and_goings(plan) == (0, 0)
    assert holes_left_out(plan) == set()


@pytest.mark.parametrize("degrees", [0, 45, 90, 180, 301])
def test_turning_the_card_and_the_work_together_changes_nothing(degrees):
    """Who meets whom depends on the card, not on how it lies on the table."""
    c, s = np.cos(np.deg2rad(degrees)), np.sin(np.deg2rad(degrees))
    turn = np.array([[c, s], [-s, c]])
    straight = scallop(2)
    (area,), (run,) = straight.areas, straight.runs
    turned = pricked(
        straight.holes @ turn,
        [region(area.contours[0] @ turn, area.stitch)],
        [line(run.points @ turn, run.word)],
        down_degrees=90.0 + degrees,
    )
    first, second = plan_work(straight), plan_work(turned)
    assert first.taken.tolist() == second.taken.tolist()
    assert first.moves == second.moves


@pytest.mark.parametrize("size", [0.3, 4.0])
def test_a_larger_card_is_worked_the_same_way(size):
    straight = scallop(2)
    (area,), (run,) = straight.areas, straight.runs
    larger = pricked(
        straight.holes * size,
        [region(area.contours[0] * size, area.stitch)],
        [line(run.points * size, run.word)],
    )
    assert plan_work(straight).taken.tolist() == plan_work(larger).taken.tolist()


def test_a_lone_hole_takes_two_pairs():
    plan = plan_work(pricked([(3.0, 4.0)]))
    assert (len(plan.moves), len(plan.hangings)) == (1, 2)


def test_holes_in_a_row_take_two_pairs_each():
    plan = plan_work(pricked([(4.0 * k, 0.0) for k in range(6)]))
    replay(plan)
    assert (len(plan.moves), len(plan.hangings)) == (6, 12)


def test_a_gap_in_the_ground_is_told():
    """The pairs round a missing hole hang on, or come and go with a remark."""
    places = lattice_places(9, 13, lambda c, r: (c, r) == (4, 6))
    plan = plan_work(pricked(spots(places)))
    replay(plan)
    told = [r for r in plan.remarks if r.kind == "change"]
    assert sum(comings_and_goings(plan)) == len(told)
    assert max(replay(plan).hanging) == 10
    assert len(lattice(9, 13)) - 1 == len(plan.moves)


@pytest.mark.parametrize("leftward", [False, True])
def test_a_pair_leaves_a_figure_on_the_side_it_goes_to(leftward):
    assert lanes_for(3, [(1, leftward)]) == {0 if leftward else 2: 0}


def test_pairs_leave_a_figure_from_both_sides_in_turn():
    assert lanes_for(4, [(1, True), (1, False)]) == {0: 0, 3: 1}


def test_holes_inside_that_a_full_row_has_no_stitch_for_go_to_the_next_row():
    """Twelve rows of three passives have 36 stitches; 30 holes stand beside 6 of the rows."""
    holes = [((k % 2) * 8.0, k * 1.5) for k in range(13)]
    inner = [(1.0 + 1.2 * k, 3.0 + 1.5 * r) for r in range(6) for k in range(5)]
    corners = [(0, 0), (8, 1.5), (8, 16.5), (0, 18)]
    plan = plan_work(pricked([*holes, *inner], [region(corners, pairs="3")]))
    replay(plan)
    assert len(holes_left_out(plan)) <= 3
    pins = [h for h in plan.hole.tolist() if h >= 0]
    assert len(pins) == len(set(pins))
