"""A scalloped trail of half stitch beside torchon ground and a footside.

Source: Th. de Dillmont, *Encyclopedia of Needlework*, English edition, 1886, fig. 799 and the text
of pp. 491-492. Every pin's place was measured on the engraving (45° grid, row pitch 79 to column
pitch 82, footside at the left, 18 pins a repeat). The text gives ten pairs; the trail has seven
at the pin marked *, lays one aside at pins 2 and 4, keeps five through 5, 6 and 13, and takes one
in at 14 and 16. Its rows have 6, 6, 5, 5, 4, 4, 4, 4, 5, 5, 6 and 6 half stitches: 60 a repeat.
"""

import numpy as np
import pytest

from render.plan.work import plan_work
from tests.pieces import PITCH, SCALLOP, scallop
from tests.plan.verifier import (
    comes_before,
    comings_and_goings,
    holes_left_out,
    legs_across,
    replay,
)

ROW = PITCH * 79 / 82
# Half rows of a repeat; a cut between the pins of any two meets every pair once.
CUTS = np.arange(12) / 2 + 0.25


@pytest.fixture(scope="module", params=[3, 4])
def worked(request):
    return request.param, plan_work(scallop(request.param))


def test_the_whole_piece_is_worked_with_ten_pairs(worked):
    repeats, plan = worked
    assert len(plan.pricking.holes) == 18 * repeats + 1
    assert len(plan.hangings) == max(replay(plan).hanging) == 10
    assert comings_and_goings(plan) == (0, 0)
    assert holes_left_out(plan) == set()


@pytest.mark.parametrize("cut", CUTS)
def test_every_cut_across_it_meets_ten_pairs(worked, cut):
    repeats, plan = worked
    for repeat in range(1, repeats):
        assert legs_across(plan, (6 * repeat + cut) * ROW) == 10


def test_the_figure_may_be_pricked_the_other_way_round():
    plan = plan_work(scallop(3, mirrored=True))
    assert len(plan.hangings) == max(replay(plan).hanging) == 10
    assert comings_and_goings(plan) == (0, 0)


def pins(repeat, repeats):
    """Return the holes of pins * and 1 to 18 of a repeat, 18 being the next *."""
    start = {part: len(SCALLOP[part]) * repeat for part in SCALLOP}
    foot, ground = start["footside"], 3 * repeats + start["ground"]
    inner, outer = 6 * repeats + start["inner"], 12 * repeats + 1 + start["outer"]
    return {
        **dict(zip([0, 2, 4, 6, 14, 16, 18], range(inner, inner + 7), strict=True)),
        **dict(zip([1, 3, 5, 13, 15, 17], range(outer, outer + 6), strict=True)),
        **dict(zip([7, 9, 12], range(foot, foot + 3), strict=True)),
        **dict(zip([8, 10, 11], range(ground, ground + 3), strict=True)),
    }


def arrival(plan, hole):
    """Return the stitch after which the pin of a hole is set: its own, or a worker's last."""
    turned = np.isin(plan.given, np.flatnonzero(plan.turn == hole)).any(axis=1)
    return int(np.flatnonzero(turned if turned.any() else plan.hole == hole)[0])


def test_the_printed_order_can_be_followed(worked):
    repeats, plan = worked
    found = replay(plan)
    for repeat in range(1, repeats - 1):
        order = [arrival(plan, pins(repeat, repeats)[pin]) for pin in range(19)]
        for later in range(19):
            assert not any(comes_before(found, order[later], order[k]) for k in range(later))


def pairs_of_the_trail(plan, stitch):
    """Count the pairs that hang between two stitches of the trail just after a stitch."""
    inside = np.flatnonzero(plan.area == 0)
    given = {leg: k for k in inside for leg in plan.given[k].tolist()}
    taken = {leg: k for k in inside for leg in plan.taken[k].tolist()}
    return sum(given[leg] <= stitch < taken[leg] for leg in given.keys() & taken.keys())


def test_the_trail_narrows_from_seven_pairs_to_five_and_widens_again(worked):
    repeats, plan = worked
    for repeat in range(1, repeats - 1):
        numbered = pins(repeat, repeats)
        outer = [arrival(plan, numbered[pin]) for pin in (1, 3, 5, 13, 15, 17)]
        assert [pairs_of_the_trail(plan, k) for k in outer] == [7, 6, 5, 5, 6, 7]


def test_rows_have_the_half_stitches_that_are_printed(worked):
    """60 a repeat, and six more, each one a pair that changes places with the ground.

    The text lays a pair aside (pins 2, 4) as the worker leaves it and takes one in (14, 16) with
    the next row; here the worker goes through it once more at the pin. The text leads the pair of
    pin 12 past * to pin 7; here the trail takes it in at * and lets one go to 7.
    """
    repeats, plan = worked
    printed = np.array([6, 6, 5, 5, 4, 4, 4, 4, 5, 5, 6, 6])
    exchanged = np.array([1, 0, 1, 0, 1, 0, 0, 1, 0, 1, 0, 1])
    assert printed.sum() == 60
    trail = np.cumsum(plan.area == 0)
    for repeat in range(1, repeats - 1):
        numbered = pins(repeat, repeats)
        path = [0, 1, 2, 3, 4, 5, 6, 13, 14, 15, 16, 17, 18]
        rows = np.diff([trail[arrival(plan, numbered[pin])] for pin in path])
        assert rows.tolist() == (printed + exchanged).tolist()
