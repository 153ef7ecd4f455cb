"""Gimps: which pairs they pass, judged by counting on the card; what cannot be laid is told."""

from collections import Counter
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from tests.gimped_pieces import gimp_in_ground, gimps_by_lot
from tests.pieces import (
    PITCH,
    diamond,
    diamond_centre,
    diamond_corners,
    lattice,
    line,
    pricked,
    spots,
)
from tests.plan.test_any_card import worked_or_refused
from tests.plan.verifier import replay

GROUNDS = ["torchon", "point", "doubled", "twisted", "honeycomb", "CTpC"]


def told_of(plan):
    return [r for r in plan.remarks if r.place is not None and r.place.item == "gimp"]


def without_gimps(pricking):
    runs = tuple(run for run in pricking.runs if run.word != "gimp")
    return replace(pricking, runs=runs)


@pytest.mark.parametrize("ground", GROUNDS)
def test_a_gimp_right_across_plain_ground_passes_every_pair_once(ground):
    """Pins on W columns take W + 1 pairs (derived from Dillmont, pp. 484-494, as are the pairs).

    Below the first pins all of them hang side by side.
    """
    y = 5.5 * PITCH
    plan = plan_work(gimp_in_ground([(-4, y), (44, y)], columns=9, rows=12, ground=ground))
    (gimp,) = plan.gimps
    assert len(gimp.passings) == len(plan.hangings) == 10
    assert all(passing.rightward for passing in gimp.passings)
    assert told_of(plan) == []


def test_it_does_not_matter_from_which_end_a_line_is_drawn():
    """A hole lies just where it turns: it stays on the same side."""
    points = [(-4, 22), (18, 31), (44, 37)]
    there, back = (plan_work(gimp_in_ground(p)).gimps[0] for p in (points, points[::-1]))
    assert [p.leg for p in there.passings] == [p.leg for p in back.passings]


@pytest.mark.parametrize("ground", GROUNDS)
def test_a_gimp_changes_no_stitch(ground):
    pricking = gimp_in_ground([(-4, 22), (18, 31), (44, 37)], ground=ground)
    plan, bare = plan_work(pricking), plan_work(without_gimps(pricking))
    assert (plan.moves, plan.technique) == (bare.moves, bare.technique)
    assert (plan.taken == bare.taken).all()
    assert (plan.given == bare.given).all()
    assert plan.hangings == bare.hangings
    replay(plan)


@pytest.mark.parametrize("ground", GROUNDS)
def test_a_pair_is_twisted_before_the_gimp_and_after_it(ground):
    """The gimp lies between twists, or it would slip (common practice, no source)."""
    plan = plan_work(gimp_in_ground([(-4, 22), (18, 31), (44, 37)], ground=ground))
    left_on = {
        leg: len(moves) - len(moves.rstrip("T"))
        for moves, given in zip(plan.moves, plan.given.tolist(), strict=True)
        for leg in given
    }
    passed = [passing for gimp in plan.gimps for passing in gimp.passings]
    for passing in passed:
        whole = left_on[passing.leg] + plan.twists[passing.leg]
        assert 1 <= passing.after <= whole - 1
    untouched = np.setdiff1d(np.arange(len(plan.twists)), [p.leg for p in passed])
    assert (plan.twists[untouched] == 0).all()


def test_a_gimp_follows_its_line():
    """Every passing lies on the line, in its order (judged by the slope of a straight line)."""
    plan = plan_work(gimp_in_ground([(-4, 20), (44, 32)]))
    at = np.array([passing.at for passing in plan.gimps[0].passings])
    assert (np.diff(at[:, 0]) > 0).all()
    assert np.allclose(at[:, 1], 20 + (at[:, 0] + 4) * 12 / 48)


def test_a_gimp_is_as_thick_as_its_line_says_or_some_threads():
    usual = plan_work(gimp_in_ground([(-4, 22), (44, 37)], gauge_mm=0.3)).gimps[0]
    asked = plan_work(gimp_in_ground([(-4, 22), (44, 37)], options={"gauge-mm": "0.9"})).gimps[0]
    assert usual.gauge_mm == pytest.approx(1.2)
    assert asked.gauge_mm == 0.9


def test_a_gimp_outside_the_lace_is_told_with_its_place():
    plan = plan_work(gimp_in_ground([(50, 0), (50, 40)]))
    (told,) = told_of(plan)
    assert plan.gimps == ()
    assert "left out" in told.message


@pytest.mark.parametrize("stitch", ["whole", "half", "double"])
def test_a_gimp_is_not_laid_through_cloth_but_before_it_and_after_it(stitch):
    x, y = spots([diamond_centre(4)])[0]
    plan = plan_work(
        diamond(4, stitch=stitch, lines=[line([(-4, y + 1), (2 * x + 4, y + 1)], "gimp")])
    )
    assert len(plan.gimps) == 2
    (told,) = told_of(plan)
    assert "diamond" in told.message
    assert abs(told.place.x_mm - x) < 4 * PITCH


@pytest.mark.parametrize("off", [0.5, 0.0, -0.3])
@pytest.mark.parametrize("n", [2, 3, 5])
def test_a_gimp_round_a_diamond_passes_the_pairs_that_enter_and_those_that_leave(n, off):
    """A diamond takes n pairs in from each side and lets them out again (J. Edkins, *Bobbin lace*).

    So the gimp passes 4 n pairs, whether it is drawn outside the pins, over them or just inside;
    two of them again where it closes.
    """
    corners = spots(diamond_corners(n, off=off))
    plan = plan_work(diamond(n, ground="point", lines=[line(corners, "gimp")]))
    (gimp,) = plan.gimps
    legs = [passing.leg for passing in gimp.passings]
    assert len(set(legs)) == 4 * n
    assert legs[4 * n :] == legs[:2]
    assert told_of(plan) == []
    cloth = plan.area >= 0
    ends = [(plan.given[cloth] == leg).any() or (plan.taken[cloth] == leg).any() for leg in legs]
    assert all(ends), "it passes just those"


def test_a_gimp_that_closes_may_be_drawn_from_anywhere_and_either_way():
    corners = diamond_corners(3, off=0.5)[:-1]
    laid = set()
    for k in range(4):
        for ring in (corners[k:] + corners[:k], (corners[k:] + corners[:k])[::-1]):
            closed = spots([*ring, ring[0]])
            (gimp,) = plan_work(diamond(3, lines=[line(closed, "gimp")])).gimps
            laid.add(tuple((p.leg, p.after, p.rightward) for p in gimp.passings))
    assert len(laid) == 1


def test_there_and_back_a_gimp_passes_the_same_pairs_one_below_the_other():
    plan = plan_work(gimp_in_ground([(-3, 22), (23, 22), (23, 23.7), (-3, 23.7)], ground="point"))
    (gimp,) = plan.gimps
    there, back = gimp.passings[:5], gimp.passings[5:]
    assert [p.leg for p in there] == [p.leg for p in back[::-1]]
    assert all(p.rightward for p in there)
    assert not any(p.rightward for p in back)
    # Where it turns it is held by a twist, elsewhere its two lengths lie together.
    assert there[-1].after < back[0].after
    assert [p.after for p in there[:-1]] == [p.after for p in back[:0:-1]]


def test_a_line_that_wavers_over_a_leg_does_not_pass_it_twice():
    straight = plan_work(gimp_in_ground([(-4, 27), (44, 27)])).gimps
    wavering = [(-4, 27), *((x, 27 + 0.5 * (-1) ** x) for x in range(-3, 44)), (44, 27)]
    (gimp,) = plan_work(gimp_in_ground(wavering)).gimps
    assert [p.leg for p in gimp.passings] == [p.leg for p in straight[0].passings]


def test_two_gimps_that_are_drawn_across_each_other_cross_once():
    """Between pairs, the one from the left over the other (common practice, no source)."""
    down, up = [(-3, 16), (43, 46)], [(-3, 46.5), (43, 16.5)]
    pricking = pricked(lattice(9, 15), lines=[line(down, "gimp"), line(up, "gimp")])
    plan = plan_work(pricking)
    (crossing,) = plan.gimp_crossings
    assert {crossing.left[0], crossing.right[0]} == {0, 1}
    assert np.hypot(*(np.array(crossing.at) - (20.3, 31.2))) < PITCH
    assert told_of(plan) == []


def test_gimps_side_by_side_do_not_cross():
    lines = [line([(-3, y), (43, y + 8)], "gimp") for y in (20, 21, 26)]
    plan = plan_work(pricked(lattice(9, 15), lines=lines))
    assert plan.gimp_crossings == ()
    assert [gimp.run for gimp in plan.gimps] == [0, 1, 2]


def test_a_gimp_that_would_cross_itself_is_told_where():
    loop = [(-3, 20), (30, 22), (30, 40), (15, 40), (17, 12)]
    plan = plan_work(gimp_in_ground(loop))
    (told,) = told_of(plan)
    assert plan.gimps == ()
    assert "two lines that cross" in told.message
    assert np.hypot(told.place.x_mm - 16.4, told.place.y_mm - 21.2) < PITCH


def order_of_work(plan):
    """Find an order in which stitches are worked and gimps laid; judges without the planner.

    A pair is passed after the stitch that lets it go, before the one that takes it, and what is
    laid on one leg in the order along it. Each gimp is laid both ways from where it is begun.
    """
    waits = {}
    on_leg = {}
    for stitch, (taken, given) in enumerate(
        zip(plan.taken.tolist(), plan.given.tolist(), strict=True)
    ):
        for leg in given:
            on_leg.setdefault(leg, []).append((-1, 0.0, ("stitch", stitch)))
        for leg in taken:
            on_leg.setdefault(leg, []).append((10**6, 0.0, ("stitch", stitch)))
        waits["stitch", stitch] = set()
    for g, gimp in enumerate(plan.gimps):
        for k, passing in enumerate(gimp.passings):
            on_leg[passing.leg].append((passing.after, passing.along, (g, k)))
            waits[g, k] = {(g, k - 1)} if k > gimp.begun else set()
            if k < gimp.begun - 1:
                waits[g, k] = {(g, k + 1)}
    for row in on_leg.values():
        row.sort()
        for (*_, first), (*_, second) in pairwise(row):
            waits[second].add(first)
    order, done = [], set()
    while len(done) < len(waits):
        ready = [job for job in waits if job not in done and waits[job] <= done]
        assert ready, "some wait for each other"
        order += ready
        done |= set(ready)
    return order


WAYS = {
    "down": ([(-3, 22), (44, 37)], [1]),
    "straight down": ([(18, 10), (18.5, 60)], [1]),
    "over a top": ([(12, 50), (13, 10), (25, 10), (26, 50)], [2]),
    "through a valley": ([(12, 10), (13, 50), (25, 50), (26, 10)], [1, 1]),
    "down, up, down and up": (
        [(5, 10), (8, 50), (14, 50), (16, 10), (24, 10), (27, 50), (31, 50), (35, 10)],
        [1, 2, 1],
    ),
}


@pytest.mark.parametrize("way", WAYS)
def test_a_gimp_is_laid_down_the_work_and_cut_where_it_would_have_to_go_up(way):
    """From a top it goes down on either side, wound on two bobbins; from a valley it cannot rise.

    Common practice, no source. Follows from pairs being passed between two of their stitches.
    """
    points, bobbins = WAYS[way]
    plan = plan_work(gimp_in_ground(points, ground="point"))
    assert [gimp.bobbins for gimp in plan.gimps] == bobbins
    told = [r for r in told_of(plan) if "cut here" in r.message]
    assert len(told) == len(bobbins) - 1
    assert len(order_of_work(plan)) == len(plan.moves) + sum(len(g.passings) for g in plan.gimps)


def test_the_gimp_round_a_diamond_is_laid_in_at_its_top():
    corners = spots(diamond_corners(4, off=0.5))
    (gimp,) = plan_work(diamond(4, ground="point", lines=[line(corners, "gimp")])).gimps
    assert gimp.bobbins == 2
    top = min(passing.at[1] for passing in gimp.passings)
    assert gimp.passings[gimp.begun].at[1] == pytest.approx(top, abs=PITCH)


def test_any_gimp_gives_a_plan_or_is_told():
    """Every line is laid or spoken of, and no stitch is worked otherwise for it."""
    laid = Counter()
    for seed in range(60):
        pattern = gimps_by_lot(seed)
        plan = worked_or_refused(sort_holes(pattern))
        if plan is None:
            continue
        drawn = {k for k, run in enumerate(plan.pricking.runs) if run.word == "gimp"}
        done = {gimp.run for gimp in plan.gimps}
        laid.update(laid=len(done), drawn=len(drawn))
        assert done == drawn or told_of(plan)
        bare = plan_work(without_gimps(plan.pricking))
        assert plan.moves == bare.moves
        order_of_work(plan)
    assert laid["laid"] > laid["drawn"] / 3
