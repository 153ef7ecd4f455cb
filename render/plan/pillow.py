"""The pillow: pairs hanging side by side, and the record of what is done with them."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.errors import Remark
from render.plan.model import ROLES, Hanging, Throwing, WorkingPlan
from render.plan.stitches import Stitch
from render.pricking.model import Pricking

Spot = tuple[float, float]


@dataclass(frozen=True)
class Along:
    """The line a stitch is worked along, which way it runs there and how broad it is, in mm."""

    run: int
    toward: Spot
    breadth: float = 0.0


NOWHERE = Along(-1, (0.0, 0.0))


class Pillow:
    """Pairs in their order from left to right, while the work goes on.

    Only two pairs that hang side by side can be worked; anything else is a fault of the planner
    and raises ValueError.
    """

    def __init__(self) -> None:
        self._left: dict[int, int] = {}
        self._right: dict[int, int] = {}
        self._first = -1
        self._stitches: list[tuple[str, str, Spot, int, int, int, int, int, int, int]] = []
        self._lays: list[tuple[int, float, float, float]] = []
        self._hangings: list[Hanging] = []
        self._throwings: list[Throwing] = []
        self.twists: list[int] = []
        self.turn: list[int] = []
        self.turn_side: list[int] = []
        self.remarks: list[Remark] = []

    def __contains__(self, leg: int) -> bool:
        return leg in self._left

    def __iter__(self) -> Iterator[int]:
        leg = self._first
        while leg >= 0:
            yield leg
            leg = self._right[leg]

    def left_of(self, leg: int) -> int:
        """Return the neighbour on the left, -1 where there is none."""
        return self._left[leg]

    def right_of(self, leg: int) -> int:
        """Return the neighbour on the right, -1 where there is none."""
        return self._right[leg]

    def between(self, left: int, right: int) -> list[int] | None:
        """Return the pairs that hang between two, None where `right` is not on the right."""
        found: list[int] = []
        leg = self._right[left]
        while leg >= 0 and leg != right:
            found.append(leg)
            leg = self._right[leg]
        return found if leg == right else None

    def hang(
        self,
        at: Spot,
        beside: int,
        *,
        start: bool,
        hole: int = -1,
        area: int = -1,
        role: str = "ground",
        run: int = -1,
    ) -> int:
        """Hang a new pair to the right of `beside` (-1: at the far left); return its leg."""
        leg = self._new_leg()
        follower = self._first if beside < 0 else self._right[beside]
        self._join(beside, leg)
        self._join(leg, follower)
        self._hangings.append(
            Hanging(leg, at, beside, len(self._stitches), start, hole, area, ROLES.index(role), run)
        )
        return leg

    def stitch(
        self,
        stitch: Stitch,
        left: int,
        right: int,
        at: Spot,
        *,
        technique: str,
        hole: int = -1,
        area: int = -1,
        along: Along = NOWHERE,
    ) -> tuple[int, int]:
        """Work two neighbouring pairs; return the legs that go on, left and right."""
        if self._right[left] != right:
            raise ValueError(f"pairs {left} and {right} do not hang side by side")
        before, after = self._left[left], self._right[right]
        for leg in (left, right):
            del self._left[leg], self._right[leg]
        a, b = self._new_leg(), self._new_leg()
        self._join(before, a)
        self._join(a, b)
        self._join(b, after)
        pin_after = -1 if stitch.pin_after is None else stitch.pin_after
        self._stitches.append(
            (stitch.moves, technique, at, hole, pin_after, area, left, right, a, b)
        )
        self._lays.append((along.run, *along.toward, along.breadth))
        return a, b

    def throw(
        self,
        leg: int,
        *,
        end: bool,
        area: int = -1,
        toward: Spot = (0.0, 1.0),
        sewn: Spot | None = None,
    ) -> None:
        """Take a pair out of the work."""
        before, after = self._left.pop(leg), self._right.pop(leg)
        if before >= 0:
            self._right[before] = after
        else:
            self._first = after
        if after >= 0:
            self._left[after] = before
        self._throwings.append(Throwing(leg, len(self._stitches), end, area, toward, sewn))

    def lead_round(self, leg: int, hole: int, side: int) -> None:
        """Let a leg turn round the pin of a hole, passing on the left (-1) or right (+1) of it."""
        self.turn[leg] = hole
        self.turn_side[leg] = side

    def pinned_holes(self) -> set[int]:
        """Return the holes used so far."""
        stitched = {stitch[3] for stitch in self._stitches}
        return stitched | set(self.turn) | {hanging.hole for hanging in self._hangings}

    def plan(self, pricking: Pricking, down: NDArray[np.float64]) -> WorkingPlan:
        """Return the record of all that was done, given the (N, 2) working directions."""
        columns = list(zip(*self._stitches, strict=True)) or [()] * 10
        moves, technique, at, hole, pin_after, area, *legs = columns
        numbers = [np.array(c, np.int64) for c in (hole, pin_after, area, *legs)]
        lays = np.array(self._lays, float).reshape(-1, 4)
        return WorkingPlan(
            pricking=pricking,
            moves=tuple(moves),
            technique=tuple(technique),
            at=np.array(at, float).reshape(-1, 2),
            hole=numbers[0],
            pin_after=numbers[1],
            area=numbers[2],
            taken=np.stack(numbers[3:5], axis=1),
            given=np.stack(numbers[5:7], axis=1),
            run=lays[:, 0].astype(np.int64),
            toward=lays[:, 1:3],
            breadth=lays[:, 3],
            twists=np.array(self.twists, np.int64),
            turn=np.array(self.turn, np.int64),
            turn_side=np.array(self.turn_side, np.int64),
            hangings=tuple(self._hangings),
            throwings=tuple(self._throwings),
            down=down,
            remarks=tuple(self.remarks),
        )

    def _new_leg(self) -> int:
        self.twists.append(0)
        self.turn.append(-1)
        self.turn_side.append(0)
        return len(self.twists) - 1

    def _join(self, left: int, right: int) -> None:
        if left >= 0:
            self._right[left] = right
        else:
            self._first = right
        if right >= 0:
            self._left[right] = left
