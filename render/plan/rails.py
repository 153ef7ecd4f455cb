"""The way of a worker through an area: its rails and the order of their holes."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import shortest_path

from render.geometry.polygon import contains, nearest_on_path, opposite_on_path, signed_area
from render.geometry.segments import any_crossed
from render.plan.turning import middle_of
from render.pricking.model import Area, Pricking

Points = NDArray[np.float64]
LEFT, RIGHT = -1, 1

# Holes are level that differ by less than this share of the way from one to the next.
LEVEL = 0.2
# A way across an area may lie outside by this share of the usual distance of its holes.
ACROSS = 0.07


@dataclass(frozen=True)
class Visit:
    """A hole the worker goes to, on its left (-1) or right (+1) rail."""

    hole: int
    side: int


@dataclass(frozen=True)
class Course:
    """How an area is gone through.

    Attributes
    ----------
    start, end
        Holes of the first and the last tip from left to right; several where the area begins or
        ends flat.
    visits
        The holes between, in working order.
    inner
        For each row (the way to visit i, counted from 0; the way to the end last) the holes
        inside the area that it passes nearest.
    begins, ends
        False where its pairs come from another course, or go over into one: its tip is then no
        stop of its own.
    ends_on
        The rail on which its last hole lies, 0 where it lies between both.
    """

    start: tuple[int, ...]
    visits: tuple[Visit, ...]
    end: tuple[int, ...]
    inner: tuple[tuple[int, ...], ...] = ()
    begins: bool = True
    ends: bool = True
    ends_on: int = 0


@dataclass(frozen=True)
class Rails:
    """The holes on either side of a worker's way, in working order.

    Attributes
    ----------
    start, end
        Holes of the first and the last tip, clockwise: the start from left to right, the end from
        right to left.
    left, right
        The holes between.
    standing, leaving
        The side on which the worker stands when it begins, and on which it has to arrive; 0 for
        either.
    """

    start: tuple[int, ...]
    left: tuple[int, ...]
    right: tuple[int, ...]
    end: tuple[int, ...]
    standing: int = 0
    leaving: int = 0


def find_rails(
    pricking: Pricking,
    area: Area,
    along: Points,
    *,
    level: bool,
    capped: frozenset[int],
    floored: frozenset[int],
    ends: tuple[int, int] | None = None,
) -> Rails:
    """Find the rails of the outline of an area.

    Parameters
    ----------
    area
        With at least two holes on its outline.
    along
        (2,) unit vector in which it is worked.
    level
        Whether it is worked level by level along that vector, otherwise along its own length.
    capped, floored
        Holes that take two pairs from above, or send two down: they can be part of a flat
        beginning or end.
    ends
        The positions along the outline, clockwise, of the first and the last hole where they are
        known.
    """
    around = clockwise(area, 0)
    first, last = ends or _tips(area, pricking.holes[around], along, level=level)
    start = flat_part(around, first, capped)
    taken = frozenset(around[k] for k in start)
    end = flat_part(around, last, floored - taken)
    right = from_to(around, start[-1], end[0])
    left = from_to(around, end[-1], start[0])[::-1]
    tips = (tuple(around[k] for k in part) for part in (start, end))
    return Rails(next(tips), tuple(left), tuple(right), next(tips))


def clockwise(area: Area, contour: int) -> list[int]:
    """Return the holes of a contour in the order that has the left rail on the maker's left.

    With y down the page, a positive outline runs clockwise as seen: from the first tip down the
    right rail.
    """
    edge: list[int] = area.edges[contour].tolist()
    return edge if signed_area(area.contours[contour]) > 0 else edge[::-1]


def _tips(area: Area, spots: Points, along: Points, *, level: bool) -> tuple[int, int]:
    """Return the positions of the first and the last hole along the outline."""
    depth, across = spots @ along, spots @ np.array([along[1], -along[0]])
    if level:
        reach = LEVEL * float(np.median(np.hypot(*(np.roll(spots, -1, axis=0) - spots).T)))
        first, last = (
            np.flatnonzero(sign * depth < (sign * depth).min() + reach) for sign in (1, -1)
        )
        top, bottom = first.tolist(), last.tolist()
        return middle_of(top, across, depth), middle_of(bottom, across, -depth)
    # Where two holes are level, the one further left begins.
    depth = depth + 1e-6 * across
    if _twice(clockwise(area, 0)):
        a, b = _farthest(area.contours[0], _feet(area, spots), exact=True)
    else:
        a, b = _farthest(area.contours[0], spots, exact=False)
    return (a, b) if depth[a] <= depth[b] else (b, a)


def _feet(area: Area, spots: Points) -> Points:
    """Return (n, 2) where its outline passes each of its holes, clockwise.

    A hole passed twice lies between two parts of the area: each passing is a spot of its own.
    """
    outline = area.contours[0]
    _, along = nearest_on_path(outline, spots, closed=True)
    _, again = opposite_on_path(outline, spots)
    around = clockwise(area, 0)
    step = np.hypot(*(np.roll(outline, -1, axis=0) - outline).T)
    far = np.concatenate([[0.0], np.cumsum(step)])
    forward = signed_area(outline) > 0
    for first, last in _twice(around):
        # Along the outline the holes were found in its order.
        low, high = sorted((along[first], again[first]))
        along[first], along[last] = (low, high) if forward else (high, low)
    closed = np.vstack([outline, outline[:1]])
    return np.column_stack([np.interp(along, far, closed[:, k]) for k in (0, 1)])


def _twice(around: list[int]) -> list[tuple[int, int]]:
    """Return the positions of the holes that an outline passes twice."""
    seen: dict[int, int] = {}
    found = []
    for position, hole in enumerate(around):
        if hole in seen:
            found.append((seen[hole], position))
        seen[hole] = position
    return found


def _farthest(outline: Points, spots: Points, *, exact: bool) -> tuple[int, int]:
    """Return the two holes that lie farthest apart along the inside of an outline.

    Distances are measured through a graph of the holes joined to those near them across and along
    the area, so that a bent trail is measured along its bend.

    Parameters
    ----------
    outline
        (m, 2) closed.
    spots
        (n, 2) clockwise on it.
    exact
        Whether no way across may leave the outline. Otherwise holes may lie a little outside.
    """
    count = len(spots)
    sides = np.stack([outline, np.roll(outline, -1, axis=0)], axis=1)
    i, j = np.triu_indices(count, 1)
    apart = np.hypot(*(spots[i] - spots[j]).T)
    near = 0.0 if exact else ACROSS * float(np.median(apart))
    clear = np.ones(len(i), bool)
    for share in np.linspace(0.1, 0.9, 9):
        # Most ways lie inside: how far off the outline they are is asked of the others alone.
        here = np.flatnonzero(clear)
        spot = spots[i[here]] + share * (spots[j[here]] - spots[i[here]])
        beyond = ~contains([outline], spot)
        off = nearest_on_path(outline, spot[beyond], closed=True)[0] >= near
        clear[here[beyond][off]] = False
    if exact:
        clear[clear] = [
            not any_crossed(*_inset(spots[a], spots[b]), sides)
            for a, b in zip(i[clear].tolist(), j[clear].tolist(), strict=True)
        ]
    ring = (j == i + 1) | ((i == 0) & (j == count - 1))
    keep = clear | ring
    graph = coo_array((apart[keep], (i[keep], j[keep])), shape=(count, count))
    length = shortest_path(graph.tocsr(), directed=False)
    a, b = np.unravel_index(int(length.argmax()), length.shape)
    return int(a), int(b)


def _inset(a: Points, b: Points) -> tuple[Points, Points]:
    """Return the ends of a straight piece a little further in."""
    return a + 0.01 * (b - a), b + 0.01 * (a - b)


def flat_part(around: list[int], tip: int, flat: frozenset[int]) -> list[int]:
    """Return the positions of the tip and its neighbours along the outline in a flat end."""
    count = len(around)
    part = [tip]
    if around[tip] not in flat:
        return part
    for step in (1, -1):
        position = (tip + step) % count
        while around[position] in flat and position not in part and len(part) < count - 1:
            part.insert(len(part) if step == 1 else 0, position)
            position = (position + step) % count
    return part


def between(around: list[int], a: int, b: int) -> list[int]:
    """Return the holes after a and before b along the outline."""
    return from_to(around, around.index(a), around.index(b))


def from_to(around: list[int], i: int, j: int) -> list[int]:
    """Return the holes after position i and before position j along the outline."""
    return around[i + 1 : j] if i < j else around[i + 1 :] + around[:j]
