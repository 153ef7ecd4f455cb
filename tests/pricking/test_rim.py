"""Areas drawn loosely over a lattice have the outermost of their holes on their edge."""

import numpy as np
import pytest
import shapely

from render.pricking.sort import sort_holes
from tests.pieces import (
    PITCH,
    diamond,
    diamond_corners,
    lattice,
    marked,
    pricked,
    region,
    spots,
)

# The rim of a patch is a boundary in the sense of Edelsbrunner, Kirkpatrick and Seidel, "On the
# shape of a set of points in the plane", IEEE Transactions on Information Theory 29 (1983)
# 551-559 (from memory): every hole on it has a side on which no other hole of the patch is near.


def disc(x, y, radius, corners=40):
    angle = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    return np.array([x, y]) + radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)


def jittered(seed, columns=15, rows=15, by=0.06):
    holes = lattice(columns, rows)
    return holes + np.random.default_rng(seed).normal(0, by * PITCH, holes.shape)


@pytest.mark.parametrize("seed", range(12))
def test_the_rim_of_a_disc_goes_round_all_holes_inside_it(seed):
    lot = np.random.default_rng(seed)
    outline = disc(*lot.uniform(28, 42, 2), lot.uniform(14, 24))
    pricking = pricked(jittered(seed), [region(outline, "whole")])
    (area,) = pricking.areas
    polygon = shapely.Polygon(pricking.holes[area.edges[0]])
    assert polygon.is_simple
    assert polygon.is_valid
    marked_holes = shapely.contains(shapely.Polygon(outline), shapely.points(pricking.holes))
    covered = shapely.covers(polygon, shapely.points(pricking.holes))
    assert set(np.flatnonzero(marked_holes)) <= set(np.flatnonzero(covered))
    assert len(np.unique(area.edge)) == len(area.edge)


@pytest.mark.parametrize("seed", range(12))
def test_an_outline_far_outside_the_holes_is_drawn_in_to_them(seed):
    holes = jittered(seed, 7, 9)
    wide = [(-30, -30), (60, -30), (60, 70), (-30, 70)]
    (area,) = pricked(holes, [region(wide, "half")]).areas
    assert set(area.edge) | set(area.inside) == set(range(len(holes)))
    assert len(area.inside) > 0
    hull = shapely.convex_hull(shapely.multipoints(holes))
    corners = {tuple(c) for c in shapely.get_coordinates(hull).tolist()}
    assert corners <= {tuple(c) for c in holes[area.edge].tolist()}


def test_an_outline_along_its_holes_stays_as_it_is():
    """A square on the lines of a lattice has the holes on those lines on its edge."""
    holes = lattice(13, 13)
    square = [(10, 10), (50, 10), (50, 50), (10, 50)]
    (area,) = pricked(holes, [region(square, "whole")]).areas
    off = np.abs(holes - 30).max(axis=1)
    assert sorted(area.edge.tolist()) == np.flatnonzero(off == 20).tolist()
    assert sorted(area.inside.tolist()) == np.flatnonzero(off < 20).tolist()


def test_an_area_without_holes_inside_keeps_its_outline():
    (area,) = diamond(4).areas
    outline = spots(diamond_corners(4)[:-1])
    assert np.array_equal(area.contours[0], outline)


def test_two_patches_of_holes_in_one_outline_are_left_as_they_are():
    holes = np.concatenate([lattice(5, 5), lattice(5, 5) + np.array([80, 0])])
    wide = [(-5, -5), (105, -5), (105, 25), (-5, 25)]
    (area,) = sort_holes(marked(holes, [region(wide, "whole")])).areas
    assert np.array_equal(area.contours[0], np.array(wide, float))
