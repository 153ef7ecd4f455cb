"""Make the points of threads as dense as a picture needs them, no more and no less."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from render.shade.view import View
from render.threads.model import ThreadPaths

Numbers = NDArray[np.float64]
Indices = NDArray[np.int64]

# Steps along a thread shorter than this many pixels change nothing that can be seen.
_STEP = 0.5
# Where a thread turns by more than acos(0.85) = 32 degrees at a point, the corner is rounded.
_SHARP = 0.85
# Points are left out where they lie no more pixels than this beside the chord of their neighbours,
# and these no more than so many pixels apart.
_STRAIGHT, _LONGEST = 0.04, 8.0
# Bends that straight pieces would miss by more pixels than this are drawn finer, in pieces of
# about so many pixels.
_MISSED, _FINE = 0.04, 4.0
# Threads are made ready in groups of about so many points.
_TOGETHER = 50_000


@dataclass(frozen=True, eq=False)
class Lines:
    """Unbroken lines of points.

    Attributes
    ----------
    points
        (P, 4): x, y and z in pixels of a view, and the place in the tables of the material.
    line
        (P,) number of the line each point is on, rising.
    thread
        (L,) the thread each line is a part of.
    """

    points: Numbers
    line: Indices
    thread: Indices

    @property
    def joined(self) -> Indices:
        """The points that the next one follows on the same line."""
        return np.flatnonzero(self.line[1:] == self.line[:-1])


def lines(paths: ThreadPaths, view: View, table_mm: Numbers) -> Iterator[Lines]:
    """Turn threads into lines of points fit for a view; what lies far outside is left out.

    Parameters
    ----------
    paths
        The threads, in mm.
    view
        The grid whose pixels are the unit of length.
    table_mm
        (T,) length of each thread that the tables of its material cover.

    Yields
    ------
    The lines of some threads after others: each time so few that they take little memory.
    """
    margin = 4 * float(paths.radius.max(initial=0)) * view.scale + 2 * _FINE
    for group in _groups(paths.starts):
        given = _thinned(_rounded(_as_drawn(paths, group, view, table_mm)))
        yield _refined(_near(_straightened(given), view, margin))


def _groups(starts: Indices) -> list[slice]:
    """Part threads into groups whose points take little memory while they are worked on."""
    group = starts[:-1] // _TOGETHER
    first = np.flatnonzero(np.diff(group, prepend=-1))
    return [slice(a, b) for a, b in pairwise([*first.tolist(), len(group)])]


def _as_drawn(paths: ThreadPaths, group: slice, view: View, table_mm: Numbers) -> Lines:
    """Return the points of some threads, in pixels, with their place in the tables."""
    threads = np.arange(group.start, group.stop)
    own = np.repeat(np.arange(len(threads)), np.diff(paths.starts[group.start : group.stop + 1]))
    given = paths.points[paths.starts[group.start] : paths.starts[group.stop]]
    points = np.empty((len(given), 4))
    points[:, :3] = (given - (view.left, view.top, 0)) * view.scale
    thread = threads[own]
    # No two threads show their twist at the same place: the golden section spreads them best.
    points[:, 3] = _way(given, own) / table_mm[thread] + thread * 0.6180339887
    return Lines(points, own, threads)


def _way(points: Numbers, thread: Indices) -> Numbers:
    """Return the length of each point's thread before it."""
    step = np.sqrt((np.diff(points, axis=0, prepend=points[:1]) ** 2).sum(axis=1))
    first = np.ones(len(points), bool)
    first[1:] = thread[1:] != thread[:-1]
    step[first] = 0.0
    way = np.cumsum(step)
    return way - way[np.flatnonzero(first)[np.cumsum(first) - 1]] if len(way) else way


def _rounded(given: Lines) -> Lines:
    """Cut off sharp corners, each time by a quarter of its legs (Chaikin's rule)."""
    points, line = given.points, given.line
    for _ in range(4):
        step = np.diff(points, axis=0)[:, :2]
        size = np.maximum(np.hypot(step[:, 0], step[:, 1]), 1e-9)
        turn = (step[:-1] * step[1:]).sum(axis=1) / (size[:-1] * size[1:])
        moving = np.minimum(size[:-1], size[1:]) > 1e-6
        corner = np.flatnonzero((line[2:] == line[:-2]) & moving & (turn < _SHARP)) + 1
        if len(corner) == 0:
            break
        copies = np.ones(len(points), np.int64)
        copies[corner] = 2
        source = np.repeat(np.arange(len(points)), copies)
        place = corner + np.arange(len(corner))
        cut = points[source]
        cut[place] = 0.75 * points[corner] + 0.25 * points[corner - 1]
        cut[place + 1] = 0.75 * points[corner] + 0.25 * points[corner + 1]
        points, line = cut, line[source]
    return Lines(points, line, given.thread)


def _thinned(given: Lines) -> Lines:
    """Leave out points closer than the step."""
    points, line = given.points, given.line
    if len(points) == 0:
        return given
    seen = _way(points[:, :2], line)
    bucket = np.floor(seen / _STEP)
    first = np.ones(len(points), bool)
    first[1:] = line[1:] != line[:-1]
    last = np.append(first[1:], True)
    keep = first | (last & (seen > 0))
    keep[1:] |= bucket[1:] != bucket[:-1]
    kept = np.flatnonzero(keep)
    # A last point that falls on the one before it would have no direction.
    close = np.zeros(len(kept), bool)
    close[:-1] = last[kept[1:]] & ~first[kept[:-1]] & (np.diff(seen[kept]) < 1e-3)
    kept = kept[~close]
    return Lines(points[kept], line[kept], given.thread)


def _straightened(given: Lines) -> Lines:
    """Leave out every other point, twice, where its neighbours' chord passes through it."""
    points, line = given.points, given.line
    for _ in range(2):
        if len(points) < 3:
            break
        a, b, c = points[:-2, :3], points[1:-1, :3], points[2:, :3]
        chord = c - a
        size = np.maximum(np.sqrt((chord**2).sum(axis=1)), 1e-9)
        share = ((b - a) * chord).sum(axis=1) / size**2
        off = np.sqrt(((b - a - share[:, None] * chord) ** 2).sum(axis=1))
        straight = (off < _STRAIGHT) & (size < _LONGEST) & (line[2:] == line[:-2])
        straight[1::2] = False
        keep = np.append(np.insert(~straight, 0, True), True)
        points, line = points[keep], line[keep]
    return Lines(points, line, given.thread)


def _near(given: Lines, view: View, margin: float) -> Lines:
    """Leave out what lies further from the view than its light and shade reach."""
    far = margin + 0.5 * max(view.width, view.height) + 10 * margin
    inside = np.ones(len(given.points), bool)
    for axis, size in ((0, view.width), (1, view.height)):
        inside &= (given.points[:, axis] > -far) & (given.points[:, axis] < size + far)
    if inside.all():
        return given
    joined = given.joined
    keep = inside.copy()
    keep[joined] |= inside[joined + 1]
    keep[joined + 1] |= inside[joined]
    kept = np.flatnonzero(keep)
    starts = np.ones(len(kept), bool)
    starts[1:] = (kept[1:] != kept[:-1] + 1) | (given.line[kept[1:]] != given.line[kept[:-1]])
    return Lines(given.points[kept], np.cumsum(starts) - 1, given.thread[given.line[kept[starts]]])


def _refined(given: Lines) -> Lines:
    """Run smooth curves through the points where straight pieces would show as such.

    References
    ----------
    .. E. Catmull, R. Rom, "A class of local interpolating splines", in Computer Aided Geometric
       Design (1974) 317-326
    """
    points, line, joined = given.points, given.line, given.joined
    if len(joined) == 0:
        return given
    step = np.diff(points, axis=0)
    size = np.hypot(step[:, 0], step[:, 1])
    before = np.maximum(np.arange(len(points)) - 1, 0)
    after = np.minimum(np.arange(len(points)) + 1, len(points) - 1)
    before = np.where(line[before] == line, before, np.arange(len(points)))
    after = np.where(line[after] == line, after, np.arange(len(points)))
    span = np.maximum(after - before, 1)[:, None]
    tangent = (points[after] - points[before]) / span
    # A cubic leaves its chord by an eighth of how far its two end tangents differ.
    missed = np.abs(tangent[joined + 1, :3] - tangent[joined, :3]).max(axis=1) / 8
    parts = np.ones(len(points), np.int64)
    wanted = np.ceil(size[joined] / _FINE).astype(np.int64)
    parts[joined] = np.where(missed > _MISSED, np.clip(wanted, 1, 16), 1)
    if parts.max() == 1:
        return given
    source = np.repeat(np.arange(len(points)), parts)
    start = np.cumsum(parts) - parts
    t = ((np.arange(len(source)) - start[source]) / parts[source])[:, None]
    a, b = points[source], points[after[source]]
    curve = a * (1 + 2 * t) * (1 - t) ** 2 + b * t**2 * (3 - 2 * t)
    curve += tangent[source] * t * (1 - t) ** 2 + tangent[after[source]] * t**2 * (t - 1)
    return Lines(curve, line[source], given.thread)
