"""Every ground, fine and coarse, on the pillow and finished: no crossing that was not worked.

The judges are plane geometry (shapely) and a plan worked by hand, see `tests.whole.verifier`.
"""

from collections import Counter
from functools import lru_cache

import pytest

from render.plan.stitches import GROUNDS
from render.plan.work import plan_work
from render.settle.settle import STATES, settle
from render.threads.replay import lay_threads
from tests.lattices import arc, fan, sheared, with_spider
from tests.pieces import lattice, pricked
from tests.whole.verifier import heights, matched, meetings, that_cross_themselves, worked_by_hand

# Diameter of the thread as a share of the distance from hole to hole.
GAUGES = {"fine": 1 / 20, "coarse": 1 / 11}
BENT = {"sheared": sheared(0.4, 7, 9), "arc": arc(100, 7, 17), "fan": fan(120, 13, 7)}
PIECES = [*GROUNDS, "a word of one's own", *BENT]


@lru_cache
def planned(name):
    if name == "spider":
        return plan_work(pricked(with_spider(2).holes, ground="spider"))
    if name in BENT:
        return plan_work(pricked(BENT[name].holes, ground="twisted"))
    word = "CTTCpCT" if name not in GROUNDS else name
    return plan_work(pricked(lattice(7, 9), ground=word))


@pytest.fixture(params=[(g, s) for g in GAUGES for s in STATES], ids=lambda p: " ".join(p))
def setting(request):
    return request.param


@pytest.mark.parametrize("name", PIECES)
def test_threads_cross_as_they_were_worked(name, setting):
    gauge, state = setting
    plan = planned(name)
    spacing = float(plan.pricking.spacing.min())
    paths = settle(lay_threads(plan), gauge_mm=spacing * GAUGES[gauge], state=state)
    found = meetings(paths)
    expected = Counter()
    for pair, times in worked_by_hand(plan).items():
        expected[tuple(sorted(pair))] += times
    assert found.threads - expected == Counter(), "phantom crossings"
    assert expected - found.threads == Counter(), "missing crossings"
    assert (found.overlaps, that_cross_themselves(paths)) == (0, [])
    assert len(paths.tangles) == 0
    crossing, _ = matched(paths, found)
    low, high = heights(paths, found, found.low), heights(paths, found, found.high)
    assert (found.low == paths.crossings.over[crossing])[low > high].all()
    assert (found.high == paths.crossings.over[crossing])[low < high].all()
