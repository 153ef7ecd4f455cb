"""Where two trails cross through each other: found from their courses, worked as cloth.

The pairs of one trail are worked in whole stitch through those of the other; then both go on.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from render.geometry.polygon import contains
from render.plan.rails import LEFT, RIGHT, Course
from render.pricking.model import Area, Pricking

Points = NDArray[np.float64]

# A row belongs to a crossing when this share of it lies inside the other trail, and there is a
# crossing where one row of each lies inside as far as this.
PARTLY, WHOLLY = 0.4, 0.75
# Trails that meet nearly head on cannot be worked through each other.
HEAD_ON = np.cos(np.deg2rad(150))


@dataclass(frozen=True, eq=False)
class Lane:
    """One of two trails through a crossing.

    Attributes
    ----------
    area
        The number of its stretch.
    first, last
        Its visits from `first` up to but not including `last` fall to the crossing.
    gates
        (2, 2, 2) where it comes in and where it goes out, each its left and its right side in mm.
    onward
        The side of its first visit after the crossing.
    """

    area: int
    first: int
    last: int
    gates: Points
    onward: int

    @property
    def run(self) -> Points:
        """(2,) unit vector from where it comes in to where it goes out."""
        way = self.gates[1].mean(axis=0) - self.gates[0].mean(axis=0)
        return np.asarray(way / max(float(np.hypot(*way)), 1e-9))

    @property
    def width(self) -> float:
        """How wide it is where it goes out, in mm."""
        return float(np.hypot(*(self.gates[1, 1] - self.gates[1, 0])))

    def lines(self, count: int) -> Points:
        """Return (count, 2, 2) the ways of so many pairs through it, from left to right."""
        share = ((np.arange(count) + 0.5) / count)[:, None, None]
        left, right = self.gates[:, 0], self.gates[:, 1]
        return np.asarray(left + share * (right - left))


@dataclass(frozen=True, eq=False)
class Crossing:
    """Two trails that cross: the first comes from the left of the second.

    Attributes
    ----------
    lanes
        The trail that comes from the maker's left, and the one from the right.
    holes
        Holes inside the square where both lie.
    through
        Whether both are under way together. Otherwise the second one ends before the first and
        begins anew beyond it.
    """

    lanes: tuple[Lane, Lane]
    holes: tuple[int, ...]
    through: bool = True

    @property
    def parted(self) -> tuple[Lane, ...]:
        """The lanes whose visits fall to the crossing."""
        return self.lanes if self.through else self.lanes[1:]

    @property
    def middle(self) -> Points:
        """(2,) in mm."""
        return np.asarray(np.mean([lane.gates for lane in self.lanes], axis=(0, 1, 2)))


def find_crossings(
    pricking: Pricking, courses: Mapping[int, Course], area_of: Mapping[int, int]
) -> list[Crossing]:
    """Find where trails cross through each other.

    Parameters
    ----------
    courses
        The courses of stretches that stand alone.
    area_of
        The area of each.
    """
    found: list[Crossing] = []
    for a, b in combinations(sorted(courses), 2):
        areas = pricking.areas[area_of[a]], pricking.areas[area_of[b]]
        if area_of[a] == area_of[b] or not _near(*areas):
            continue
        for one in _lanes(pricking.holes, a, courses[a], areas[1]):
            for two in _lanes(pricking.holes, b, courses[b], areas[0]):
                pair = _facing(one, two)
                if pair is not None:
                    found.append(Crossing(pair, _holes(pricking, pair, courses, areas)))
    return _apart(found)


def _near(a: Area, b: Area) -> bool:
    (p, q) = a.contours[0], b.contours[0]
    return bool((p.min(axis=0) < q.max(axis=0)).all() and (q.min(axis=0) < p.max(axis=0)).all())


def _lanes(holes: Points, number: int, course: Course, other: Area) -> list[Lane]:
    """Return where a course goes through another area, and comes out again."""
    way = np.array(
        [
            holes[list(course.start)].mean(axis=0),
            *(holes[v.hole] for v in course.visits),
            holes[list(course.end)].mean(axis=0),
        ]
    )
    steps = np.linspace(0.05, 0.95, 19)[:, None, None]
    along = way[:-1] + steps * (way[1:] - way[:-1])
    share = contains(other.contours, along.reshape(-1, 2)).reshape(len(steps), -1).mean(axis=0)
    lanes = []
    inside = np.concatenate([[False], share >= PARTLY, [False]])
    change = np.flatnonzero(inside[1:] != inside[:-1])
    shared = set(other.edge.tolist())
    for first, end in change.reshape(-1, 2).tolist():
        wholly = share[first:end].max() >= WHOLLY
        # Pins at the corners of the square, on the edges of both, fall to it as well.
        last = end - 1
        first, last = _with_corners([v.hole in shared for v in course.visits], first, last)
        if wholly and first >= 2 and last <= len(course.visits) - 2:
            gates = _gates(way, course, first, last)
            lanes.append(Lane(number, first, last, gates, course.visits[last].side))
    return lanes


def _with_corners(shared: list[bool], first: int, last: int) -> tuple[int, int]:
    """Extend a run of visits by shared holes next to it; one that is not shared may lie between."""
    while first > 0 and any(shared[max(first - 2, 0) : first]):
        first -= 1
    while last < len(shared) and any(shared[last : last + 2]):
        last += 1
    return first, last


def _gates(way: Points, course: Course, first: int, last: int) -> Points:
    """Return (2, 2, 2) the last left and right stop before a crossing, the first ones after it."""
    sides = [v.side for v in course.visits]
    before = [_nearest_on(sides, range(first - 1, -1, -1), s) for s in (LEFT, RIGHT)]
    after = [_nearest_on(sides, range(last, len(sides)), s) for s in (LEFT, RIGHT)]
    rows = [
        [way[0] if k is None else way[k + 1] for k in before],
        [way[-1] if k is None else way[k + 1] for k in after],
    ]
    return np.array(rows)


def _nearest_on(sides: list[int], candidates: range, side: int) -> int | None:
    return next((k for k in candidates if sides[k] == side), None)


def _facing(one: Lane, two: Lane) -> tuple[Lane, Lane] | None:
    """Put two lanes in order from left to right; None where they do not cross here."""
    if float(one.run @ two.run) < HEAD_ON:
        return None
    # Each has to come in on one side of the other and go out on the other side.
    for lane, other in ((one, two), (two, one)):
        centre = other.gates.mean(axis=(0, 1))
        aside = [_turn(other.run, gate.mean(axis=0) - centre) for gate in lane.gates]
        if aside[0] * aside[1] >= 0:
            return None
    # With y down the page what comes from the maker's left turns positively to what goes there.
    return (one, two) if _turn(one.run, two.run) > 0 else (two, one)


def _turn(a: Points, b: Points) -> float:
    return float(a[0] * b[1] - a[1] * b[0])


def _holes(
    pricking: Pricking,
    lanes: tuple[Lane, Lane],
    courses: Mapping[int, Course],
    areas: tuple[Area, Area],
) -> tuple[int, ...]:
    """Return the holes that fall to a crossing: those of its visits and those inside both."""
    holes: set[int] = set()
    for lane in lanes:
        course = courses[lane.area]
        holes |= {v.hole for v in course.visits[lane.first : lane.last]}
        for row in course.inner[lane.first : lane.last + 1]:
            spots = pricking.holes[list(row)].reshape(-1, 2)
            both = contains(areas[0].contours, spots) & contains(areas[1].contours, spots)
            holes |= {h for h, here in zip(row, both.tolist(), strict=True) if here}
    return tuple(sorted(holes))


def _apart(found: list[Crossing]) -> list[Crossing]:
    """Keep the crossings that share no rows with one before them."""
    kept: list[Crossing] = []
    for crossing in found:
        clash = any(
            lane.area == other.area and lane.first <= other.last and other.first <= lane.last
            for earlier in kept
            for other in earlier.lanes
            for lane in crossing.lanes
        )
        if not clash:
            kept.append(crossing)
    return kept


def without_crossings(
    course: Course, wanted: tuple[int, ...], lanes: list[Lane], crossed: set[int]
) -> tuple[Course, tuple[int, ...], dict[int, int]]:
    """Take the visits that fall to crossings out of a course.

    Parameters
    ----------
    course, wanted
        As laid; one number of pairs for each visit and the end.
    lanes
        Where it goes through others.
    crossed
        Holes that fall to crossings.

    Returns
    -------
    The course, the pairs it wants, and for each lane, by its `first`, the visit after it.
    """
    gone = {k for lane in lanes for k in range(lane.first, lane.last)}
    kept = [k for k in range(len(course.visits)) if k not in gone]
    rows = [tuple(h for h in course.inner[k] if h not in crossed) for k in [*kept, -1]]
    after = {lane.first: sum(k < lane.first for k in kept) for lane in lanes}
    shorter = replace(course, visits=tuple(course.visits[k] for k in kept), inner=tuple(rows))
    return shorter, tuple(wanted[k] for k in [*kept, -1]), after
