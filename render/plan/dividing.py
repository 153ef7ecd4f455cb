"""An area with openings or lobes: where its stretches begin, divide, join again and end."""

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from render.errors import Remark
from render.plan.lobes import Lobe, find_lobes
from render.plan.rails import LEFT, RIGHT, Rails, between, clockwise, lay_course
from render.plan.stretch import Stretch, Stretches
from render.pricking.model import Area, Pricking

Points = NDArray[np.float64]
# One side of the outline (0), of an opening (its contour) or of a lobe (below 0).
Side = tuple[int, int]

# What happens at a tip, in the order in which it does at one depth.
BEGINS, DIVIDES, JOINS, ENDS = range(4)


class _Tip(NamedTuple):
    """At a hole so deep down a stretch begins, divides, joins another or ends."""

    depth: float
    kind: int
    number: int
    hole: int


@dataclass
class _Chain:
    """Holes down one side of the outline or of an opening, taken from the top as work goes on."""

    holes: list[int]
    depth: list[float]

    def take_to(self, depth: float) -> tuple[int, ...]:
        """Take the holes above a level."""
        count = next((k for k, d in enumerate(self.depth) if d >= depth), len(self.depth))
        taken = tuple(self.holes[:count])
        del self.holes[:count], self.depth[:count]
        return taken


@dataclass
class _Open:
    """A stretch under way: its chains, its holes so far, and how it began."""

    number: int
    sides: tuple[Side, Side]
    start: tuple[int, ...]
    standing: int = 0
    out_of: tuple[int, ...] = ()


def divided(
    pricking: Pricking,
    area: Area,
    rails: Rails,
    openings: list[int],
    along: Points,
    *,
    lobed: bool,
) -> Stretches:
    """Go down an area: one stretch becomes two at the top of an opening, two one at its bottom.

    Parameters
    ----------
    lobed
        Whether its outline may have more tops and bottoms than one.
    """
    sweep = _Sweep(pricking, along)
    tips = sweep.begin(rails, lobed=lobed)
    for k in openings:
        around = clockwise(area, k)
        depth = pricking.holes[around] @ along
        top, bottom = around[int(depth.argmin())], around[int(depth.argmax())]
        if top != bottom:
            sweep.add_opening(k, around, top, bottom)
            tips.append(_Tip(float(depth.min()), DIVIDES, k, top))
            tips.append(_Tip(float(depth.max()), JOINS, k, bottom))
    for tip in sorted(tips):
        sweep.go_to(tip)
    return sweep.finish(rails.end)


class _Sweep:
    """The stretches under way, from left to right, while going down an area."""

    def __init__(self, pricking: Pricking, along: Points) -> None:
        self.pricking = pricking
        self.along, self.across = along, np.array([along[1], -along[0]])
        self.chains: dict[Side, _Chain] = {}
        self.paths: dict[Side, Points] = {}
        self.row: list[_Open] = []
        self.done: dict[int, Stretch] = {}
        self.opened: dict[int, int] = {}
        self.openings: list[tuple[int, int, int]] = []
        self.lobes: dict[int, tuple[int, Side]] = {}
        self.remarks: list[Remark] = []
        self.count = 0

    def begin(self, rails: Rails, *, lobed: bool) -> list[_Tip]:
        """Start with the outline; return what happens where it has lobes."""
        tips: list[_Tip] = []
        left = [rails.start[0], *rails.left, rails.end[-1]]
        right = [rails.start[-1], *rails.right, rails.end[0]]
        for side, rail in ((LEFT, left), (RIGHT, right)):
            lobes = find_lobes(self.pricking.holes[rail], self.along, side) if lobed else []
            tips += self._add_rail(rail, side, lobes)
        self.row = [self._open(((0, LEFT), (0, RIGHT)), rails.start)]
        return tips

    def _add_rail(self, rail: list[int], side: int, lobes: list[Lobe]) -> list[_Tip]:
        """Note the sides of an area and its lobes along a rail; return what happens there."""
        tips: list[_Tip] = []
        key, first = (0, side), 0
        for lobe in lobes:
            number = -1 - len(self.lobes)
            self.lobes[number] = side, key
            self._add_chain(key, rail[first : lobe.deep + 1])
            self._add_chain((number, -side), rail[lobe.deep : lobe.high + 1][::-1])
            kinds = (BEGINS, JOINS) if lobe.is_top else (DIVIDES, ENDS)
            for hole, kind in zip((rail[lobe.high], rail[lobe.deep]), kinds, strict=True):
                depth = float(self.pricking.holes[hole] @ self.along)
                tips.append(_Tip(depth, kind, number, hole))
            key, first = (number, side), lobe.high
        self._add_chain(key, rail[first:])
        return tips

    def add_opening(self, k: int, around: list[int], top: int, bottom: int) -> None:
        """Note the sides of an opening: its left side is the right rail of what runs left of it."""
        self._add_chain((k, RIGHT), [top, *between(around, top, bottom), bottom])
        self._add_chain((k, LEFT), [top, *between(around, bottom, top)[::-1], bottom])

    def go_to(self, tip: _Tip) -> None:
        """Begin, divide, join or end a stretch at a tip of an opening or a lobe."""
        k = tip.number
        if k > 0 and tip.kind == DIVIDES:
            self.opened[k] = self._divide(self._place_of(tip.hole), (k, LEFT), (k, RIGHT), tip.hole)
            message = "the pairs divide here and are worked down both sides of the opening"
            self.remarks.append(Remark(message, self.pricking.place(tip.hole)))
        elif k > 0:
            below = self._join((k, LEFT), tip.hole)
            self.openings.append((self.opened[k], below, k))
        else:
            self._go_to_lobe(tip)

    def _go_to_lobe(self, tip: _Tip) -> None:
        side, before = self.lobes[tip.number]
        beyond, facing = (tip.number, side), (tip.number, -side)
        # From left to right: the sides that a further top, or the rest of the area, begins with.
        top = (facing, beyond) if side == RIGHT else (beyond, facing)
        place = next(n for n, open_ in enumerate(self.row) if before in open_.sides)
        if tip.kind == BEGINS:
            self.row.insert(place + (side == RIGHT), self._open(top, (tip.hole,)))
        elif tip.kind == JOINS:
            self._join(before if side == RIGHT else facing, tip.hole)
        elif tip.kind == DIVIDES:
            ways = (beyond, facing) if side == RIGHT else (facing, beyond)
            self._divide(place, *ways, tip.hole)
        else:
            self._close(self.row.pop(place), (tip.hole,))

    def _divide(self, place: int, left_of: Side, right_of: Side, hole: int) -> int:
        """Let a stretch become two, which face each other with these sides; return its number."""
        above = self.row[place]
        left = self._open((above.sides[0], left_of), (hole,), standing=RIGHT)
        right = self._open((right_of, above.sides[1]), (hole,), standing=LEFT)
        self._close(above, (hole,), into=(left.number, right.number))
        self.row[place : place + 1] = [left, right]
        return above.number

    def _join(self, left_of: Side, hole: int) -> int:
        """Let the stretch with this right side and the next become one; return its number."""
        place = next(n for n, open_ in enumerate(self.row) if open_.sides[1] == left_of)
        left, right = self.row[place : place + 2]
        for side, open_ in ((RIGHT, left), (LEFT, right)):
            self._close(open_, (hole,), leaving=side)
        below = self._open((left.sides[0], right.sides[1]), (hole,))
        below.out_of = (left.number, right.number)
        self.row[place : place + 2] = [below]
        return below.number

    def finish(self, end: tuple[int, ...]) -> Stretches:
        """End the last stretch at the end of the area."""
        (last,) = self.row
        self._close(last, end)
        parts = tuple(self.done[n] for n in range(self.count))
        return Stretches(parts, tuple(self.openings), tuple(self.remarks))

    def _add_chain(self, key: Side, path: list[int]) -> None:
        """Note a side from its first tip to its last."""
        spots = self.pricking.holes[path]
        self.chains[key] = _Chain(path[1:-1], (spots[1:-1] @ self.along).tolist())
        self.paths[key] = spots

    def _open(
        self,
        sides: tuple[Side, Side],
        start: tuple[int, ...],
        standing: int = 0,
    ) -> _Open:
        self.count += 1
        return _Open(self.count - 1, sides, start, standing)

    def _close(
        self, open_: _Open, end: tuple[int, ...], *, leaving: int = 0, into: tuple[int, ...] = ()
    ) -> None:
        going_on = bool(leaving or into)
        depth = float(self.pricking.holes[end[0]] @ self.along) if going_on else np.inf
        left, right = (self.chains[key].take_to(depth) for key in open_.sides)
        rails = Rails(open_.start, left, right, end, open_.standing, leaving)
        course = lay_course(self.pricking.holes, rails)
        course = replace(course, begins=not open_.standing, ends=not leaving)
        self.done[open_.number] = Stretch(course, into, open_.out_of)

    def _place_of(self, hole: int) -> int:
        """Return which of the stretches under way holds the top of an opening."""
        spot = self.pricking.holes[hole]
        gaps = []
        for open_ in self.row:
            left, right = (self._aside(key, spot) for key in open_.sides)
            gaps.append(max(left, -right, 0.0))
        return int(np.argmin(gaps))

    def _aside(self, key: Side, spot: Points) -> float:
        """Return how far a side lies to the right of a spot, at its level."""
        path = self.paths[key]
        depth = path @ self.along
        order = np.argsort(depth, kind="stable")
        aside = np.interp(spot @ self.along, depth[order], (path @ self.across)[order])
        return float(aside - spot @ self.across)
