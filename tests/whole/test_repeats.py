"""A piece laid from a few repeats is the piece worked through from end to end.

The judges are the same work done without the short cut, and plane geometry (shapely), see
`tests.whole.verifier`. What repeats and where is common practice, no source; the scallop is
Dillmont's fig. 799, see `tests.pieces`.
"""

from collections import Counter
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely

from render import SettingError, Wishes, work_out
from render.pattern.read import read_pattern
from render.pattern.repeat import work_again
from tests.joined_pieces import around, trail
from tests.pieces import PITCH, SCALLOP, lattice, lattice_places, line, marked, region, spots
from tests.whole.verifier import curves, meetings, that_cross_themselves

# The scallop is alike only from the third repeat on, so that eight are worked through.
TIMES = {"scallop": 9}
USUAL_TIMES = 8
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


def picots_and_footside():
    """Return point ground, at 60 degrees, with a footside and picots outside its other edge."""
    across, down, rows = 1.25, 1.25 * 3**0.5, 6
    right, length = 4 * across, rows * down
    picots = [(right + 0.9, (r + 0.5) * down) for r in range(0, rows, 2)]
    lines = [
        line([(0, 0), (0, length)], "footside"),
        line([(right, 0), (right, length)], "headside", picots="right"),
    ]
    holes = [*lattice(5, rows, across, down).tolist(), *picots]
    return marked(holes, [], lines, repeat=(0.0, length), ground="point", gauge_mm=0.16)


def joined_over_the_seam(word, **options):
    """Return two trails; what joins them begins in one repeat and ends in the next."""
    pins, advance, gap = 14, 1.35, 14.0
    sides = [trail(x, pins + 2, advance=advance) for x in (0.0, gap)]
    areas = [
        region(around(side), "whole", name, pairs="5")
        for side, name in zip(sides, ("left", "right"), strict=True)
    ]
    left, right = sides
    middle = (gap / 2, 14 * advance)
    ends = [
        (left[11], middle, (gap - 2.0, 18 * advance)),
        (right[10], middle, (2.0, 17 * advance)),
    ]
    beside = [spot for points in ends for spot in _beside(points)] if options else []
    holes = [*left[:pins], *right[:pins], middle, *beside]
    lines = [line(points, word, **options) for points in ends]
    return marked(holes, areas, lines, repeat=(0.0, pins * advance), gauge_mm=0.3)


def _beside(points):
    """Return holes for picots on both sides of each part of a line."""
    found = []
    for a, b in pairwise(np.array(points)):
        out = 1.4 * np.array([(b - a)[1], (a - b)[0]]) / np.hypot(*(b - a))
        found += [tuple((a + b) / 2 + out), tuple((a + b) / 2 - out)]
    return found


def bent():
    """Return a net that sways to the right and to the left, with a footside along its bend."""
    rows, step = 16, 2.5
    turn = 2 * np.pi / rows

    def spot(column, row):
        slope = 2.0 * turn / step * np.cos(turn * row)
        aside = (column - 2) * step / np.hypot(1, slope)
        return 2.0 * np.sin(turn * row) + aside, row * step - aside * slope

    foot = line([spot(0, r / 2) for r in range(2 * rows + 1)], "footside")
    holes = [spot(*place) for place in lattice_places(5, rows)]
    return marked(holes, [], [foot], repeat=(0.0, rows * step))


def fans():
    return read_pattern(Path(__file__).parents[2] / "demo_patterns/limpet_edging.svg")


PIECES = {
    "scallop": scallop,
    "net with a footside": net,
    "picots and a footside": picots_and_footside,
    "slanting net": lambda: net(aside=10.0),
    "diamond in two halves": diamond_over_the_seam,
    "free trail": band,
    "fans": fans,
    "plaits over the seam": lambda: joined_over_the_seam("plait", picots="both"),
    "leaves over the seam": lambda: joined_over_the_seam("leaf"),
    "bent net": bent,
}


@lru_cache
def both(name):
    """Return a piece laid from a few repeats and the same piece worked through."""
    pattern = PIECES[name]()
    times = TIMES.get(name, USUAL_TIMES)
    whole = work_again(pattern, times)
    laid = work_out(pattern, Wishes(repeats=times))
    gauge = laid.gauge.diameter_mm
    return laid, work_out(whole, Wishes(gauge_mm=gauge))


def end_of(name):
    """Return how far down a piece is compared, in mm.

    What joins trails over the last seam is cut off there, and hangs in one way or another.
    """
    return USUAL_TIMES * 14 * 1.35 - 15.0 if "over the seam" in name else np.inf


@pytest.mark.parametrize("name", PIECES)
def test_it_is_laid_and_not_worked_through(name):
    laid, _ = both(name)
    assert not [remark for remark in laid.plan.remarks if remark.kind == "repeat"]


@pytest.mark.parametrize("name", PIECES)
def test_every_stitch_pair_and_crossing_is_that_of_the_whole(name):
    laid, whole = both(name)
    assert laid.plan.moves == whole.plan.moves
    until = int((whole.plan.at[:, 1] < end_of(name)).argmin()) or len(whole.plan.moves)
    assert until > 0.8 * len(whole.plan.moves)
    legs = whole.plan.taken[:until]
    for column in ("hole", "area", "taken", "given"):
        first, second = (getattr(one.plan, column)[:until] for one in (laid, whole))
        assert np.array_equal(first, second)
    for column in ("twists", "turn"):
        first, second = (getattr(one.plan, column)[legs] for one in (laid, whole))
        assert np.array_equal(first, second)
    for column in ("pair", "role", "region"):
        assert np.array_equal(getattr(laid.paths, column), getattr(whole.paths, column))
    laid_count, whole_count = (crossings_until(end_of(name), one.paths) for one in (laid, whole))
    assert laid_count == whole_count


def crossings_until(end, paths):
    crossings = paths.crossings
    above = crossings.at[:, 1] < end
    return Counter(
        zip(crossings.over[above].tolist(), crossings.under[above].tolist(), strict=True)
    )


@pytest.mark.parametrize("name", PIECES)
def test_threads_run_where_those_of_the_whole_run(name):
    laid, whole = both(name)
    for one, other in ((laid.paths, whole.paths), (whole.paths, laid.paths)):
        run = curves(one)
        shapely.prepare(run)
        points, thread = shapely.get_coordinates(curves(other), return_index=True)
        compared = points[:, 1] < end_of(name)
        points, thread = points[compared], thread[compared]
        assert shapely.dwithin(run[thread], shapely.points(points), APART_MM).all()


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


def test_gimps_go_on_over_the_seam_and_are_worked_through_and_it_says_so():
    """A gimp whose end meets its next beginning is one; a ring lies in every repeat."""
    running = line([(2, 0), (8, PITCH), (8, 3 * PITCH), (2, 4 * PITCH)], "gimp")
    ring = line([(15, 12), (18, 15), (15, 18), (12, 15), (15, 12)], "gimp")
    pattern = marked(lattice(5, 4), [], [running, ring], repeat=(0.0, 4 * PITCH))
    laid = work_out(pattern, Wishes(repeats=8))
    assert "gimp" in str(laid.plan.remarks[-1])
    assert laid.plan.remarks[-1].kind == "repeat"
    assert len(laid.plan.gimps) == 1 + 8
    once = work_out(pattern, Wishes()).plan.gimps[0]
    assert len(laid.plan.gimps[0].passings) > 7 * len(once.passings)
    assert len(laid.paths.tangles) == 0


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
