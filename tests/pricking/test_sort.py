"""Which hole belongs to which edge, judged by plane geometry (shapely)."""

import numpy as np
import pytest
import shapely

from render.errors import PatternError
from render.pricking.sort import local_spacing, sort_holes
from tests.pieces import diamond, lattice, line, marked, pricked, random_pattern, region, scallop

SEEDS = range(25)
# A hole counts to an outline within half the usual distance to its neighbours: a colouring is
# laid just inside the holes (common practice, no source).
REACH = 0.5


def outline(area):
    return shapely.MultiLineString([np.vstack([c, c[:1]]) for c in area.contours])


@pytest.mark.parametrize("seed", SEEDS)
def test_an_edge_has_the_holes_that_lie_near_it(seed):
    pattern = random_pattern(seed)
    pricking = sort_holes(pattern)
    for drawn, area in zip(pattern.regions, pricking.areas, strict=True):
        if area.contours is not drawn.contours:  # loosely drawn: see test_rim
            assert np.array_equal(area.contours[0], pricking.holes[area.edge])
            continue
        away = shapely.distance(outline(area), shapely.points(pricking.holes))
        near = np.flatnonzero(away <= REACH * pricking.spacing)
        assert sorted(area.edge.tolist()) == near.tolist()


@pytest.mark.parametrize("seed", SEEDS)
def test_what_lies_inside_and_on_no_edge_is_inside(seed):
    pricking = sort_holes(random_pattern(seed))
    for area in pricking.areas:
        within = shapely.contains(shapely.Polygon(area.contours[0]), shapely.points(pricking.holes))
        assert set(area.inside.tolist()) == set(np.flatnonzero(within)) - set(area.edge.tolist())


@pytest.mark.parametrize("seed", SEEDS)
def test_an_edge_runs_in_the_order_of_its_outline(seed):
    for area in sort_holes(random_pattern(seed)).areas:
        ring = shapely.LineString(np.vstack([area.contours[0], area.contours[0][:1]]))
        spots = shapely.points(random_pattern(seed).holes[area.edges[0]])
        assert (np.diff(shapely.line_locate_point(ring, spots)) >= -1e-9).all()


@pytest.mark.parametrize("seed", SEEDS)
def test_only_worked_areas_own_holes(seed):
    pricking = sort_holes(random_pattern(seed))
    for hole, owners in enumerate(pricking.owners):
        expected = [
            number
            for number, area in enumerate(pricking.areas)
            if area.worked and hole in area.edge
        ]
        assert list(owners) == expected


@pytest.mark.parametrize("n", range(2, 7))
def test_a_diamond_has_four_times_n_less_one_edge_holes(n):
    (area,) = diamond(n).areas
    assert len(area.edge) == 4 * (n - 1)
    assert len(area.inside) == 0


def test_a_scalloped_trail_owns_the_pins_of_both_its_edges():
    """13 pins a repeat stand on the trail: six inside, six outside, and the next repeat's first."""
    (area,) = scallop(1).areas
    assert len(area.edge) == 13


def test_holes_inside_a_worked_area_are_told_from_those_of_ground():
    square = [(7, 7), (33, 7), (33, 33), (7, 33)]
    pricking = pricked(lattice(9, 9), [region(square, "whole")])
    inside = np.abs(pricking.holes - 20).max(axis=1) < 13  # the next ones lie on its edge
    assert (pricking.interior[inside] == 0).all()
    assert (pricking.interior[~inside] == -1).all()


def test_a_ground_area_changes_the_word_of_its_holes():
    square = [(7, 7), (33, 7), (33, 33), (7, 33)]
    other = region(square, "ground", ground="honeycomb")
    pricking = pricked(lattice(9, 9), [other], ground="torchon")
    inside = np.abs(pricking.holes - 20).max(axis=1) < 12
    assert {pricking.ground[k] for k in np.flatnonzero(inside)} == {"honeycomb"}
    assert {pricking.ground[k] for k in np.flatnonzero(~inside)} >= {"torchon"}
    assert pricking.owners == ((),) * len(pricking.holes)


def test_a_line_passes_its_holes_in_order():
    column = line([(0, 45), (0, -5)], "footside")
    (run,) = pricked(lattice(9, 9), lines=[column]).runs
    assert lattice(9, 9)[run.holes].tolist() == [[0, y] for y in (40, 30, 20, 10, 0)]


@pytest.mark.parametrize("size", [0.5, 2.0, 30.0])
def test_spacing_is_the_distance_between_neighbours_in_a_lattice(size):
    holes = lattice(9, 9, size, size)
    assert local_spacing(holes) == pytest.approx(np.sqrt(2) * size)


def test_a_lone_close_pair_does_not_make_a_spacing():
    holes = np.vstack([lattice(9, 9), [20.3, 20.0]])
    assert local_spacing(holes) == pytest.approx(np.sqrt(50))


@pytest.mark.parametrize(("degrees", "down", "right"), [(90, (0, 1), (1, 0)), (0, (1, 0), (0, -1))])
def test_the_right_hand_lies_across_the_working_direction(degrees, down, right):
    """Turn the page until the work comes towards the maker; y runs down the page."""
    pricking = pricked(lattice(3, 3), down_degrees=float(degrees))
    assert pricking.down == pytest.approx(down)
    assert pricking.across == pytest.approx(right)


def test_holes_are_counted_from_one():
    assert str(pricked(lattice(3, 3)).place(0)) == "hole 1 at 0.0, 0.0 mm"


def test_no_holes_are_refused():
    with pytest.raises(PatternError, match="no holes"):
        sort_holes(marked(np.zeros((0, 2))))
