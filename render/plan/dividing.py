"""An area with openings: where its stretches divide, and where they join again."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from render.errors import Remark
from render.plan.rails import LEFT, RIGHT, Rails, between, clockwise, lay_course
from render.plan.stretch import Stretch, Stretches
from render.pricking.model import Area, Pricking

Points = NDArray[np.float64]


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
    sides: tuple[tuple[int, int], tuple[int, int]]
    start: tuple[int, ...]
    standing: int = 0
    out_of: tuple[int, ...] = ()


def divided(
    pricking: Pricking, area: Area, rails: Rails, openings: list[int], along: Points
) -> Stretches:
    """Go down an area: one stretch becomes two at the top of an opening, two one at its bottom."""
    sweep = _Sweep(pricking, along)
    sweep.begin(rails)
    tips: list[tuple[float, bool, int, int]] = []
    for k in openings:
        around = clockwise(area, k)
        depth = pricking.holes[around] @ along
        top, bottom = around[int(depth.argmin())], around[int(depth.argmax())]
        if top != bottom:
            sweep.add_opening(k, around, top, bottom)
            tips += [(float(depth.min()), False, k, top), (float(depth.max()), True, k, bottom)]
    for _, joining, k, hole in sorted(tips):
        (sweep.join if joining else sweep.divide)(k, hole)
    return sweep.finish(rails.end)


class _Sweep:
    """The stretches under way, from left to right, while going down an area."""

    def __init__(self, pricking: Pricking, along: Points) -> None:
        self.pricking = pricking
        self.along, self.across = along, np.array([along[1], -along[0]])
        self.chains: dict[tuple[int, int], _Chain] = {}
        self.paths: dict[tuple[int, int], Points] = {}
        self.row: list[_Open] = []
        self.done: dict[int, Stretch] = {}
        self.opened: dict[int, int] = {}
        self.openings: list[tuple[int, int, int]] = []
        self.remarks: list[Remark] = []
        self.count = 0

    def begin(self, rails: Rails) -> None:
        """Start with the outline."""
        self._add_chain((0, LEFT), [rails.start[0]], rails.left, [rails.end[-1]])
        self._add_chain((0, RIGHT), [rails.start[-1]], rails.right, [rails.end[0]])
        self.row = [self._open(((0, LEFT), (0, RIGHT)), rails.start)]

    def add_opening(self, k: int, around: list[int], top: int, bottom: int) -> None:
        """Note the sides of an opening: its left side is the right rail of what runs left of it."""
        self._add_chain((k, RIGHT), [top], between(around, top, bottom), [bottom])
        self._add_chain((k, LEFT), [top], between(around, bottom, top)[::-1], [bottom])

    def divide(self, k: int, hole: int) -> None:
        """Let the stretch above an opening become two."""
        place = self._place_of(hole)
        above = self.row[place]
        left = self._open((above.sides[0], (k, LEFT)), (hole,), standing=RIGHT)
        right = self._open(((k, RIGHT), above.sides[1]), (hole,), standing=LEFT)
        self._close(above, (hole,), into=(left.number, right.number))
        self.row[place : place + 1] = [left, right]
        self.opened[k] = above.number
        self.remarks.append(
            Remark(
                "the pairs divide here and are worked down both sides of the opening",
                self.pricking.place(hole),
            )
        )

    def join(self, k: int, hole: int) -> None:
        """Let the two stretches that end at the bottom of an opening become one."""
        place = next(n for n, open_ in enumerate(self.row) if open_.sides[1] == (k, LEFT))
        left, right = self.row[place : place + 2]
        for side, open_ in ((RIGHT, left), (LEFT, right)):
            self._close(open_, (hole,), leaving=side)
        below = self._open((left.sides[0], right.sides[1]), (hole,))
        below.out_of = (left.number, right.number)
        self.row[place : place + 2] = [below]
        self.openings.append((self.opened[k], below.number, k))

    def finish(self, end: tuple[int, ...]) -> Stretches:
        """End the last stretch at the end of the area."""
        (last,) = self.row
        self._close(last, end)
        parts = tuple(self.done[n] for n in range(self.count))
        return Stretches(parts, tuple(self.openings), tuple(self.remarks))

    def _add_chain(
        self,
        key: tuple[int, int],
        top: list[int],
        holes: tuple[int, ...] | list[int],
        end: list[int],
    ) -> None:
        spots = self.pricking.holes
        self.chains[key] = _Chain(list(holes), (spots[list(holes)] @ self.along).tolist())
        self.paths[key] = spots[[*top, *holes, *end]]

    def _open(
        self,
        sides: tuple[tuple[int, int], tuple[int, int]],
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

    def _aside(self, key: tuple[int, int], spot: Points) -> float:
        """Return how far a side lies to the right of a spot, at its level."""
        path = self.paths[key]
        depth = path @ self.along
        order = np.argsort(depth, kind="stable")
        aside = np.interp(spot @ self.along, depth[order], (path @ self.across)[order])
        return float(aside - spot @ self.across)
