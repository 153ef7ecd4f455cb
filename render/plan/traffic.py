"""Pairs on their way from hole to hole: adopted, brought together, hung in and thrown out."""

import numpy as np
from numpy.typing import NDArray

from render.errors import Remark
from render.geometry.segments import any_crossed
from render.plan.beside import find_gap
from render.plan.on_the_way import OnTheWay
from render.plan.steps import LEFT

# A pair left over at one hole may wait for another that is at most this many steps further on, half
# as many on another piece of lattice.
WAITING_REACH = 3.6


class Traffic(OnTheWay):
    """Who is on the way to which hole, and what becomes of those who cannot get there."""

    # Adopting --------------------------------------------------------------------------------

    def may_adopt(self, leg: int, hole: int) -> bool:
        """Tell whether a loose pair can be led to a hole."""
        if leg not in self.loose:
            return False
        source, port = self.loose[leg]
        run = self.pricking.holes[hole] - self.pricking.holes[source]
        step = float(np.hypot(*self.links.step[hole, port]))
        piece = self.links.piece
        reach = WAITING_REACH if piece[source] == piece[hole] else 0.5 * WAITING_REACH
        if np.hypot(*run) > reach * step or run @ self.links.down[source] <= 0.1 * step:
            return False
        holes = self.pricking.holes
        return not any_crossed(holes[source], holes[hole], self.barred)

    def adopt(self, leg: int, hole: int) -> int:
        """Take a loose pair for a hole, -1 where it cannot be led there."""
        if not self.may_adopt(leg, hole):
            return -1
        del self.loose[leg]
        return leg

    def waiting_beside(self, hole: int) -> tuple[int, int]:
        """Return the legs left and right of a hole that nobody was sent to, -1 for none.

        Two that hang from one pin straight above it go before others.
        """
        beside = self.gap(hole)
        near = self.pillow.right_of(beside) if beside >= 0 else next(iter(self.pillow), -1)
        further = self.pillow.right_of(near) if near >= 0 else -1
        before = self.pillow.left_of(beside) if beside >= 0 else -1
        for pair in ((beside, near), (near, further), (before, beside)):
            at = [self.loose[leg][0] for leg in pair if self.may_adopt(leg, hole)]
            if len(at) == 2 and at[0] == at[1]:
                return pair
        return beside, near

    def aim(self, leg: int) -> NDArray[np.float64]:
        """Return (2,) the place of the lattice to which a loose pair is heading."""
        hole, port = self.loose[leg]
        return np.asarray(self.pricking.holes[hole] + self.links.step[hole, port])

    # Bringing together -----------------------------------------------------------------------

    def side_by_side(self, left: int, right: int, hole: int) -> tuple[int, int]:
        """Make two pairs neighbours; what hangs between them is thrown out."""
        blocking = self.pillow.between(left, right)
        if blocking is None or self.any_held(blocking):
            self.throw(right, hole, "cannot reach the pair it should meet")
            return left, self.hang_beside(hole, left, 1)
        for leg in blocking:
            self.clear(leg, hole, "hangs between two pairs that meet here")
        return left, right

    def gather(self, legs: list[int], hole: int) -> list[int]:
        """Bring pairs that begin an area side by side; those out of reach are thrown out."""
        kept = legs[:1]
        for leg in legs[1:]:
            if leg not in self.pillow:  # thrown out from between two others
                continue
            blocking = self.pillow.between(kept[-1], leg)
            if blocking is None or self.any_held(blocking):
                self.throw(leg, hole, "cannot reach the area it should enter here")
                continue
            for other in blocking:
                self.clear(other, hole, "hangs inside the beginning of an area")
            kept.append(leg)
        return kept

    def any_held(self, legs: list[int]) -> bool:
        """Tell whether any of the pairs belongs to an area or footside being worked."""
        return bool(legs) and not self.held().keys().isdisjoint(legs)

    def entering(self, hole: int, side: int, beside: int) -> list[int]:
        """Take the pairs that enter an area at a hole, nearest first.

        Parameters
        ----------
        hole
            Where they come in.
        side
            -1 for the area's left, +1 for its right.
        beside
            The outermost leg of the area on that side.
        """
        expected = set(self.arriving(hole)) | self.waiting_at(hole)
        held = self.held() if expected else {}
        step = self.pillow.left_of if side < 0 else self.pillow.right_of
        taken: list[int] = []
        skipped: list[int] = []
        leg = step(beside)
        while leg >= 0 and leg not in held and expected and len(skipped) <= 4:
            following = step(leg)
            if leg in expected:
                for other in skipped:
                    self.clear(other, hole, "hangs between this area and a pair for it")
                skipped = []
                taken.append(leg)
                expected.discard(leg)
                self.loose.pop(leg, None)
            else:
                skipped.append(leg)
            leg = following
        for leg in sorted(expected):
            self.throw(leg, hole, "cannot reach the area it should enter here")
        return taken

    # Hanging and throwing out ----------------------------------------------------------------

    def hang_beside(self, hole: int, leg: int, side: int) -> int:
        """Hang a pair above a hole, to the left (0) or right (1) of a leg."""
        beside = leg if side == 1 else self.pillow.left_of(leg)
        return self.hang_after(hole, beside, side)

    def hang_after(self, hole: int, beside: int, side: int) -> int:
        """Hang a pair above a hole in a gap, for its left (0) or right (1) place."""
        start = bool(self.sky[hole, side])
        if not start:
            self.tell(hole, "no pair reaches it: one is hung in")
        aside = -1.0 if side == 0 else 1.0
        return self.pillow.hang(self.above(hole, aside), beside, start=start)

    def clear(self, leg: int, hole: int, why: str) -> None:
        """Take a pair out of the way: at its end where it has come to that, else with a word why.

        Of pieces one below another the upper ones have ended when the lower ones are worked.
        """
        at, port = self.loose.get(leg, (-1, 0))
        if at >= 0 and self._is_at_its_end(at, port):
            self._leave(leg, end=True)
            del self.loose[leg]
        else:
            self.throw(leg, hole, why)

    def _is_at_its_end(self, hole: int, port: int) -> bool:
        return bool(self.floor[hole, port]) or self._natural(hole)

    def ended_before(self, leg: int, hole: int) -> bool:
        """Tell whether a pair came to its end so far above a hole that it has no part in it."""
        at, port = self.loose.get(leg, (-1, 0))
        if at < 0 or not self._is_at_its_end(at, port):
            return False
        holes, step = self.pricking.holes, float(np.hypot(*self.links.step[at, port]))
        return bool((holes[hole] - holes[at]) @ self.links.down[at] > WAITING_REACH * step)

    def _leave(self, leg: int, *, end: bool) -> None:
        """Take a loose pair out of the work on the way in which it leaves its hole."""
        hole, port = self.loose[leg]
        step = self.links.step[hole, port]
        x, y = step / max(float(np.hypot(*step)), 1e-9)
        self.pillow.throw(leg, end=end, toward=(float(x), float(y)))

    def throw(self, leg: int, hole: int, why: str) -> None:
        """Throw a pair out and say why."""
        self.loose.pop(leg, None)
        for link in [k for k, flying in self.flying.items() if flying == leg]:
            del self.flying[link]
        self.pillow.throw(leg, end=False, toward=self.ahead)
        self.tell(hole, f"a pair {why}: it is thrown out")

    def tell(self, hole: int, message: str) -> None:
        """Record a change the maker should know of."""
        self.pillow.remarks.append(Remark(message, self.pricking.place(hole), "change"))

    def note(self, hole: int, message: str) -> None:
        """Record what the maker should know of and nothing comes of."""
        self.pillow.remarks.append(Remark(message, self.pricking.place(hole), "note"))

    def end(self) -> None:
        """End what still hangs, from left to right, and say which pairs had nowhere to go."""
        stranded: dict[int, int] = {}
        held = self.held()
        for leg in list(self.pillow):
            if leg in held:
                self.pillow.throw(leg, end=True, toward=self.ahead)
                continue
            if leg not in self.loose:
                goal = next(self.links.target[k] for k, sent in self.flying.items() if sent == leg)
                self.throw(leg, int(goal), "comes too late for its hole")
                continue
            hole, port = self.loose[leg]
            end = self._is_at_its_end(hole, port)
            self._leave(leg, end=end)
            if not end:
                stranded[hole] = stranded.get(hole, 0) + 1
        for hole, count in sorted(stranded.items()):
            who = (
                "the pair that leaves here has"
                if count == 1
                else f"{count} pairs that leave here have"
            )
            self.tell(hole, f"{who} nowhere to go: thrown out")

    def gap(self, hole: int) -> int:
        """Return the leg to the right of which a hole lies, -1 for the far left."""
        return find_gap(self, hole)


PORTS = [LEFT, 1 - LEFT]
