"""The order in which a worker goes from rail to rail."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from render.geometry.polygon import nearest_on_path
from render.plan.rails import LEFT, RIGHT, Course, Rails, Visit

Points = NDArray[np.float64]

# Two visits in a row on one rail cost a turn on the other: dearer than any slant of the rows.
REPEAT = 3.0
# A rail is looked for across an area among so many holes to either side of the place as far along.
ACROSS_FROM = 2
# A tip off the line of one rail by no more than this share of what it is off the other lies on it.
STRAIGHT_ON = 0.25
# What a row that shall lie level costs more for each millimetre that it goes down: from 2.5 on a
# figure on the slant is no longer worked from side to side (measured).
SLANT = 2.0
# A tip nearer than this share of the width to the first hole of a rail is a corner on that rail.
CORNER = 0.4


def lay_course(holes: Points, rails: Rails, *, down: Points | None = None) -> Course:
    """Put the holes of both rails in the order of the worker's visits.

    Parameters
    ----------
    holes
        (N, 2) in mm.
    down
        (2,) unit vector of the work where it goes level by level, and rows shall lie level wherever
        an area is wide or narrow, as in a fan with more pins outside than inside. None for a trail,
        whose rows turn with it.
    """
    visits = _merge(holes, rails, down)
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


def _merge(holes: Points, rails: Rails, down: Points | None) -> tuple[Visit, ...]:
    """Order both rails so that the worker's way is short and goes from side to side.

    Dynamic programming over how many holes of each rail have been visited and on which side the
    worker stands.
    """
    left, right = rails.left, rails.right
    if not left and not right:
        return ()
    way = _Way(holes, rails, down)
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

    def __init__(self, holes: Points, rails: Rails, down: Points | None) -> None:
        self.rails, self.down = rails, down
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
        here, there = self.spot(before, last), self.spot(after, side)
        open_start = before == (0, 0) and not self.rails.standing
        corner = self._near(here, there) or (LEFT, RIGHT)[side] == self.starts_on
        again = corner if open_start else last == side
        return self._row(here, there, self._across_from(before, side) if again else ())

    def price_of_end(self, side: int) -> float:
        """Return the cost of going from the last hole of a side to the end."""
        counts = (len(self.places[0]), len(self.places[1]))
        here, leaving = self.spot(counts, side), self.rails.leaving
        corner = self._near(here, self.bottom) or (LEFT, RIGHT)[side] == self.ends_on
        again = (LEFT, RIGHT)[side] == leaving if leaving else corner
        return self._row(here, self.bottom, self._across_from(counts, side) if again else ())

    def _row(self, here: Points, there: Points, turns: Sequence[Points]) -> float:
        """Return the cost of a row, or of two with a turn without a hole at one of some spots.

        In areas worked level by level these two count as one row, as every other visit does:
        otherwise such turns would gather where an area is wide, or where it is narrow.
        """
        gap = float(np.hypot(*(there - here)))
        if self.down is not None:
            gap += SLANT * abs(float((there - here) @ self.down))
        if not turns:
            return gap
        if self.down is not None:
            ways = [np.hypot(*(turn - here)) + np.hypot(*(there - turn)) for turn in turns]
            gap = float(min(ways)) / 2
        return gap + REPEAT * self.width

    def _near(self, here: Points, there: Points) -> bool:
        return float(np.hypot(*(there - here))) < CORNER * self.width

    def _across_from(self, counts: tuple[int, int], side: int) -> tuple[Points, Points]:
        """Return the spots on the other side between which the worker is after so many holes."""
        other = self.places[1 - side]
        below = other[counts[1 - side]] if counts[1 - side] < len(other) else self.bottom
        return self.spot(counts, 1 - side), below


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
