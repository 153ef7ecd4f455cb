"""Where pairs come and go, against plain lattices."""

import numpy as np
import pytest

from render.errors import Place
from render.estimate.counts import count_work
from render.estimate.hanging import comings_and_goings, order_of_areas, passages
from render.estimate.suitability import JAMMED, cloth_closeness, judge_thread
from render.pattern.model import Pattern, Region
from render.plan.work import plan_work
from render.pricking.sort import sort_holes

STEP, SIDE = 2.5, 4


@pytest.fixture(scope="module")
def plan():
    """Return two diamonds, four holes to a side, one below the other in torchon ground."""
    middles = [(8, 8), (8, 24)]
    spots = [(c, r) for r in range(33) for c in range(17) if (c + r) % 2 == 0]
    spots = [s for s in spots if all(abs(s[0] - x) + abs(s[1] - y) >= SIDE for x, y in middles)]
    nothing = (None,) * len(spots)
    turns = np.array([(0, -SIDE), (SIDE, 0), (0, SIDE), (-SIDE, 0)])
    regions = tuple(
        Region(((np.array(m) + turns) * STEP,), "whole", Place(f'region "{name}"'))
        for m, name in zip(middles[::-1], ("low", "high"), strict=True)
    )
    return plan_work(
        sort_holes(Pattern("two", np.array(spots, float) * STEP, nothing, nothing, regions=regions))
    )


def test_areas_are_begun_from_the_top_though_the_file_has_them_otherwise(plan):
    assert [plan.pricking.areas[n].place.item for n in order_of_areas(plan)] == [
        'region "high"', 'region "low"',
    ]  # fmt: skip


def test_as_many_pairs_leave_an_area_as_enter_it(plan):
    ways = passages(plan)
    assert sum(way.enters for way in ways) == sum(not way.enters for way in ways)


def test_pairs_enter_a_diamond_above_its_middle_and_leave_below(plan):
    """A diamond of n holes to a side is fed by n pairs from each side.

    Jo Edkins, *Bobbin lace*, web handbook: 8 pairs for a diamond of four.
    """
    high = [way for way in passages(plan) if way.hole[1] < 16 * STEP]
    middle = 8 * STEP
    assert all(way.hole[1] <= middle for way in high if way.enters)
    assert all(way.hole[1] >= middle for way in high if not way.enters)
    # One more hole stands on a side than it has steps.
    assert sum(way.enters for way in high) == 2 * (SIDE + 1)


def test_every_pair_that_is_hung_leaves_somewhere(plan):
    places = comings_and_goings(plan)
    hung = sum(spot.pairs for spot in (*places.start, *places.hung_in))
    assert hung == sum(spot.pairs for spot in (*places.end, *places.thrown_out))


def test_marks_of_the_start_are_above_those_of_the_end(plan):
    places = comings_and_goings(plan)
    assert max(s.at[1] for s in places.start) < min(s.at[1] for s in places.end)


def test_cloth_is_as_close_as_its_threads_and_stitches_say(plan):
    """Threads of the distance of Peirce's jammed cloth are as close as can be."""
    size = 2 * (SIDE * STEP) ** 2
    stitches = int((plan.area == 0).sum())
    jammed = np.sqrt(size / stitches) / 2 * JAMMED
    assert cloth_closeness(plan, jammed)["low"] == pytest.approx(1)
    assert judge_thread(plan, jammed * 1.01).verdict == "thick"
    assert pytest.approx(0.866, abs=5e-4) == 0.5 / JAMMED


def test_every_cut_across_the_piece_meets_as_many_pairs_as_are_counted(plan):
    """A leg that goes down through the cut counts one, one that goes up takes one away."""
    begins = {h.leg: h.at[1] for h in plan.hangings}
    ends = {}
    for y, taken, given in zip(plan.at[:, 1], plan.taken, plan.given, strict=True):
        ends.update(dict.fromkeys(taken.tolist(), y))
        begins.update(dict.fromkeys(given.tolist(), y))
    top = np.array(list(begins.values()))
    bottom = np.array([ends.get(leg, np.inf) for leg in begins])
    counted = count_work(plan).pairs
    assert counted.hung_in == counted.thrown_out == 0
    # No stitch lies on a cut at such odd places.
    for cut in np.arange(1 / np.pi, 31) * STEP:
        through = ((top < cut) & (bottom > cut)).sum() - ((top > cut) & (bottom < cut)).sum()
        assert through == counted.most == counted.total
