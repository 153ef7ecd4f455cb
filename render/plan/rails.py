"""The way of a worker through an area: its rails and the order of their holes."""

from collections.abc import Iterator
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
# Two visits in a row on one rail cost a turn on the other: dearer than any slant of the rows.
REPEAT = 3.0
# A way across an area may lie outside by this share of the usual distance of its holes.
ACROSS = 0.07
# A rail is looked for across an area among so many holes to either side of the place as far along.
ACROSS_FROM = 2
# A tip off the line of one rail by no more than this share of what it is off the other lies on it.
STRAIGHT_ON = 0.25
# A tip nearer than this share of the width to the first hole of a rail is a corner on that rail.
CORNER = 0.4


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


def lay_course(holes: Points, rails: Rails) -> Course:
    """Put the holes of both rails in the order of the worker's visits."""
    visits = _merge(holes, rails)
    ends_on = _rail_of_tip(holes, rails.left[::-1], rails.right[::-1], rails.end)
    return Course(rails.start, visits, tuple(reversed(rails.end)), ends_on=ends_on)


def _rail_of_tip(
    holes: Points, left: tuple[int, ...], right: tuple[int, ...], tip: tuple[int, ...]
) -> int:
    """Return the rail that runs straight on to a tip, 0 where it lies between both.

    Parameters
    ----------
    left, right
        From the tip on.
    """
    if len(tip) > 1 or min(len(left), len(right)) < 2:
        return 0
    spot = holes[tip[0]]
    aside = []
    for rail in (left, right):
        run = holes[rail[0]] - holes[rail[1]]
        way = spot - holes[rail[0]]
        aside.append(abs(run[0] * way[1] - run[1] * way[0]) / max(float(np.hypot(*run)), 1e-9))
    width = float(np.hypot(*(holes[left[0]] - holes[right[0]])))
    if min(aside) < STRAIGHT_ON * max(aside) and max(aside) > width / 2:
        return LEFT if aside[0] < aside[1] else RIGHT
    return 0


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


def _merge(holes: Points, rails: Rails) -> tuple[Visit, ...]:
    """Order both rails so that the worker's way is short and goes from side to side.

    Dynamic programming over how many holes of each rail have been visited and on which side the
    worker stands.
    """
    left, right = rails.left, rails.right
    if not left and not right:
        return ()
    way = _Way(holes, rails)
    came: dict[tuple[int, int, int], int] = {}
    standing = (0, 1) if not rails.standing else (int(rails.standing == RIGHT),)
    cost: dict[tuple[int, int, int], float] = {(0, 0, s): 0.0 for s in standing}
    for i, j in way.states():
        for side in (0, 1):
            if (i, j)[side] == 0:
                continue
            before = (i - 1, j) if side == 0 else (i, j - 1)
            known = [
                (cost[(*before, s)] + way.price(before, s, side), s)
                for s in (0, 1)
                if (*before, s) in cost
            ]
            if known:
                cost[(i, j, side)], came[(i, j, side)] = min(known)
    i, j = len(left), len(right)
    side = min(
        (s for s in (0, 1) if (i, j, s) in cost),
        key=lambda s: cost[(i, j, s)] + way.price_of_end(s),
    )
    visits: list[Visit] = []
    while (i, j) != (0, 0):
        visits.append(Visit((left, right)[side][(i, j)[side] - 1], (LEFT, RIGHT)[side]))
        origin = came[(i, j, side)]
        i, j = (i - 1, j) if side == 0 else (i, j - 1)
        side = origin
    return tuple(reversed(visits))


class _Way:
    """What the steps of a worker between two rails cost."""

    def __init__(self, holes: Points, rails: Rails) -> None:
        self.rails = rails
        left, right = (holes[list(r)].reshape(-1, 2) for r in (rails.left, rails.right))
        self.places = (left, right)
        self.top = holes[list(rails.start)].mean(axis=0)
        self.bottom = holes[list(rails.end)].mean(axis=0)
        self.width = _typical_width(self.places, self.top, self.bottom, rails)
        self.starts_on = _rail_of_tip(holes, rails.left, rails.right, rails.start)
        self.ends_on = _rail_of_tip(holes, rails.left[::-1], rails.right[::-1], rails.end)

    def states(self) -> Iterator[tuple[int, int]]:
        """Yield how many holes of each rail may have been visited, in rising order."""
        n, m = len(self.places[0]), len(self.places[1])
        window = max(8, abs(n - m) + 8)
        for i in range(n + 1):
            expected = i * m / n if n else 0
            low = max(0, int(expected - window)) if n else 0
            high = min(m, int(expected + window) + 1) if n else m
            for j in range(low, high + 1):
                yield i, j

    def spot(self, counts: tuple[int, int], side: int) -> Points:
        """Return where the worker stands on a side after so many holes."""
        count = counts[side]
        return np.asarray(self.places[side][count - 1] if count else self.top)

    def price(self, before: tuple[int, int], last: int, side: int) -> float:
        """Return the cost of going on to the next hole of a side."""
        after = (before[0] + (side == 0), before[1] + (side == 1))
        gap = float(np.hypot(*(self.spot(after, side) - self.spot(before, last))))
        open_start = before == (0, 0) and not self.rails.standing
        corner = gap < CORNER * self.width or (LEFT, RIGHT)[side] == self.starts_on
        again = corner if open_start else last == side
        return gap + REPEAT * self.width if again else gap

    def price_of_end(self, side: int) -> float:
        """Return the cost of going from the last hole of a side to the end."""
        counts = (len(self.places[0]), len(self.places[1]))
        gap = float(np.hypot(*(self.bottom - self.spot(counts, side))))
        leaving = self.rails.leaving
        corner = gap < CORNER * self.width or (LEFT, RIGHT)[side] == self.ends_on
        again = (LEFT, RIGHT)[side] == leaving if leaving else corner
        return gap + REPEAT * self.width if again else gap


def _typical_width(
    places: tuple[Points, Points], top: Points, bottom: Points, rails: Rails
) -> float:
    """Return how far the rails usually lie apart.

    A tip from which a worker comes on one side belongs to that rail and not to the other.
    """
    left, right = places
    if not (len(left) and len(right)):
        return float(np.hypot(*(bottom - top)))
    if not set(rails.left).isdisjoint(rails.right):
        # Where an area lies beside itself a rail may be nearer to another turn than across it.
        return _width_across(left, right)
    path = [*([] if rails.standing else [top]), *right, *([] if rails.leaving else [bottom])]
    if len(path) == 1:
        return float(np.median(np.hypot(*(left - path[0]).T)))
    return float(np.median(nearest_on_path(np.array(path), left, closed=False)[0]))


def _width_across(left: Points, right: Points) -> float:
    """Return how far rails usually lie apart, each hole seen from those as far along."""
    apart = []
    for k, spot in enumerate(left):
        level = k * (len(right) - 1) / max(len(left) - 1, 1)
        low, high = int(max(level - ACROSS_FROM, 0)), int(level + ACROSS_FROM) + 1
        apart.append(np.hypot(*(right[low:high] - spot).T).min())
    return float(np.median(apart))
