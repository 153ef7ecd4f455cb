"""Which pairs a drawn line passes, in its order."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from itertools import count, pairwise

import numpy as np
from numpy.typing import NDArray

from render.geometry.polygon import (
    contains,
    nearest_on_path,
    part_of_path,
    path_length,
    spot_on_path,
)
from render.plan.gaps import Gaps
from render.plan.model import WorkingPlan

Points = NDArray[np.float64]

# A stitch nearer to the line than this share of the spacing of holes is drawn on it, and the line
# goes past; one on the edge of cloth stays with its cloth even from further off.
ON_LINE, ON_EDGE = 0.15, 0.45
# How far two pairs between the same two stitches are parted, in their length.
TWINS_APART = 0.02
# Where a line leaves a leg again on the side it came from, without going further beyond it than
# this share of the spacing, it does not pass.
WOBBLE = 0.25
# So many pairs may have to be passed besides to get from one crossing of the line to the next.
MOST_BESIDE = 4
# And so far off the line, in spacings.
FURTHEST_BESIDE = 1.0
# Ways along a line that differ by no more are one.
SAME_MM = 1e-6


@dataclass(frozen=True)
class Crossed:
    """A leg that the line crosses.

    Attributes
    ----------
    leg
        The leg.
    way
        How far along the line, in mm.
    along
        How far along the leg, 0 to 1.
    rightward
        Whether the line comes from the maker's left.
    at
        (x, y) in mm.
    """

    leg: int
    way: float
    along: float
    rightward: bool
    at: tuple[float, float]


@dataclass(frozen=True)
class Stretch:
    """Legs that are passed one after another without a break.

    Attributes
    ----------
    crossed
        In the order of the line.
    closed
        Whether the way goes on from the last one to the first.
    """

    crossed: tuple[Crossed, ...]
    closed: bool = False


class Way:
    """The legs of a plan as a map for lines.

    Parameters
    ----------
    plan, gaps
        What is worked.
    ends
        (L, 2, 2) where each leg comes from and goes to, in mm.
    open_legs
        (L,) which legs a gimp may pass.
    """

    def __init__(
        self, plan: WorkingPlan, gaps: Gaps, ends: Points, open_legs: NDArray[np.bool_]
    ) -> None:
        self._plan, self._gaps, self.ends, self._open = plan, gaps, ends, open_legs
        goal, source = np.full(len(ends), -1), np.full(len(ends), -1)
        source[plan.given.ravel()] = np.repeat(np.arange(len(plan.moves)), 2)
        self._source = source
        goal[plan.taken.ravel()] = np.repeat(np.arange(len(plan.moves)), 2)
        onward = goal[plan.given]
        self._twins = plan.given[(onward[:, 0] == onward[:, 1]) & (onward[:, 0] >= 0)]
        self._beside: dict[int, list[tuple[int, int, bool]]] = {}
        for leg in np.flatnonzero(open_legs).tolist():
            left, right = int(gaps.left[leg]), int(gaps.right[leg])
            self._beside.setdefault(left, []).append((leg, right, True))
            self._beside.setdefault(right, []).append((leg, left, False))

    def follow(self, path: Points, spacing: float) -> list[Stretch]:
        """Return what a line passes, in stretches that no gimp can join.

        Parameters
        ----------
        path
            (n, 2) in mm; closed where its ends meet.
        spacing
            The usual distance of holes there, in mm.
        """
        ends = self._moved_aside(path, spacing)
        closed = bool((path[0] == path[-1]).all())
        # Once round does not tell how the end of a ring goes on in its beginning.
        track = np.concatenate([path, path[1:]]) if closed else path
        stretches: list[list[Crossed]] = []
        barred = False
        for crossed in self._crossings(track, ends):
            if not self._open[crossed.leg]:
                barred = True
                continue
            last = stretches[-1] if stretches else []
            between = self._between(last, crossed, track, spacing, barred=barred)
            barred = False
            if between is None or not stretches:
                stretches.append([crossed])
                continue
            for one in (*between, crossed):
                _pass(stretches[-1], one, track, ends, spacing)
        stretches = [stretch for stretch in stretches if stretch]
        if closed:
            return self._once_round(stretches, path_length(path))
        return [Stretch(tuple(stretch)) for stretch in stretches]

    def _once_round(self, stretches: list[list[Crossed]], length: float) -> list[Stretch]:
        """Return what is passed on the way round, found by going round twice.

        It begins where the work comes last.
        """
        for stretch in stretches:
            found = _one_round(stretch, length)
            if found:
                moment = self._source[[crossed.leg for crossed in found]]
                last = int((moment + np.roll(moment, 1)).argmax())
                again = [replace(c, way=c.way + length) for c in found[:last]]
                return [Stretch((*found[last:], *again), closed=True)]
        # The first one began in the middle; it comes again, whole, at the end of the first round.
        whole = stretches[1:] or stretches
        beyond = whole[0][0].way + length - SAME_MM if whole else 0.0
        return [Stretch(tuple(stretch)) for stretch in whole if stretch[0].way < beyond]

    def closed_legs(self, path: Points, spacing: float) -> list[Crossed]:
        """Return the legs a line crosses but no gimp may pass, in its order."""
        ends = self._moved_aside(path, spacing)
        return [c for c in self._crossings(path, ends) if not self._open[c.leg]]

    def _sides(self, crossed: Crossed) -> tuple[int, int]:
        """Return the gaps before and after a crossing."""
        left, right = int(self._gaps.left[crossed.leg]), int(self._gaps.right[crossed.leg])
        return (left, right) if crossed.rightward else (right, left)

    def _between(
        self, passed: list[Crossed], crossed: Crossed, path: Points, spacing: float, *, barred: bool
    ) -> list[Crossed] | None:
        """Return what is passed from the last crossing to the next one; None for no way.

        Where the line is barred in between, no way round the whole piece is meant.
        """
        if not passed:
            return []
        here, there = self._sides(passed[-1])[1], self._sides(crossed)[0]
        if here == there:
            return None if barred and here == self._gaps.outer else []
        beside = part_of_path(path, passed[-1].way, crossed.way)
        return self._round(here, there, beside, passed[-1].way, spacing)

    def _round(
        self, here: int, there: int, path: Points, way: float, spacing: float
    ) -> list[Crossed] | None:
        """Find the way from gap to gap that keeps nearest to a line."""
        tie = count()
        queue: list[tuple[float, int, int, tuple[Crossed, ...]]] = [(0.0, next(tie), here, ())]
        done: set[int] = set()
        while queue:
            cost, _, gap, passed = heappop(queue)
            if gap == there:
                return list(passed)
            if gap in done or len(passed) == MOST_BESIDE:
                continue
            done.add(gap)
            for leg, beyond, rightward in self._beside.get(gap, ()):
                if beyond in done or (beyond == self._gaps.outer != there):
                    continue
                along, away = _nearest(self.ends[leg], path)
                if away > FURTHEST_BESIDE * spacing:
                    continue
                x, y = (self.ends[leg, 0] * (1 - along) + self.ends[leg, 1] * along).tolist()
                step = Crossed(leg, way, along, rightward, (x, y))
                price = cost + 0.5 + away / spacing
                heappush(queue, (price, next(tie), beyond, (*passed, step)))
        return None

    def _moved_aside(self, path: Points, spacing: float) -> Points:
        """Return the ends of legs, with stitches that are drawn on the line put beside it."""
        plan = self._plan
        low, high = path.min(axis=0) - spacing, path.max(axis=0) + spacing
        near = np.flatnonzero(((plan.at >= low) & (plan.at <= high)).all(axis=1))
        distance, way = nearest_on_path(path, plan.at[near], closed=False)
        close = distance < np.where(plan.area[near] >= 0, ON_EDGE, ON_LINE) * spacing
        near, way = near[close], way[close]
        ends = self.ends.copy()
        for stitch, along in zip(near.tolist(), way.tolist(), strict=True):
            spot, left = spot_on_path(path, along)
            side = self._side(stitch, spot, left, spacing)
            moved = spot + side * ON_LINE * spacing * left
            ends[plan.given[stitch], 0] = moved
            ends[plan.taken[stitch], 1] = moved
        # Two pairs that go from one stitch to the same next one lie side by side.
        run = ends[self._twins[:, 0], 1] - ends[self._twins[:, 0], 0]
        aside = TWINS_APART * np.stack([run[:, 1], -run[:, 0]], axis=1)[:, None]
        ends[self._twins[:, 0]] -= aside
        ends[self._twins[:, 1]] += aside
        return ends

    def _side(self, stitch: int, spot: Points, left: Points, spacing: float) -> int:
        """Return on which side of the line a stitch stays: 1 the left, -1 the right."""
        area = int(self._plan.area[stitch])
        if area >= 0:
            areas = self._plan.pricking.areas
            beside = spot + ON_EDGE * spacing * np.stack([left, -left])
            inside = contains(areas[area].contours, beside) if area < len(areas) else [False] * 2
            if inside[0] != inside[1]:
                return 1 if inside[0] else -1
        return 1 if (self._plan.at[stitch] - spot) @ left > -0.5 * ON_LINE * spacing else -1

    def _crossings(self, path: Points, ends: Points) -> list[Crossed]:
        """Return every leg the line crosses, in its order."""
        found: list[Crossed] = []
        done = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
        low, high = ends.min(axis=1), ends.max(axis=1)
        about = (low <= path.max(axis=0)).all(axis=1) & (high >= path.min(axis=0)).all(axis=1)
        close = np.flatnonzero(about)
        low, high = low[close], high[close]
        for k, (a, b) in enumerate(pairwise(path)):
            near = (low <= np.maximum(a, b)).all(axis=1) & (high >= np.minimum(a, b)).all(axis=1)
            legs = close[near]
            if not len(legs) or done[k + 1] == done[k]:
                continue
            run, begin = b - a, ends[legs, 0]
            way = ends[legs, 1] - begin
            cross = run[0] * way[:, 1] - run[1] * way[:, 0]
            gap = begin - a
            safe = np.where(cross == 0, 1.0, cross)
            t = (gap[:, 0] * way[:, 1] - gap[:, 1] * way[:, 0]) / safe
            u = (gap[:, 0] * run[1] - gap[:, 1] * run[0]) / safe
            hit = (cross != 0) & (t >= 0) & (t < 1) & (u >= 0) & (u < 1)
            for leg, share, along, turn in zip(
                legs[hit].tolist(), t[hit].tolist(), u[hit].tolist(), cross[hit].tolist(),
                strict=True,
            ):  # fmt: skip
                x, y = (a + share * run).tolist()
                total = float(done[k] + share * (done[k + 1] - done[k]))
                found.append(Crossed(leg, total, along, turn > 0, (x, y)))
        return sorted(found, key=lambda c: (c.way, c.leg))


def _one_round(stretch: Sequence[Crossed], length: float) -> Sequence[Crossed]:
    """Return what is passed until a leg comes again at the same place; nothing where none does."""
    for k, one in enumerate(stretch):
        for n in range(k + 1, len(stretch)):
            if stretch[n].leg == one.leg and abs(stretch[n].way - one.way - length) < SAME_MM:
                return stretch[k:n]
    return ()


def _pass(stretch: list[Crossed], one: Crossed, path: Points, ends: Points, spacing: float) -> None:
    """Take one more crossing into a stretch, or take back the last one where the line wavers."""
    if stretch and stretch[-1].leg == one.leg and stretch[-1].rightward != one.rightward:
        beyond = part_of_path(path, stretch[-1].way, one.way)
        away = nearest_on_path(ends[one.leg], beyond, closed=False)[0]
        if away.max() < WOBBLE * spacing:
            stretch.pop()
            return
    stretch.append(one)


def _nearest(leg: Points, path: Points) -> tuple[float, float]:
    """Return how far along a leg it is nearest to a line, and how far from it there."""
    shares = np.linspace(0.2, 0.8, 7)
    spots = leg[0] + shares[:, None] * (leg[1] - leg[0])
    away = nearest_on_path(path, spots, closed=False)[0]
    best = int(away.argmin())
    return float(shares[best]), float(away[best])
