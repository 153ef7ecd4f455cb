"""Self-crossing, judged by shapely."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing, MultiLineString, Point

import render.pattern.crossing
from render.pattern.crossing import first_crossing

GRID = st.tuples(st.integers(0, 6), st.integers(0, 6))
LOOPS = st.lists(GRID, min_size=3, max_size=9)


def ring(points):
    """Return points as a contour without a point twice in a row, None if too few are left."""
    kept = [p for i, p in enumerate(points) if p != points[i - 1]]
    return np.array(kept, float) if len(kept) >= 3 else None


@settings(deadline=None, max_examples=300)
@given(LOOPS)
def test_a_loop_is_simple_exactly_when_shapely_says_so(points):
    """Few places, so that touches, overlaps and spikes come up."""
    contour = ring(points)
    if contour is not None:
        assert (first_crossing([contour]) is None) == LinearRing(contour).is_simple


@settings(deadline=None, max_examples=200)
@given(LOOPS, LOOPS)
def test_two_loops_meet_exactly_when_shapely_says_so(first, second):
    contours = [ring(first), ring(second)]
    if any(contour is None or not LinearRing(contour).is_simple for contour in contours):
        return
    meet = LinearRing(contours[0]).intersects(LinearRing(contours[1]))
    assert (first_crossing(contours) is not None) == meet


@settings(deadline=None, max_examples=100)
@given(LOOPS)
def test_the_spot_lies_on_the_outline(points):
    contour = ring(points)
    spot = None if contour is None else first_crossing([contour])
    if spot is not None:
        outline = MultiLineString([LinearRing(contour)])
        assert outline.distance(Point(spot)) == pytest.approx(0, abs=1e-9)


def test_a_long_outline_is_compared_in_blocks(monkeypatch):
    monkeypatch.setattr(render.pattern.crossing, "PAIRS_AT_ONCE", 50)
    angle = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    circle = np.column_stack([np.cos(angle), np.sin(angle)]) * 30
    assert first_crossing([circle]) is None
    eight = np.column_stack([np.sin(angle + 0.01), np.sin(2 * angle + 0.02)]) * 30
    # The chords of the curve cross a little beside where the curve does.
    assert first_crossing([eight]) == pytest.approx([0, 0], abs=1e-3)
