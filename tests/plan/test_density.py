"""How many pairs an area wants: asked for outright, or by its width."""

import pytest

from render.plan.work import plan_work
from tests.pieces import strip
from tests.plan.verifier import replay


def most(pricking, **wishes):
    return max(replay(plan_work(pricking, **wishes)).hanging)


@pytest.mark.parametrize("pairs", [2, 4, 6, 9])
def test_pairs_asked_for_are_passives_and_the_worker_comes_on_top(pairs):
    assert most(strip("whole", pairs=str(pairs))) == pairs + 1


@pytest.mark.parametrize("width", [3.0, 4.0, 5.0, 8.0, 12.0])
def test_half_stitch_takes_one_pair_fewer_at_any_width(width):
    """Source: Dillmont, 1886, pp. 482-483, where the band is five pitches wide."""
    assert most(strip("half", width=width)) == most(strip("whole", width=width)) - 1


def test_a_wider_band_takes_more_pairs():
    counts = [most(strip("whole", width=float(width))) for width in (2, 4, 6, 8, 10)]
    assert counts == sorted(set(counts))


def test_closer_work_takes_more_pairs():
    counts = [most(strip("whole"), density=d) for d in (0.5, 0.8, 1.0, 1.4, 2.0)]
    assert counts == sorted(counts)
    assert counts[0] < counts[2] < counts[-1]


@pytest.mark.parametrize("factor", [0.7, 1.5])
def test_a_density_in_the_pattern_counts_as_one_that_is_asked_for(factor):
    written = most(strip("whole", density=str(factor)))
    assert written == most(strip("whole"), density=factor)


def test_density_leaves_pairs_asked_for_alone():
    assert most(strip("whole", pairs="5"), density=2.0) == 6
