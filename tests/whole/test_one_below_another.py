"""Several pieces on one card: what stands below another piece is worked as if it stood alone."""

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from render.plan.work import plan_work
from render.pricking.sort import sort_holes
from render.settle.settle import settle
from render.threads.replay import lay_threads
from tests.joined_pieces import three_plaits
from tests.pieces import lattice, marked

GAUGE = 0.3
SIZE = (5, 9)
TRAILS = three_plaits()


def moved(pattern, x, y):
    """Return a Pattern somewhere else."""
    way = np.array([x, y])
    return replace(
        pattern,
        holes=pattern.holes + way,
        regions=tuple(
            replace(r, contours=tuple(c + way for c in r.contours)) for r in pattern.regions
        ),
        lines=tuple(replace(each, points=each.points + way) for each in pattern.lines),
    )


def ground_above_trails(shift):
    """Return ground, and trails with plaits that begin well below it and so far to the right."""
    ground = lattice(*SIZE)
    below = moved(TRAILS, shift, float(ground[:, 1].max()) + 35)
    none = (None,) * (len(ground) + len(below.holes))
    return replace(below, holes=np.vstack([ground, below.holes]), hole_stitch=none, hole_area=none)


@pytest.fixture(scope="module", params=[-30.0, -8.0, 1.7, 9.0, 14.0])
def card(request):
    return plan_work(sort_holes(ground_above_trails(request.param)))


def alone():
    ground = marked(lattice(*SIZE), gauge_mm=GAUGE)
    return [plan_work(sort_holes(pattern)) for pattern in (ground, TRAILS)]


def test_it_has_the_pairs_and_stitches_of_both(card):
    both = alone()
    assert len(card.hangings) == sum(len(plan.hangings) for plan in both)
    assert Counter(card.technique) == sum((Counter(plan.technique) for plan in both), Counter())


def test_no_more_pairs_come_or_go_on_the_way(card):
    told = [[r.message for r in plan.remarks if r.kind == "change"] for plan in (card, *alone())]
    assert told[0] == [*told[1], *told[2]]
    assert all(h.start for h in card.hangings)


def test_its_threads_settle_where_their_piece_is(card):
    paths = settle(lay_threads(card), gauge_mm=GAUGE)
    assert not len(paths.tangles)
    holes, spacing = card.pricking.holes, 5.0
    assert (paths.points[:, :2] > holes.min(axis=0) - spacing).all()
    assert (paths.points[:, :2] < holes.max(axis=0) + spacing).all()
