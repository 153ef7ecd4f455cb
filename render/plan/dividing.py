"""Going down an area level by level: where its stretches begin, divide, join and end.

An outline with two tops, as a heart has, begins twice, and what comes down from both is joined at
the cleft between them; above a cleft between two feet it divides. Openings divide and join it too.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from render.errors import Remark
from render.plan.rails import LEFT, RIGHT, Rails, between, clockwise, flat_part, from_to
from render.plan.stretch import Stretch, Stretches
from render.plan.turning import Turn, find_turns
from render.plan.visiting import lay_course
from render.pricking.model import Area, Pricking

Points = NDArray[np.float64]
# A side by its contour and its place along that, clockwise.
Side = tuple[int, int]

# An outline turns where it goes back by more than this share of the way from hole to hole: less is
# only a row of pins that stand in and out (common practice, no source).
TURNED = 1.2
# What comes first of what happens at one level.
BEGINS, DIVIDES, JOINS, ENDS = range(4)


def divided(
    pricking: Pricking,
    area: Area,
    rails: Rails,
    openings: list[int],
    along: Points,
    *,
    tips: tuple[frozenset[int], frozenset[int]] | None,
) -> Stretches:
    """Go down an area and find its stretches.

    Parameters
    ----------
    rails
        The two sides of its outline, which are all there is if that goes only down and up again.
    openings
        Contours that part what is worked.
    along
        (2,) unit vector in which it is worked.
    tips
        Holes that can be part of a flat beginning, and of a flat end, where each top of the outline
        is begun by itself; None where it is worked as one, whatever its outline.
    """
    around = clockwise(area, 0)
    spacing = float(np.median(pricking.spacing[around]))
    turns = find_turns(pricking.holes[around], along, TURNED * spacing) if tips else ()
    if tips and len(turns) > 2:
        sweep = _Sweep(pricking, along)
        try:
            return sweep.run(sweep.follow_outline(around, turns, tips), area, openings)
        except _CrossesItselfError:
            pass
    sweep = _Sweep(pricking, along)
    found = sweep.run(sweep.follow_rails(rails), area, openings)
    if len(turns) <= 2:
        return found
    message = "its outline crosses itself: it is worked as one, from its highest hole to its lowest"
    return replace(found, remarks=(*found.remarks, Remark(message, area.place)))


class _CrossesItselfError(Exception):
    """An outline whose sides do not come in pairs from top to bottom."""


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
    """A stretch under way: its sides, its holes so far, and how it began."""

    number: int
    sides: tuple[Side, Side]
    start: tuple[int, ...]
    standing: int = 0
    out_of: tuple[int, ...] = ()


@dataclass(frozen=True)
class _Event:
    """What happens at a level: the order is of levels, of kinds and of holes."""

    order: tuple[float, int, int]
    happen: Callable[[], None]


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
        self.remarks: list[Remark] = []
        self.count = 0

    def run(self, events: list[_Event], area: Area, openings: list[int]) -> Stretches:
        """Go down past the outline and the openings."""
        for k in openings:
            events += self.follow_opening(k, clockwise(area, k))
        for event in sorted(events, key=lambda event: event.order):
            event.happen()
        if self.row:
            raise _CrossesItselfError
        parts = tuple(self.done[n] for n in range(self.count))
        return Stretches(parts, tuple(self.openings), tuple(self.remarks))

    # What there is to go past ------------------------------------------------------------------

    def follow_rails(self, rails: Rails) -> list[_Event]:
        """Note the two sides of an outline with one top and one bottom."""
        right, left = (0, 0), (0, 1)
        self._add_chain(right, [rails.start[-1]], rails.right, [rails.end[0]])
        self._add_chain(left, [rails.start[0]], rails.left, [rails.end[-1]])
        begin = partial(self.begin, (left, right), rails.start)
        end = partial(self.end, (left, right), rails.end)
        return [_Event((-np.inf, BEGINS, -1), begin), _Event((np.inf, ENDS, -1), end)]

    def follow_outline(
        self,
        around: list[int],
        turns: tuple[Turn, ...],
        tips: tuple[frozenset[int], frozenset[int]],
    ) -> list[_Event]:
        """Note the sides of an outline that turns more than twice."""
        at = []
        for turn in turns:
            flat = frozenset[int]() if turn.within else tips[int(turn.low)]
            at.append(flat_part(around, turn.position, flat))
        events = []
        for k, turn in enumerate(turns):
            # It goes down from a high turn to the next, which is low, and up to the one after.
            first, last = at[k][-1], at[(k + 1) % len(at)][0]
            onward, top, bottom = from_to(around, first, last), around[first], around[last]
            if turn.low:
                onward, top, bottom = onward[::-1], bottom, top
            self._add_chain((0, k), [top], onward, [bottom])
            tip = tuple(around[position] for position in at[k])
            events.append(self._turn_of_outline(turn, tip, (0, (k - 1) % len(at)), (0, k)))
        return events

    def _turn_of_outline(
        self, turn: Turn, tip: tuple[int, ...], before: Side, after: Side
    ) -> _Event:
        """Return what happens where an outline turns, between two of its sides."""
        if not turn.within:
            act = self.end if turn.low else self.begin
            sides = (after, before) if turn.low else (before, after)
            kind = ENDS if turn.low else BEGINS
            return self._event(kind, tip[0], partial(act, sides, tip))
        if turn.low:
            return self._event(JOINS, tip[0], partial(self.join, before, after, tip[0]))
        message = "the pairs divide here, and each foot below is worked by itself"
        return self._event(DIVIDES, tip[0], partial(self.divide, after, before, tip[0], message))

    def follow_opening(self, k: int, around: list[int]) -> list[_Event]:
        """Note the sides of an opening: its left side is the right rail of what runs left of it."""
        depth = self.pricking.holes[around] @ self.along
        top, bottom = around[int(depth.argmin())], around[int(depth.argmax())]
        if top == bottom:
            return []
        left, right = (k, 1), (k, 0)
        self._add_chain(right, [top], between(around, top, bottom), [bottom])
        self._add_chain(left, [top], between(around, bottom, top)[::-1], [bottom])
        message = "the pairs divide here and are worked down both sides of the opening"
        return [
            self._event(DIVIDES, top, partial(self.divide, left, right, top, message, k)),
            self._event(JOINS, bottom, partial(self.join, left, right, bottom, k)),
        ]

    # What happens there ------------------------------------------------------------------------

    def begin(self, sides: tuple[Side, Side], start: tuple[int, ...]) -> None:
        """Begin a stretch at a top."""
        spot = self.pricking.holes[start[0]]
        place = sum(self._aside(open_.sides[1], spot) <= 0 for open_ in self.row)
        self.row.insert(place, self._open(sides, start))

    def divide(self, left: Side, right: Side, hole: int, message: str, opening: int = 0) -> None:
        """Let a stretch become two, of which one has a new right and the other a new left side."""
        if not self.row:
            raise _CrossesItselfError
        place = self._place_of(hole)
        above = self.row[place]
        on_left = self._open((above.sides[0], left), (hole,), standing=RIGHT)
        on_right = self._open((right, above.sides[1]), (hole,), standing=LEFT)
        self._close(above, (hole,), into=(on_left.number, on_right.number))
        self.row[place : place + 1] = [on_left, on_right]
        self.opened[opening] = above.number
        self.remarks.append(Remark(message, self.pricking.place(hole)))

    def join(self, left: Side, right: Side, hole: int, opening: int = 0) -> None:
        """Let two stretches become one: the first has this right, the second this left side.

        Raises
        ------
        _CrossesItselfError
            Where there are no such two, as in an outline that crosses itself.
        """
        place = _first(a.sides[1] == left and b.sides[0] == right for a, b in pairwise(self.row))
        on_left, on_right = self.row[place : place + 2]
        for side, open_ in ((RIGHT, on_left), (LEFT, on_right)):
            self._close(open_, (hole,), leaving=side)
        below = self._open((on_left.sides[0], on_right.sides[1]), (hole,))
        below.out_of = (on_left.number, on_right.number)
        self.row[place : place + 2] = [below]
        if opening:
            self.openings.append((self.opened[opening], below.number, opening))

    def end(self, sides: tuple[Side, Side], end: tuple[int, ...]) -> None:
        """End a stretch at a bottom."""
        place = _first(open_.sides == sides for open_ in self.row)
        self._close(self.row.pop(place), end)

    # Keeping account ---------------------------------------------------------------------------

    def _event(self, kind: int, hole: int, happen: Callable[[], None]) -> _Event:
        return _Event((float(self.pricking.holes[hole] @ self.along), kind, hole), happen)

    def _add_chain(
        self, key: Side, top: list[int], holes: tuple[int, ...] | list[int], end: list[int]
    ) -> None:
        spots = self.pricking.holes
        self.chains[key] = _Chain(list(holes), (spots[list(holes)] @ self.along).tolist())
        self.paths[key] = spots[[*top, *holes, *end]]

    def _open(self, sides: tuple[Side, Side], start: tuple[int, ...], standing: int = 0) -> _Open:
        self.count += 1
        return _Open(self.count - 1, sides, start, standing)

    def _close(
        self, open_: _Open, end: tuple[int, ...], *, leaving: int = 0, into: tuple[int, ...] = ()
    ) -> None:
        going_on = bool(leaving or into)
        depth = float(self.pricking.holes[end[0]] @ self.along) if going_on else np.inf
        # A side that comes to its own end here is taken whole.
        levels = (np.inf if leaving == LEFT else depth, np.inf if leaving == RIGHT else depth)
        left, right = (
            self.chains[key].take_to(level) for key, level in zip(open_.sides, levels, strict=True)
        )
        rails = Rails(open_.start, left, right, end, open_.standing, leaving)
        course = lay_course(self.pricking.holes, rails, down=self.along)
        course = replace(course, begins=not open_.standing, ends=not leaving)
        self.done[open_.number] = Stretch(course, into, open_.out_of)

    def _place_of(self, hole: int) -> int:
        """Return which of the stretches under way holds a hole between its sides."""
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


def _first(those: Iterable[bool]) -> int:
    """Return which is the first that is so."""
    for place, is_so in enumerate(those):
        if is_so:
            return place
    raise _CrossesItselfError
