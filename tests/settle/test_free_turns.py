"""Where a worker turns without a pin, the cloth still reaches from pin to pin."""

import numpy as np
import pytest
import shapely

from render.plan.stitches import TURNING
from render.plan.work import plan_work
from render.settle.settle import settle
from render.threads.network import Kind
from render.threads.replay import lay_threads
from tests.figures import fan

# Tension draws such an edge in by no more than a few threads (common practice, no source).
DRAWN_IN = 4.0


@pytest.mark.parametrize("state", ["pillow", "finished"])
@pytest.mark.parametrize("pins", [13, 17, 21])
def test_an_edge_with_fewer_pins_is_hardly_drawn_in(pins, state):
    pricking = fan(pins)
    plan = plan_work(pricking)
    laid = lay_threads(plan)
    gauge_mm = float(np.median(pricking.spacing)) / 14
    paths = settle(laid, gauge_mm=gauge_mm, state=state)
    stitch = laid.stitch[laid.kind == Kind.CROSSING]
    turning = [s for s, moves in enumerate(plan.moves) if moves == TURNING]
    assert turning
    edge = shapely.LinearRing(pricking.areas[0].contours[0])
    for s in turning:
        at = shapely.points(paths.crossings.at[stitch == s])
        assert shapely.distance(edge, at).min() < DRAWN_IN * gauge_mm
