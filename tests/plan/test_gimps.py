"""Gimps: which pairs they pass, judged by counting on the card; what cannot be laid is told."""

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from tests.gimped_pieces import gimp_in_ground, gimps_by_lot
from tests.pieces import PITCH, diamond, diamond_centre, line, spots
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
    assert laid["laid"] > laid["drawn"] / 3
