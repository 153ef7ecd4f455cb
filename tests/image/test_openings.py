"""Meshes of ground, counted and measured in the picture and on the settled threads.

How many meshes a lattice has is counted in columns and half rows. That torchon ground has meshes
with four sides and point ground such with six: J. Edkins, *Bobbin lace*, web handbook, 2002-22.
Honeycomb ground has large openings and small ones: Th. de Dillmont, *Encyclopedia of Needlework*,
English edition, 1886, fig. 791. A regular ground has even meshes: common practice, no source.
"""

from functools import lru_cache

import numpy as np
import pytest
import shapely
from scipy import ndimage

from render.plan.work import plan_work
from render.settle.settle import STATES, settle
from render.shade.sight import coverage
from render.shade.view import View
from render.threads.replay import lay_threads
from tests.lattices import arc
from tests.pieces import lattice_places, pricked, spots

COLUMNS, ROWS, DPI = 9, 11, 200
# Pitches in mm: 45 degrees, and about 60 degrees for point ground.
STEPS = {"point": (1.5, 2.5)}
# A corner of a mesh stands out by at least this share of the side of a square as large.
CORNER = 0.09


def inside(c, r):
    return 0 < c < COLUMNS - 1 and 0 < r < ROWS - 1


# Between the holes of a lattice, and along its edges, lie meshes at all places of the other parity.
MESHES = [(c, r) for r in range(1, ROWS - 1) for c in range(COLUMNS) if (c + r) % 2 == 1]


@lru_cache
def settled(word, state, share=14):
    step = STEPS.get(word, (2.5, 2.5))
    pricking = pricked(spots(lattice_places(COLUMNS, ROWS), *step), ground=word)
    gauge = float(np.median(pricking.spacing)) / share
    return settle(lay_threads(plan_work(pricking)), gauge_mm=gauge, state=state), step


def openings(paths, step):
    """Return the areas in mm² of what light falls through, but for chinks within stitches."""
    low, high = paths.points[:, :2].min(axis=0) - 1, paths.points[:, :2].max(axis=0) + 1
    scale = DPI / 25.4
    width, height = np.ceil((high - low) * scale).astype(int)
    view = View(float(low[0]), float(low[1]), scale, int(width), int(height))
    clear = coverage(paths, view) < 0.5
    label, count = ndimage.label(clear)
    size = ndimage.sum_labels(clear, label, np.arange(1, count + 1)) / scale**2
    outside = label[0, 0] - 1
    return np.sort(np.delete(size, outside))[::-1], 0.15 * 2 * step[0] * step[1]


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("word", ["torchon", "twisted", "doubled", "point", "brussels"])
def test_a_lattice_has_one_opening_for_each_mesh(word, state):
    paths, step = settled(word, state)
    areas, chink = openings(paths, step)
    assert (areas > chink).sum() == len(MESHES)


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("word", ["torchon", "twisted", "doubled", "point", "brussels"])
def test_the_meshes_inside_a_regular_ground_are_even(word, state):
    """Meshes along the edges are halved: they are the smallest, and left out."""
    paths, step = settled(word, state)
    areas = openings(paths, step)[0][: sum(inside(c, r) for c, r in MESHES)]
    full = meshes(paths, step)
    assert np.std([m.area for m in full]) < 0.02 * np.mean([m.area for m in full])
    assert areas.min() > 0.5 * areas.max()


@pytest.mark.parametrize("state", STATES)
def test_honeycomb_has_a_large_opening_at_each_gap_and_small_ones_between(state):
    """Full lines of holes alternate with lines that lack every second one.

    At a gap two pairs hang straight down, so that the mesh above it is one with the mesh below;
    between a full column and a hole of the next one, a small one is left.
    """
    across, down, rows = 2.6, 1.5, 21
    full = [(c, r) for c in range(1, COLUMNS, 2) for r in range(0, rows, 2)]
    gapped = [(c, r) for c in range(0, COLUMNS, 2) for r in range(1, rows, 2)]
    held = [(c, r) for c, r in gapped if r % 4 == 1 + c % 4]
    plan = plan_work(pricked(spots(full + held, across, down), ground="honeycomb"))
    paths = settle(lay_threads(plan), gauge_mm=0.2, state=state)
    found = [m for m in interiors(paths) if m.area > 0.1 * across * down]
    window = [(c, r) for r in range(3, rows - 3) for c in range(1, COLUMNS - 1)]
    gaps = spots([p for p in window if p in set(gapped) - set(held)], across, down)
    aside = {(c, r): 1 if (c + 1, r) in held else -1 for c, r in window if c % 2 == r % 2 == 1}
    between = spots([(c + 0.4 * side, r) for (c, r), side in aside.items()], across, down)
    large = [m for m in found if shapely.contains_xy(m, *gaps.T).any()]
    small = [m for m in found if shapely.contains_xy(m, *between.T).any()]
    assert [len(large), len(small)] == [len(gaps), len(between)]
    assert {shapely.contains_xy(m, *gaps.T).sum() for m in large} == {1}
    assert min(m.area for m in large) > 2 * max(m.area for m in small)
    assert np.std([m.area for m in large]) < 0.05 * np.mean([m.area for m in large])


def interiors(paths):
    """Return the openings between threads as polygons."""
    lines = [shapely.LineString(paths.thread(t)[:, :2]) for t in range(len(paths.radius))]
    body = shapely.union_all(shapely.buffer(lines, paths.radius[0], quad_segs=4))
    return [shapely.Polygon(ring) for part in shapely.get_parts(body) for ring in part.interiors]


def meshes(paths, step):
    """Return the openings well inside the ground, but for chinks within stitches."""
    window = shapely.box(
        1.5 * step[0], 1.5 * step[1], (COLUMNS - 2.5) * step[0], (ROWS - 2.5) * step[1]
    )
    large = [m for m in interiors(paths) if m.area > 0.15 * 2 * step[0] * step[1]]
    return [m for m in large if window.contains(m.centroid)]


def sides(mesh):
    """Count the corners that stand out, beginning with the one farthest from the middle."""
    points = np.array(mesh.exterior.coords)[:-1]
    far = np.hypot(*(points - points.mean(axis=0)).T).argmax()
    turned = shapely.Polygon(np.roll(points, -far, axis=0))
    return len(turned.simplify(CORNER * np.sqrt(mesh.area)).exterior.coords) - 1


@pytest.mark.parametrize("share", [11, 14, 20])
@pytest.mark.parametrize(("word", "corners"), [("torchon", 4), ("twisted", 4), ("point", 6)])
def test_finished_meshes_have_the_sides_of_their_ground(word, corners, share):
    found = meshes(*settled(word, "finished", share))
    assert len(found) > 10
    assert {sides(mesh) for mesh in found} == {corners}


def test_point_ground_at_sixty_degrees_to_its_edge_has_six_sided_meshes():
    """The usual pricking of point ground (common practice, no source)."""
    step = (2.25, 1.3)
    plan = plan_work(pricked(spots(lattice_places(COLUMNS, ROWS), *step), ground="point"))
    paths = settle(lay_threads(plan), gauge_mm=0.18, state="finished")
    found = meshes(paths, step)
    assert len(found) > 10
    assert {sides(mesh) for mesh in found} == {6}


def test_a_square_and_a_hexagon_are_told_apart():
    """The judge itself, on figures with rounded corners."""
    turn = np.linspace(0, 2 * np.pi, 7)[:-1]
    hexagon = shapely.Polygon(np.column_stack([np.cos(turn), np.sin(turn)]))
    for figure, corners in ((shapely.box(-1, -1, 1, 1), 4), (hexagon, 6)):
        assert sides(figure.buffer(-0.15).buffer(0.15, quad_segs=6)) == corners


def test_meshes_of_a_bent_ground_widen_outward_and_none_is_lost():
    bent = arc(90, 7, 21)
    paths = settle(lay_threads(plan_work(pricked(bent.holes))), gauge_mm=0.3, state="finished")
    areas, _ = openings(paths, (4.0, 4.0))
    count = sum((c + r) % 2 == 1 for r in range(1, 20) for c in range(7))
    assert (areas > 0.1 * 2 * 4.0 * 4.0).sum() == count
