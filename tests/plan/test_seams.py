"""Repeats that do not fit each other are named with their place; those that fit, are not.

What fits is a matter of pricking (common practice, no source): a lattice goes on over the seam when
the first row of the next repeat is where the one after the last row would be.
"""

import pytest

from render.pattern.repeat import lay_again
from render.plan.seams import look_at_seams
from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from tests.pieces import PITCH, lattice, line, marked
from tests.whole.test_repeats import PIECES

ROWS = 8


def seams_of(pattern, times):
    laid = lay_again(pattern, times)
    plan = plan_work(sort_holes(laid.pattern), gauge_mm=0.3)
    return [str(remark) for remark in look_at_seams(pattern, laid, plan)]


def net(across, down):
    """Return a net of eight rows, the next of which is laid so many steps away."""
    foot = line([(0, 0), (0, ROWS * PITCH)], "footside")
    return marked(lattice(7, ROWS), [], [foot], repeat=(across * PITCH, down * PITCH))


@pytest.mark.parametrize("name", PIECES)
def test_nothing_is_said_of_repeats_that_fit(name):
    assert seams_of(PIECES[name](), 3) == []


@pytest.mark.parametrize("times", [2, 3, 5])
@pytest.mark.parametrize(("across", "down"), [(0, 8), (0, 7.9), (0.2, 8), (0, 9)])
def test_nothing_is_said_of_a_net_that_goes_on(across, down, times):
    """It may be pricked somewhat closer at the seam, or aside, and every row may lie further on."""
    assert seams_of(net(across, down), times) == []


@pytest.mark.parametrize("times", [2, 3, 5])
@pytest.mark.parametrize(("across", "down"), [(1, 8), (3, 8), (0, 7)])
def test_a_net_whose_rows_do_not_meet_is_told(across, down, times):
    (said,) = seams_of(net(across, down), times)
    assert "repeats do not fit each other" in said
    assert said.startswith("hole ")


@pytest.mark.parametrize("times", [2, 4])
def test_repeats_that_lie_apart_are_told(times):
    (said,) = seams_of(net(0, 12), times)
    assert "ends 25.5 mm away" in said
    assert "at 0.0, 60.0 mm" in said


def test_once_has_no_seam():
    assert seams_of(net(1, 8), 1) == []
