"""A piece laid from a few repeats is the piece worked through from end to end.

The judges are the same work done without the short cut, and plane geometry (shapely), see
`tests.whole.verifier`. What repeats and where is common practice, no source; the scallop is
Dillmont's fig. 799, see `tests.pieces`.
"""

from collections import Counter
from functools import lru_cache

import numpy as np
import pytest
import shapely

from render import SettingError, Wishes, work_out
from render.pattern.repeat import work_again
from tests.pieces import PITCH, SCALLOP, lattice, lattice_places, line, marked, region, spots
from tests.whole.verifier import curves, meetings, that_cross_themselves

TIMES = 9
# Measured: 0.015 mm at the ends of the scallop, less than 0.001 mm in pieces without a trail.
APART_MM = 0.05
DOWN = 79 / 82 * PITCH


def scallop():
    inner = [*SCALLOP["inner"], (1, 6)]
    outer = [*SCALLOP["outer"], (5.1, 6.5)]
    grid = np.array([PITCH, DOWN])
    holes = np.array([p for places in SCALLOP.values() for p in places]) * grid
    trail = region(np.array(inner + outer[::-1]) * grid, "half", "trail")
    foot = line(np.array([(0, 0), (0, 6)]) * grid, "footside")
    return marked(holes, [trail], [foot], repeat=(0.0, 6 * DOWN))


def net(aside=0.0, down=4 * PITCH, **heading):
    foot = line([(0, 0), (0, 4 * PITCH)], "footside")
    return marked(lattice(5, 4), [], [] if aside else [foot], repeat=(aside, down), **heading)


def diamond_over_the_seam():
    places = [
        (c, r) for c, r in lattice_places(9, 16) if min(abs(c - 4) + r, abs(c - 4) + 16 - r) >= 2
    ]
    figure = region(spots([(4, 14), (6, 16), (4, 18), (2, 16)]), "whole", "figure")
    return marked(spots(places), [figure], repeat=(0.0, 16 * PITCH))


def band():
    holes = [((k % 2) * 20, k * 2.5) for k in range(8)]
    corners = [(0, 0), (20, 2.5), (20, 22.5), (0, 20)]
    return marked(holes, [region(corners, "whole", "band")], repeat=(0.0, 20.0))


PIECES = {
    "scallop": scallop,
    "net with a footside": net,
    "point ground": lambda: net(ground="point"),
    "slanting net": lambda: net(aside=10.0),
    "diamond over the seam": diamond_over_the_seam,
    "free trail": band,
}


@lru_cache
def both(name):
    """Return a piece laid from a few repeats and the same piece worked through."""
    pattern = PIECES[name]()
    whole = work_again(pattern, TIMES)
    laid = work_out(pattern, Wishes(repeats=TIMES))
    gauge = laid.gauge.diameter_mm
    return laid, work_out(whole, Wishes(gauge_mm=gauge))


@pytest.mark.parametrize("name", PIECES)
def test_it_is_laid_and_not_worked_through(name):
    laid, _ = both(name)
    assert not [remark for remark in laid.plan.remarks if remark.kind == "repeat"]


@pytest.mark.parametrize("name", PIECES)
def test_every_stitch_pair_and_crossing_is_that_of_the_whole(name):
    laid, whole = both(name)
    assert laid.plan.moves == whole.plan.moves
    for column in ("hole", "area", "taken", "given", "twists", "turn"):
        assert np.array_equal(getattr(laid.plan, column), getattr(whole.plan, column))
    for column in ("pair", "role", "region"):
        assert np.array_equal(getattr(laid.paths, column), getattr(whole.paths, column))
    laid_count, whole_count = (
        Counter(zip(c.over.tolist(), c.under.tolist(), strict=True))
        for c in (laid.paths.crossings, whole.paths.crossings)
    )
    assert laid_count == whole_count


@pytest.mark.parametrize("name", PIECES)
def test_threads_run_where_those_of_the_whole_run(name):
    laid, whole = both(name)
    apart = shapely.hausdorff_distance(curves(laid.paths), curves(whole.paths))
    assert apart.max() < APART_MM


@pytest.mark.parametrize("name", PIECES)
def test_nothing_crosses_at_the_seams_that_was_not_worked(name):
    laid, _ = both(name)
    crossings = laid.paths.crossings
    ends = np.sort(np.stack([crossings.over, crossings.under], axis=1), axis=1)
    assert meetings(laid.paths).threads == Counter(map(tuple, ends.tolist()))
    assert that_cross_themselves(laid.paths) == []


def test_repeats_across_the_work_are_worked_through_and_it_says_so():
    laid = work_out(net(aside=6 * PITCH, down=0.0), Wishes(repeats=8))
    assert "side by side" in str(laid.plan.remarks[-1])


@pytest.mark.parametrize(
    "asked", [{"repeats": 0}, {"repeats": 10**6}, {"repeats": 2, "length_mm": 90.0}]
)
def test_numbers_that_cannot_be_meant_are_refused(asked):
    with pytest.raises(SettingError):
        Wishes(**asked)


@pytest.mark.parametrize("length", [5.0, float("nan"), 1e9])
def test_lengths_that_cannot_be_meant_are_refused(length):
    with pytest.raises(SettingError):
        work_out(band(), Wishes(length_mm=length))
