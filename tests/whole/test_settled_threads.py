"""From a card to settled threads: what crosses in the picture is what was worked.

The judges are plane geometry (shapely) and a plan worked by hand, see `tests.whole.verifier`.
"""

from collections import Counter
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from render import Wishes, work
from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from render.settle.settle import settle
from render.shade.sight import threads_seen
from render.shade.view import View
from render.threads.replay import lay_threads
from tests.figures import CROSSED, HEART, fan, figure
from tests.gimped_pieces import gimp_in_ground, gimps_by_lot
from tests.joined_pieces import (
    crossing_plaits,
    joined_trails_by_lot,
    three_plaits,
    touching_plaits,
    with_lines_by_lot,
)
from tests.pieces import (
    diamond,
    diamond_corners,
    lattice,
    lattice_with_footside,
    line,
    pricked,
    random_pattern,
    scallop,
    spots,
    strip,
)
from tests.scrolls import hairpin, side_by_side, spiral
from tests.trails import crossing, diamond_ring, lone_ring
from tests.whole.verifier import heights, matched, meetings, that_cross_themselves, worked_by_hand

DEMO = Path(__file__).parents[2] / "demo_patterns"
# The lot marks all of these as open: nothing there is to be worked.
OPEN = {34, 149}
SEEDS = [seed for seed in range(52) if seed not in OPEN]
# More of them, looked at by `pytest -m wide`: with the others about 300.
WIDE = [seed for seed in range(52, 302) if seed not in OPEN]
SIZE = {"columns": (3, 8), "rows": (4, 10)}
# Threads of piece 9 tangle without a gimp as well.
GIMPED = [seed for seed in range(14) if seed != 9]
DRAWN_BY_LOT = [f"piece {seed}" for seed in SEEDS]
PRINTED = {
    "diamond": lambda: diamond(3),
    "half-stitch diamond": lambda: diamond(3, stitch="half"),
    "honeycomb": lambda: diamond(2, ground="honeycomb"),
    "point ground": lambda: diamond(2, ground="point"),
    "footside": lambda: lattice_with_footside(5, 9),
    "scallop": lambda: scallop(2),
    "band": lambda: strip("whole"),
    "heart": lambda: figure(HEART),
    "fan": lambda: fan(17),
    "figure crossed": lambda: figure(CROSSED, "half"),
    "ring in ground": lambda: sort_holes(diamond_ring(5, 3)),
    "lone ring": lambda: sort_holes(lone_ring(pairs="4")),
    "crossing": lambda: sort_holes(crossing(length=24.0, pairs="4")),
    "trails sewn together": lambda: sort_holes(side_by_side(length=18.0)),
    "hairpin": lambda: sort_holes(hairpin(arms=8.4)),
    "spiral": lambda: sort_holes(spiral(1.3)),
    "spiral outwards": lambda: sort_holes(spiral(1.6, outwards=True)),
    "plaits that cross": lambda: sort_holes(crossing_plaits()),
    "leaves that cross": lambda: sort_holes(crossing_plaits("leaf")),
    "three plaits": lambda: sort_holes(three_plaits()),
    "gimp": lambda: gimp_in_ground([(-3, 22), (18, 31), (44, 37)]),
    "gimp in point ground": lambda: gimp_in_ground([(-3, 41), (15, 22), (27, 22)], ground="point"),
    "gimp round a diamond": lambda: diamond(
        4, ground="point", lines=[line(spots(diamond_corners(4, off=0.5)), "gimp")]
    ),
    "gimps that cross": lambda: pricked(
        lattice(9, 15),
        lines=[line([(-3, y), (43, 62 - y)], "gimp") for y in (16, 46.5)],
        ground="point",
    ),
    "gimp there and back": lambda: gimp_in_ground([(-3, 22), (23, 22), (23, 23.7), (-3, 23.7)]),
    **{f"gimps {seed}": lambda seed=seed: sort_holes(gimps_by_lot(seed)) for seed in GIMPED},
    "plaits that touch": lambda: sort_holes(touching_plaits()),
    **{
        f"joined trails {seed}": lambda seed=seed: sort_holes(joined_trails_by_lot(seed))
        for seed in (0, 3, 6, 12)
    },
}
DEMOS = sorted(path.name for path in DEMO.glob("*.svg"))
WIDE_LOT = [pytest.param(f"piece {seed}", marks=pytest.mark.wide) for seed in WIDE]
PIECES = [*PRINTED, *DEMOS, *DRAWN_BY_LOT, *WIDE_LOT]
EXACT_MM = 1e-6
DPI = 600


@lru_cache
def settled(name):
    """Return the plan, the settled threads and their meetings in the plane."""
    if name in DEMOS:
        piece = work(DEMO / name, Wishes())
        return piece.plan, piece.paths, meetings(piece.paths)
    if name in PRINTED:
        pricking = PRINTED[name]()
    else:
        seed = int(name.removeprefix("piece "))
        # Every fourth one without lines.
        drawn = with_lines_by_lot if seed % 4 else random_pattern
        pricking = sort_holes(drawn(seed, **SIZE))
    plan = plan_work(pricking)
    paths = settle(lay_threads(plan), gauge_mm=float(np.median(pricking.spacing)) / 14)
    return plan, paths, meetings(paths)


@lru_cache
def worked(name):
    return worked_by_hand(settled(name)[0])


@lru_cache
def recorded(name):
    """Return for each meeting its recorded crossing and how far that lies away."""
    _, paths, found = settled(name)
    return matched(paths, found)


@pytest.mark.parametrize("name", PIECES)
def test_what_is_recorded_is_what_was_worked(name):
    _, paths, _ = settled(name)
    over, under = paths.crossings.over.tolist(), paths.crossings.under.tolist()
    assert Counter(zip(over, under, strict=True)) == worked(name)


@pytest.mark.parametrize("name", PIECES)
def test_threads_cross_in_the_plane_where_they_were_worked_and_nowhere_else(name):
    _, paths, found = settled(name)
    planned = Counter()
    for pair, times in worked(name).items():
        planned[tuple(sorted(pair))] += times
    assert found.threads - planned == Counter(), "phantom crossings"
    assert planned - found.threads == Counter(), "missing crossings"
    assert found.overlaps == 0
    assert that_cross_themselves(paths) == []


@pytest.mark.parametrize("name", PIECES)
def test_each_meeting_has_its_own_crossing_at_its_place(name):
    _, _, found = settled(name)
    crossing, apart = recorded(name)
    assert apart.max() < EXACT_MM
    assert len(set(crossing.tolist())) == len(found.at)


@pytest.mark.parametrize("name", PIECES)
def test_the_right_thread_lies_on_top(name):
    _, paths, found = settled(name)
    crossing, _ = recorded(name)
    low, high = heights(paths, found, found.low), heights(paths, found, found.high)
    on_top = np.where(low > high, found.low, found.high)
    assert (on_top == paths.crossings.over[crossing]).all()


@pytest.mark.parametrize("name", DEMOS)
def test_the_thread_beneath_is_never_seen_at_its_crossing(name):
    """And the one on top is, but where a third one lies over both."""
    _, paths, found = settled(name)
    low, high = paths.points[:, :2].min(axis=0) - 1, paths.points[:, :2].max(axis=0) + 1
    scale = DPI / 25.4
    width, height = np.ceil((high - low) * scale).astype(int)
    view = View(float(low[0]), float(low[1]), scale, int(width), int(height))
    column, row = np.floor((found.at - low) * scale).astype(int).T
    seen = threads_seen(paths, view)[row, column]
    crossing, _ = recorded(name)
    over, under = paths.crossings.over[crossing], paths.crossings.under[crossing]
    assert (seen != under).all()
    assert np.mean(seen == over) > 0.9
