"""Follow the middle of pen lines, over crossings and round loops."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from render.scan.model import Points
from render.scan.outline import simplify

Mask = NDArray[np.bool_]

AROUND = ((-1, 0), (-1, 1), (0, 1), (1, 1), (1, 0), (1, -1), (0, -1), (-1, -1))
EIGHT = np.ones((3, 3), bool)
STRAIGHT_ON_DEGREES = 50.0
STRAYED = 0.08  # spacings by which the holes on a line make its middle stray


@dataclass(eq=False)
class _Arc:
    """A piece of a middle line between crossings, and the crossing (0: none) at each end."""

    points: Points
    first: int
    last: int

    def reversed(self) -> "_Arc":
        return _Arc(self.points[::-1], self.last, self.first)


def centrelines(mask: Mask, radius: float, spacing: float) -> list[Points]:
    """Return the middle lines of a connected shape drawn with a pen.

    Parameters
    ----------
    mask
        (R, C); its outermost cells are false.
    radius
        Half the width of the pen in cells.
    spacing
        From hole to hole in cells.

    Returns
    -------
    Open polylines of (column, row), (n, 2) each. Two lines that cross go on straight over the
    crossing; a loop begins and ends at the same point.
    """
    middle = thin(mask)
    arcs = _arcs(middle)
    arcs = _one_crossing(_pruned(arcs, 2.0 * radius), 4.0 * radius)
    lines = _straight_on(arcs, max(4.0 * radius, 4.0))
    smooth = [_to_tips(_smoothed(line, radius), mask, radius) for line in lines]
    long = [line for line in smooth if np.hypot(*np.diff(line, axis=0).T).sum() > 0.7 * spacing]
    return [simplify(line, STRAYED * spacing) for line in long or smooth[:1]]


def thin(mask: Mask) -> Mask:
    """Thin a mask to lines one cell wide, without the corners of their steps.

    References
    ----------
    .. T. Y. Zhang, C. Y. Suen, "A fast parallel algorithm for thinning digital patterns",
       Communications of the ACM 27 (1984) 236-239
    """
    thinned = mask.copy()
    while True:
        before = int(thinned.sum())
        for step in (0, 1):
            p = [np.roll(thinned, (-dr, -dc), (0, 1)) for dr, dc in AROUND]
            count = np.sum(p, axis=0)
            changes = sum(~p[k] & p[(k + 1) % 8] for k in range(8, 16) for k in [k % 8])
            north, east, south, west = p[0], p[2], p[4], p[6]
            if step == 0:
                open_side = ~(north & east & south) & ~(east & south & west)
            else:
                open_side = ~(north & east & west) & ~(north & south & west)
            thinned &= ~((count >= 2) & (count <= 6) & (changes == 1) & open_side)
        if int(thinned.sum()) == before:
            return _without_corners(thinned)


def _without_corners(line: Mask) -> Mask:
    """Drop every cell whose neighbours hold together without it and are more than one."""
    for r, c in np.argwhere(line):
        around = line[r - 1 : r + 2, c - 1 : c + 2].copy()
        around[1, 1] = False
        if around.sum() >= 2 and ndimage.label(around, EIGHT)[1] == 1:
            line[r, c] = False
    return line


def _arcs(middle: Mask) -> list[_Arc]:
    """Cut a middle line at its crossings."""
    count = ndimage.convolve(middle.astype(int), EIGHT.astype(int), mode="constant") - 1
    crossing = middle & (count >= 3)
    crossings = np.asarray(ndimage.label(crossing, EIGHT)[0], np.int32)
    pieces, total = ndimage.label(middle & ~crossing, EIGHT)
    arcs = []
    for number, box in enumerate(ndimage.find_objects(pieces, total), 1):
        corner = np.array([box[0].start, box[1].start])
        cells = np.argwhere(pieces[box] == number) + corner
        path = _walk(cells)
        # A piece of one cell may touch a crossing on either side.
        ends = [min(_crossings_at(crossings, path[0])), max(_crossings_at(crossings, path[-1]))]
        if len(path) > 1:
            ends[0] = max(_crossings_at(crossings, path[0]))
        if ends == [0, 0] and len(path) > 4 and np.abs(path[0] - path[-1]).max() <= 1:
            path = np.vstack([path, path[:1]])
        arcs.append(_Arc(path[:, ::-1].astype(float), *ends))
    return _to_middle(arcs, crossings)


def _walk(cells: NDArray[np.intp]) -> NDArray[np.intp]:
    """Put the cells of a line in order, from its first end."""
    left = {(int(r), int(c)) for r, c in cells}
    neighbours = {
        cell: [(cell[0] + dr, cell[1] + dc) for dr, dc in AROUND
               if (cell[0] + dr, cell[1] + dc) in left]
        for cell in left
    }  # fmt: skip
    here = min(left, key=lambda cell: (len(neighbours[cell]), cell))
    path = [here]
    left.discard(here)
    while True:
        onward = [cell for cell in neighbours[here] if cell in left]
        if not onward:
            return np.array(path)
        # A step to the side before one across a corner, so that no cell is left out.
        here = min(onward, key=lambda cell: abs(cell[0] - here[0]) + abs(cell[1] - here[1]))
        path.append(here)
        left.discard(here)


def _crossings_at(crossings: NDArray[np.int32], cell: NDArray[np.intp]) -> list[int]:
    """Return the numbers of the crossings next to a cell, 0 where there is none."""
    r, c = int(cell[0]), int(cell[1])
    around = np.unique(crossings[max(r - 1, 0) : r + 2, max(c - 1, 0) : c + 2])
    return around[around > 0].tolist() or [0]


def _to_middle(arcs: list[_Arc], crossings: NDArray[np.int32]) -> list[_Arc]:
    """Lengthen arcs to the middle of the crossings they end at."""
    numbers = np.arange(1, int(crossings.max(initial=0)) + 1)
    middles = np.array([(0, 0), *ndimage.center_of_mass(crossings > 0, crossings, numbers)], float)
    middles = middles[:, ::-1]
    for arc in arcs:
        before = [middles[arc.first]] if arc.first else []
        after = [middles[arc.last]] if arc.last else []
        arc.points = np.vstack([*before, arc.points, *after])
    return arcs


def _length(arc: _Arc) -> float:
    """Return how long an arc is."""
    return float(np.hypot(*np.diff(arc.points, axis=0).T).sum())


def _pruned(arcs: list[_Arc], short: float) -> list[_Arc]:
    """Drop the stubs that thinning leaves at the ends and sides of a broad line."""
    kept = [
        arc for arc in arcs
        if _length(arc) > short or (arc.first > 0) == (arc.last > 0)
    ]  # fmt: skip
    return kept or arcs


def _one_crossing(arcs: list[_Arc], short: float) -> list[_Arc]:
    """Draw together the two forks that thinning makes of a crossing of broad lines."""
    same = {number: number for arc in arcs for number in (arc.first, arc.last)}
    for arc in arcs:
        if arc.first and arc.last and arc.first != arc.last and _length(arc) < short:
            old, new = same[arc.last], same[arc.first]
            same = {number: new if now == old else now for number, now in same.items()}
    kept = [
        arc for arc in arcs
        if not arc.first or same[arc.first] != same[arc.last] or _length(arc) >= short
    ]  # fmt: skip
    for arc in kept:
        arc.first, arc.last = same[arc.first], same[arc.last]
    return kept or arcs


def _straight_on(arcs: list[_Arc], sight: float) -> list[Points]:
    """Join the arcs that go straight on over a crossing."""
    arcs = list(arcs)
    while True:
        best, pair = STRAIGHT_ON_DEGREES, None
        for i, one in enumerate(arcs):
            for j in range(i + 1, len(arcs)):
                for a in (one, one.reversed()):
                    for b in (arcs[j], arcs[j].reversed()):
                        if a.last and a.last == b.first:
                            turn = _turn(a.points, b.points, sight)
                            if turn < best:
                                best, pair = turn, (i, j, a, b)
        if pair is None:
            return [arc.points for arc in arcs]
        i, j, a, b = pair
        joined = _Arc(np.vstack([a.points, b.points[1:]]), a.first, b.last)
        arcs = [arc for k, arc in enumerate(arcs) if k not in (i, j)] + [joined]


def _turn(a: Points, b: Points, sight: float) -> float:
    """Return by how many degrees the way turns from the end of one line into another."""
    end, start = a[-1], b[0]
    back = a[max(len(a) - 1 - int(sight), 0)]
    ahead = b[min(int(sight), len(b) - 1)]
    come, go = end - back, ahead - start
    cross, dot = come[0] * go[1] - come[1] * go[0], float(come @ go)
    return float(np.degrees(abs(np.arctan2(cross, dot))))


def _to_tips(line: Points, mask: Mask, radius: float) -> Points:
    """Lengthen a line to where the pen was set down, as its end may have been a fork."""
    if (line[0] == line[-1]).all():
        return line
    for backwards in (True, False):
        way = line[::-1] if backwards else line
        run = way[-1] - way[max(len(way) - 1 - int(4 * radius), 0)]
        run = run / max(float(np.hypot(*run)), 1e-9)
        steps = way[-1] + np.arange(1, int(4 * radius) + 2)[:, None] * run
        column, row = np.rint(steps + radius * run).astype(int).T
        within = (row >= 0) & (column >= 0) & (row < mask.shape[0]) & (column < mask.shape[1])
        inside = np.zeros(len(steps), bool)
        inside[within] = mask[row[within], column[within]]
        count = int(np.logical_and.accumulate(inside).sum())
        longer = np.vstack([way, steps[count - 1 : count]])
        line = longer[::-1] if backwards else longer
    return line


def _smoothed(line: Points, radius: float) -> Points:
    """Take the steps between cells out of a line, ends held."""
    if len(line) < 4:
        return line
    closed = bool((line[0] == line[-1]).all())
    width = max(0.8 * radius, 1.0)
    if closed:
        around = ndimage.gaussian_filter1d(line[:-1], width, axis=0, mode="wrap")
        return np.vstack([around, around[:1]])
    reach = int(4 * width)
    before = 2 * line[0] - line[1 : reach + 1][::-1]
    after = 2 * line[-1] - line[-reach - 1 : -1][::-1]
    held = np.vstack([before, line, after])
    smooth: Points = ndimage.gaussian_filter1d(held, width, axis=0)
    return smooth[len(before) : len(before) + len(line)]
