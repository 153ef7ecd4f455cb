"""What gimps add to the bobbins of a piece."""

import numpy as np
import pytest

from render.estimate.winding import wind
from render.plan.work import plan_work
from render.settle.settle import settle
from render.threads.replay import lay_threads
from tests.gimped_pieces import gimp_in_ground
from tests.pieces import diamond, diamond_corners, line, spots

GAUGE = 0.35


def wound(pricking):
    plan = plan_work(pricking, gauge_mm=GAUGE)
    paths = settle(lay_threads(plan), gauge_mm=GAUGE)
    return plan, [bobbin for bobbin in wind(plan, paths) if bobbin.role == "gimp"], paths


def test_a_gimp_across_the_ground_takes_one_bobbin_of_its_own():
    plan, bobbins, paths = wound(gimp_in_ground([(-4, 27), (44, 27)]))
    (bobbin,) = bobbins
    assert bobbin.pair == -1
    assert len(paths.pair) == 2 * len(plan.hangings) + 1
    # From pair to pair it is 40 mm; it lies in the lace with a little to spare, and its ends.
    assert 40 < bobbin.settled_mm < 52
    # Mass goes with the square of the diameter, and a gimp is four threads thick.
    thread = next(b for b in wind(plan, paths) if b.role == "ground")
    assert bobbin.tex == pytest.approx(16 * thread.tex)


def test_a_gimp_that_goes_both_ways_takes_two():
    """Laid in at the top of a diamond, half of it runs down each side."""
    corners = spots(diamond_corners(4, off=0.5))
    _, bobbins, _ = wound(diamond(4, lines=[line(corners, "gimp")]))
    round_it = np.hypot(*np.diff(corners, axis=0).T).sum()
    first, second = (bobbin.settled_mm for bobbin in bobbins)
    assert 0.9 * round_it < first + second < 1.3 * round_it
    assert abs(first - second) < 0.3 * round_it
