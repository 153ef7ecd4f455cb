"""Which hole lies on which edge, inside which area, along which line."""

from dataclasses import replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from render.errors import PatternError, Remark
from render.geometry.polygon import (
    contains,
    nearest_on_path,
    opposite_on_path,
    path_length,
)
from render.pattern.model import Line, Pattern, Region
from render.pricking.model import Area, Indices, Points, Pricking, Run
from render.pricking.rim import find_rim
from render.units import parse_gauge_mm

# A hole belongs to an outline within this share of the local spacing: a colouring is laid just
# inside the holes (common practice, no source).
EDGE_REACH = 0.5
# Two holes that stand no further apart than this share of the spacing, each nearer to another
# outline by this share of it, belong to one outline each.
BESIDE, PLAINLY = 0.9, 0.1
# An outline has gone so many times that reach before it passes a hole again.
PASSED_AGAIN = 6.0
# Less along a line, which is drawn over its holes: at half, the next column of a ground at
# 60 degrees stands, and the smallest unevenness would decide.
LINE_REACH = 0.45
# Holes stand about this many thread diameters apart (common practice, no source; a maker tries
# a sample): two pairs lie between two holes with about as much air as thread round them.
DIAMETERS_PER_SPACING = 14
THINNEST_MM, THICKEST_MM = 0.1, 0.6


def sort_holes(pattern: Pattern) -> Pricking:
    """Turn a pattern into a pricking.

    Parameters
    ----------
    pattern
        As read; every region and line must pass at least one hole.

    Raises
    ------
    PatternError
        Where the pattern has no holes.
    """
    if len(pattern.holes) == 0:
        raise PatternError(pattern.name, (Remark("it has no holes: nothing can be worked"),))
    holes = pattern.holes
    spacing = local_spacing(holes)
    areas = _own_holes(
        tuple(_area(region, holes, spacing) for region in pattern.regions), holes, spacing
    )
    runs = tuple(_run(line, holes, spacing) for line in pattern.lines)
    owners: list[list[int]] = [[] for _ in holes]
    interior = np.full(len(holes), -1, np.int64)
    ground = [pattern.ground] * len(holes)
    remarks = list(pattern.remarks)
    for number, area in enumerate(areas):
        if area.stitch == "ground":
            word = area.options.get("ground", pattern.ground)
            for hole in np.concatenate([area.edge, area.inside]):
                ground[hole] = word
        elif area.worked:
            interior[area.inside] = number
            for hole in area.edge:
                owners[hole].append(number)
        elif area.stitch == "open":
            interior[area.inside] = number
        else:
            remarks.append(
                Remark("too few holes on its edge for a worker: worked as ground", area.place)
            )
    radians = np.deg2rad(pattern.down_degrees)
    down = np.round(np.array([np.cos(radians), np.sin(radians)]), 12)
    return Pricking(
        name=pattern.name,
        holes=holes,
        spacing=spacing,
        down=down,
        areas=areas,
        runs=runs,
        ground=tuple(ground),
        owners=tuple(tuple(o) for o in owners),
        interior=interior,
        gauge_mm=_gauge_mm(pattern, spacing),
        repeat=pattern.repeat,
        leg_twists=pattern.leg_twists,
        remarks=tuple(remarks),
    )


def suitable_gauge_mm(spacing: NDArray[np.float64]) -> float:
    """Return the diameter in mm of a thread that suits holes so far apart, in mm."""
    usual = float(np.median(spacing)) / DIAMETERS_PER_SPACING
    return min(max(usual, THINNEST_MM), THICKEST_MM)


def _gauge_mm(pattern: Pattern, spacing: NDArray[np.float64]) -> float:
    if pattern.gauge_mm is not None:
        return pattern.gauge_mm
    if pattern.thread is not None:
        return parse_gauge_mm(pattern.thread)
    return suitable_gauge_mm(spacing)


def local_spacing(holes: Points) -> NDArray[np.float64]:
    """Return the usual distance in mm from each of (N, 2) holes to its neighbours.

    The median, over the hole and its nearest neighbours, of the distance to the second
    nearest: a lone close pair does not make a spacing.
    """
    count = len(holes)
    if count < 3:
        gap = float(np.hypot(*(holes[-1] - holes[0]))) if count == 2 else 0.0
        return np.full(count, gap or 2.0)
    near = min(count, 7)
    found = cKDTree(holes).query(holes, k=near)
    distance, neighbours = np.asarray(found[0]), np.asarray(found[1])
    return np.asarray(np.median(distance[:, 2][neighbours], axis=1))


def _along(path: Points, holes: Points, spacing: NDArray[np.float64], *, closed: bool) -> Indices:
    """Return the holes on a path in its order.

    A hole between two parts of one outline, as where a trail comes back beside itself, is on both.
    """
    reach = (EDGE_REACH if closed else LINE_REACH) * spacing
    margin = float(reach.max())
    low, high = path.min(axis=0) - margin, path.max(axis=0) + margin
    near = np.flatnonzero(((holes >= low) & (holes <= high)).all(axis=1))
    if not len(near):
        return near.astype(np.int64)
    distance, along = nearest_on_path(path, holes[near], closed=closed)
    on = distance <= reach[near]
    near, along = near[on], along[on]
    if closed:
        again, there = _passed_again(path, holes[near], along, reach[near])
        near, along = np.concatenate([near, near[again]]), np.concatenate([along, there])
    return near[np.argsort(along, kind="stable")].astype(np.int64)


def _passed_again(
    outline: Points,
    spots: Points,
    along: NDArray[np.float64],
    reach: NDArray[np.float64],
) -> tuple[Indices, NDArray[np.float64]]:
    """Find spots outside an outline that it passes on two opposite sides.

    Parameters
    ----------
    outline
        (n, 2) closed.
    spots
        (N, 2) near it.
    along, reach
        (N,) where on it each is nearest, and how far off it may lie.

    Returns
    -------
    (K,) which spots, and (K,) where on the outline it passes them the second time.
    """
    outside = np.flatnonzero(~contains([outline], spots))
    distance, there = opposite_on_path(outline, spots[outside], reach[outside])
    # A corner that sticks in between is not passed twice.
    apart = np.abs(there - along[outside])
    apart = np.minimum(apart, path_length(outline, closed=True) - apart)
    found = (distance <= reach[outside]) & (apart > PASSED_AGAIN * reach[outside])
    return outside[found], there[found]


def _area(region: Region, holes: Points, spacing: NDArray[np.float64]) -> Area:
    contours = region.contours
    edges = tuple(_along(c, holes, spacing, closed=True) for c in contours)
    inside = _inside(contours, edges, holes)
    if len(contours) == 1 and len(inside) and region.stitch not in ("ground", "open"):
        rim = find_rim(holes, spacing, np.concatenate([*edges, inside]), contours[0])
        if rim is not None:
            contours, edges = (holes[rim],), (rim,)
            inside = _inside(contours, edges, holes)
    return Area(contours, region.stitch, region.place, edges, inside, region.options)


def _inside(contours: tuple[Points, ...], edges: tuple[Indices, ...], holes: Points) -> Indices:
    return np.setdiff1d(np.flatnonzero(contains(contours, holes)), np.concatenate(edges))


def _own_holes(
    areas: tuple[Area, ...], holes: Points, spacing: NDArray[np.float64]
) -> tuple[Area, ...]:
    """Leave each of two areas its own holes where they stand beside each other.

    Holes within reach of both outlines are shared, unless there are two where one would do: then
    the one nearer to an outline is that outline's alone.
    """
    edges = [list(area.edges) for area in areas]
    for a, b in combinations([k for k, area in enumerate(areas) if area.worked], 2):
        shared = np.intersect1d(areas[a].edge, areas[b].edge)
        if len(shared) and not _overlap(areas[a], areas[b]):
            every = np.union1d(areas[a].edge, areas[b].edge)
            off = (_off(areas[a], holes[every]) - _off(areas[b], holes[every])) / spacing[every]
            for other, away in ((b, off), (a, -off)):
                alone = set(every[away < -PLAINLY].tolist())
                rivals = set(every[away > PLAINLY].tolist()) & set(areas[other].edge.tolist())
                given = _beside(alone & set(shared.tolist()), rivals, holes, spacing)
                edges[other] = [edge[~np.isin(edge, given)] for edge in edges[other]]
    return tuple(replace(area, edges=tuple(edge)) for area, edge in zip(areas, edges, strict=True))


def _overlap(one: Area, other: Area) -> bool:
    """Tell whether two areas lie over each other: then they cross, and share what is there."""
    return any(
        bool(contains(a.contours, b.contours[0]).any()) for a, b in ((one, other), (other, one))
    )


def _off(area: Area, spots: Points) -> NDArray[np.float64]:
    """Return how far spots lie from the contours of an area, in mm."""
    off = [nearest_on_path(contour, spots, closed=True)[0] for contour in area.contours]
    return np.asarray(np.min(off, axis=0))


def _beside(
    some: set[int], others: set[int], holes: Points, spacing: NDArray[np.float64]
) -> list[int]:
    """Return those of some holes beside which one of the others stands."""
    if not others:
        return []
    tree = cKDTree(holes[sorted(others)])
    each = sorted(some)
    apart = np.asarray(tree.query(holes[each].reshape(-1, 2))[0])
    return [hole for hole, far in zip(each, apart, strict=True) if far <= BESIDE * spacing[hole]]


def _run(line: Line, holes: Points, spacing: NDArray[np.float64]) -> Run:
    found = _along(line.points, holes, spacing, closed=False)
    return Run(line.points, line.word, line.place, found, line.options)
