"""Points, outlines and paths, small and large, judged by GEOS (shapely)."""

import numpy as np
import pytest
import shapely
import shapely.ops

from render.geometry.polygon import (
    contains,
    nearest_on_path,
    opposite_on_path,
    part_of_path,
    spot_on_path,
)

# The last pair is too much to be held against each other at once.
SIZES = [(3, 1), (12, 40), (300, 900), (2500, 1500)]
BENT = np.array([(0, 0), (3, 0), (3, 4)], float)


def star(lot, corners):
    """Return an outline that winds round the middle, longer than it is wide."""
    turn = np.sort(lot.uniform(0, 2 * np.pi, corners))
    return np.column_stack([np.cos(turn), 9 * np.sin(turn)]) * lot.uniform(2, 9, (corners, 1))


@pytest.mark.parametrize(("corners", "count"), SIZES)
def test_points_inside_are_those_that_geos_finds_inside(corners, count):
    lot = np.random.default_rng(corners)
    outline, points = star(lot, corners), lot.uniform(-9, 9, (count, 2)) * (1, 9)
    shape = shapely.Polygon(outline)
    assert np.array_equal(contains([outline], points), shapely.contains_xy(shape, points))


@pytest.mark.parametrize("closed", [True, False])
@pytest.mark.parametrize(("corners", "count"), SIZES)
def test_the_nearest_spot_of_a_path_is_where_geos_has_it(corners, count, closed):
    lot = np.random.default_rng(corners)
    path, points = star(lot, corners), lot.uniform(-9, 9, (count, 2)) * (1, 9)
    ring = shapely.LinearRing(path) if closed else shapely.LineString(path)
    away, along = nearest_on_path(path, points, closed=closed)
    spots = shapely.points(points)
    assert np.allclose(away, shapely.distance(ring, spots), rtol=0, atol=1e-9)
    assert np.allclose(along, shapely.line_locate_point(ring, spots), rtol=0, atol=1e-6)


def test_a_hole_in_a_shape_is_outside():
    square = np.array([(0, 0), (9, 0), (9, 9), (0, 9)], float)
    assert contains([square, square / 3 + 3], np.array([(1, 1), (5, 5)])).tolist() == [True, False]


@pytest.mark.parametrize("times", [1, 400])
def test_between_two_parts_of_an_outline_both_are_passed(times):
    """A comb of slots two wide: from a spot off the middle of one the farther side is sought."""
    teeth = [(x + 4 * k, y) for k in range(times + 1) for x, y in [(0, 0), (0, 9), (2, 9), (2, 0)]]
    outline = np.array([*teeth, (4 * times + 4, -9), (-4, -9)], float)
    points = np.array([(2.7 + 4 * k, 5) for k in range(times)])
    distance, along = opposite_on_path(outline, points, np.full(times, 2.0))
    assert np.allclose(distance, 1.3)
    ring = shapely.LinearRing(outline)
    assert np.allclose(
        shapely.get_coordinates(shapely.line_interpolate_point(ring, along)),
        points + np.array([1.3, 0]),
    )


@pytest.mark.parametrize("way", [0.0, 1.5, 3.0, 4.2, 7.0])
def test_a_spot_on_a_path_is_where_geos_finds_it(way):
    spot, left = spot_on_path(BENT, way)
    found = shapely.line_interpolate_point(shapely.LineString(BENT), way)
    assert spot == pytest.approx([found.x, found.y])
    # East with y down the page: its left is up the page; south: its left is to the east.
    assert left == pytest.approx([0, -1] if way < 3 else [1, 0])


def test_beyond_its_ends_a_path_goes_straight_on():
    assert spot_on_path(BENT, -1.0)[0] == pytest.approx([-1, 0])
    assert spot_on_path(BENT, 9.0)[0] == pytest.approx([3, 6])


@pytest.mark.parametrize(("first", "last"), [(0.0, 7.0), (1.0, 2.0), (2.5, 3.5), (3.0, 6.0)])
def test_a_part_of_a_path_is_that_of_geos(first, last):
    part = shapely.LineString(part_of_path(BENT, first, last))
    expected = shapely.ops.substring(shapely.LineString(BENT), first, last)
    assert shapely.hausdorff_distance(part, expected) < 1e-9
    assert part.length == pytest.approx(last - first)
