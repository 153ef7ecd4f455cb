"""Working an area: a worker that runs between two rails through its passives."""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from render.plan.free_turns import free_turn
from render.plan.pillow import Pillow, Spot
from render.plan.rails import LEFT, RIGHT, Course, Visit
from render.plan.stitches import PICOT_TWISTS, PIN_TWISTS, STITCHES, TURNING, Stitch

Points = NDArray[np.float64]


@dataclass
class Cloth:
    """An area while it is being worked.

    Attributes
    ----------
    number
        The area.
    word
        ``whole``, ``half`` or ``double``.
    course
        The way of its worker.
    wanted
        How many pairs (worker included) its width asks for at each visit, the end last.
    picots
        Holes round which the worker makes a picot as it turns.
    passives
        Legs from left to right.
    worker, side
        The worker's leg and the side of the passives it hangs on.
    spot
        Where the worker turned last.
    met
        Holes inside it that have their stitch.
    aside
        Legs beyond the worker where it stands in the middle, after two stretches have joined.
    """

    pillow: Pillow
    holes: Points
    number: int
    word: str
    course: Course
    tie: int | None
    wanted: tuple[int, ...]
    picots: frozenset[int] = frozenset()
    passives: list[int] = field(default_factory=list)
    worker: int = -1
    side: int = LEFT
    spot: Spot = (0.0, 0.0)
    row: int = 0
    aside: list[int] = field(default_factory=list)
    met: set[int] = field(default_factory=set)

    @property
    def legs(self) -> list[int]:
        """All legs that hang in it, in no order."""
        return [*self.passives, *self.aside, *([self.worker] if self.worker >= 0 else [])]

    def outermost(self, side: int) -> int:
        """Return the leg that hangs outermost on a side."""
        if self.worker >= 0 and (self.side == side or not self.passives):
            return self.worker
        return self.passives[0 if side == LEFT else -1]

    @property
    def pairs(self) -> int:
        """How many pairs it has."""
        return len(self.legs)

    def begin(self, legs: list[int], next_side: int) -> None:
        """Take pairs from left to right; the worker is the one that must cross the others."""
        if next_side == RIGHT:
            self.worker, self.passives, self.side = legs[0], legs[1:], LEFT
        else:
            self.worker, self.passives, self.side = legs[-1], legs[:-1], RIGHT

    def first_row(self, hole: int) -> None:
        """Work the worker through its first passives and round the first pin."""
        self.spot = self.place_of(hole)
        to = -self.side
        self._pass_all(to, self.spot, self.spot, pin_last=hole)
        self._turn(hole, to)

    def visit(self, visit: Visit, incoming: Callable[[], list[int]], leaving: int) -> list[int]:
        """Work a row to a hole, take pairs in, turn, and let pairs out.

        Parameters
        ----------
        visit
            The hole and its side.
        incoming
            Gives the pairs that come in from outside, nearest first, once the row is worked.
        leaving
            How many pairs go out; at least the worker and one passive stay if there are two.

        Returns
        -------
        The legs that leave, from the outside in.
        """
        target = self.place_of(visit.hole)
        self.reach(visit.side, target)
        for leg in incoming():
            self.take_in(leg, visit.side, target)
        self._turn(visit.hole, visit.side, picot=visit.hole in self.picots)
        self.row += 1
        return self.let_out(visit.side, leaving, target)

    def reach(self, side: int, target: Spot, *, pin_last: int = -1) -> None:
        """Bring the worker to a side of the area, with a turn where it stands there already."""
        if self.side == side and self.passives:
            x, y = free_turn(self.holes, self.course, self.row, -side)
            there = float(x), float(y)
            self._pass_all(-side, self.spot, there, back=target)
            self.spot = there
        self._pass_all(side, self.spot, target, pin_last=pin_last)

    def close(self, hole: int, side: int, incoming: list[int], *, again: bool) -> list[int]:
        """Work the last row, and once more below the pin; return all legs from left to right."""
        target = self.place_of(hole)
        self.reach(side, target, pin_last=hole if again and not incoming else -1)
        for leg in incoming:
            self.take_in(leg, side, target, hole if leg == incoming[-1] else -1)
        self._turn(hole, side)
        if again and self.passives:
            self._pass_all(-side, target, target)
        legs = self.in_order()
        self.worker, self.passives = -1, []
        return legs

    def in_order(self) -> list[int]:
        """Return all its legs from left to right."""
        if self.side == LEFT:
            return [*self.aside, self.worker, *self.passives]
        return [*self.passives, self.worker, *self.aside]

    def meet(self, other: "Cloth", hole: int) -> None:
        """Let the workers of two areas meet at a shared pin: this one on the left."""
        moves = STITCHES[self.word]
        stitch = Stitch(moves + STITCHES[other.word], len(moves))
        self.worker, other.worker = self.pillow.stitch(
            stitch, self.worker, other.worker, self.place_of(hole),
            technique=self.word, hole=hole, area=self.number,
        )  # fmt: skip
        self.spot = other.spot = self.place_of(hole)
        self.row += 1
        other.row += 1

    def work(
        self, left: int, right: int, at: Spot, moves: str | None = None, hole: int = -1
    ) -> tuple[int, int]:
        """Work two pairs in the stitch of the area."""
        spelt = STITCHES[self.word] if moves is None else moves
        stitch = Stitch(spelt, len(spelt) if hole >= 0 else None)
        return self.pillow.stitch(
            stitch, left, right, at, technique=self.word, hole=hole, area=self.number
        )

    def place_of(self, hole: int) -> Spot:
        """Return where a hole is."""
        x, y = self.holes[hole]
        return float(x), float(y)

    def _pass_all(
        self, side: int, origin: Spot, target: Spot, *, back: Spot | None = None, pin_last: int = -1
    ) -> None:
        """Work the worker through every passive towards a side.

        Where it goes `back` from there without a pin, it makes a turning stitch, or a twist more.
        At a tip the last stitch hangs above its pin (`pin_last`), which stands between the pairs.
        """
        if self.side == side:
            return
        order = list(self.passives) if side == RIGHT else list(reversed(self.passives))
        pinned = self._pinned(order, origin, target)
        if pin_last >= 0 and order:
            self.met.discard(pinned.get(len(order) - 1, -1))
            pinned[len(order) - 1] = pin_last
        done: list[int] = []
        for k, passive in enumerate(order):
            at = _part_way(origin, target, (k + 0.5) / len(order))
            last = back is not None and k == len(order) - 1
            moves = TURNING if last and self.word != "half" else None
            self._step(passive, side, at, done, moves, pinned.get(k, -1))
            if moves is not None:
                self.passives = done if side == RIGHT else done[::-1]
                return self._stay(side, target, back or target)
        self.passives = done if side == RIGHT else done[::-1]
        self.side = side
        self._take_aside()
        if back is not None:
            self.pillow.twists[self.worker] += 1
        return None

    def _take_aside(self) -> None:
        """Count the pairs that the first row below a join left aside among the passives."""
        if self.aside:
            first = self.side == RIGHT
            self.passives = (
                [*self.aside, *self.passives] if first else [*self.passives, *self.aside]
            )
            self.aside = []

    def _stay(self, side: int, there: Spot, back: Spot) -> None:
        """After a turning stitch the worker stands inside the outermost passive and goes back."""
        order = self.passives[:-1] if side == RIGHT else self.passives[:0:-1]
        outer = self.passives[-1] if side == RIGHT else self.passives[0]
        done: list[int] = []
        for k, passive in enumerate(reversed(order)):
            at = _part_way(there, back, (k + 1) / (len(order) + 1))
            self._step(passive, -side, at, done, None, -1)
        kept = done[::-1] if side == RIGHT else done
        self.passives = [*kept, outer] if side == RIGHT else [outer, *kept]
        self.side = -side

    def _step(
        self, passive: int, side: int, at: Spot, done: list[int], moves: str | None, hole: int
    ) -> None:
        if side == RIGHT:
            left, right = self.work(self.worker, passive, at, moves, hole)
        else:
            left, right = self.work(passive, self.worker, at, moves, hole)
        stays = moves == TURNING
        # In a turning stitch the worker comes out on the side it went in.
        if (side == RIGHT) != stays:
            passed, self.worker = left, right
        else:
            self.worker, passed = left, right
        done.append(passed)

    def _pinned(self, order: list[int], origin: Spot, target: Spot) -> dict[int, int]:
        """Give each hole inside the area to the stitch of this row that is nearest.

        What finds no stitch waits for the next row.
        """
        near = (hole for row in self.course.inner[: self.row + 1] for hole in row)
        wanted = [hole for hole in near if hole not in self.met]
        if not wanted or not order:
            return {}
        a, run = np.array(origin), np.subtract(target, origin)
        square = max(float(run @ run), 1e-12)
        found: dict[int, int] = {}
        for hole in wanted[: len(order)]:
            share = float((self.holes[hole] - a) @ run) / square
            k = min(max(int(share * len(order)), 0), len(order) - 1)
            while k in found:
                k = (k + 1) % len(order)
            found[k] = hole
        self.met.update(found.values())
        return found

    def take_in(self, leg: int, side: int, at: Spot, hole: int = -1) -> None:
        """Work the worker through a pair that comes in; it becomes the outermost passive."""
        done: list[int] = []
        self._step(leg, side, at, done, None, hole)
        self.passives = [*self.passives, *done] if side == RIGHT else [*done, *self.passives]
        self.side = side

    def _turn(self, hole: int, side: int, *, picot: bool = False) -> None:
        twists = PIN_TWISTS[self.word] if self.tie is None else self.tie
        if picot:
            twists = 2 * PICOT_TWISTS
        self.pillow.twists[self.worker] += twists
        self.pillow.lead_round(self.worker, hole, side)
        self.spot = self.place_of(hole)

    def let_out(self, side: int, leaving: int, at: Spot) -> list[int]:
        """Work the outermost passives once more and let them go."""
        count = max(0, min(leaving, len(self.passives) - 1))
        gone: list[int] = []
        for _ in range(count):
            passive = self.passives.pop(-1 if side == RIGHT else 0)
            done: list[int] = []
            self._step(passive, -side, at, done, None, -1)
            gone.append(done[0])
        return gone


def _part_way(origin: Spot, target: Spot, share: float) -> Spot:
    x, y = (a + share * (b - a) for a, b in zip(origin, target, strict=True))
    return x, y
