"""Pairs on their way from hole to hole: sent, awaited, adopted, hung in and thrown out."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from render.errors import Remark
from render.plan.beside import PLAITED, find_gap
from render.plan.ground import Links
from render.plan.pillow import Pillow, Spot
from render.plan.sky import open_ports
from render.plan.steps import LEFT
from render.pricking.model import Pricking

# A pair left over at one hole may wait for another that is at most this many steps further on, half
# as many on another piece of lattice.
WAITING_REACH = 3.6

Held = Callable[[], Mapping[int, int]]


class Traffic:
    """Who is on the way to which hole.

    Attributes
    ----------
    up, low
        For each hole the links that arrive and that leave.
    sky, floor
        (N, 2) where the piece begins and ends.
    loose
        Pairs that nobody waits for, with the hole and the port they left by.
    area_of
        The area of each stretch that is worked.
    port_of
        The side by which plaits of a ground leave their holes, by link.
    plait_of
        For each link of a plait or leaf the first of its two.

    Parameters
    ----------
    held
        Gives the pairs that belong to areas and footsides being worked.
    natural
        Tells of a hole whether all pairs that leave it and hang loose have come to their end.
    """

    def __init__(
        self,
        pillow: Pillow,
        pricking: Pricking,
        links: Links,
        held: Held,
        natural: Callable[[int], bool],
    ) -> None:
        self.pillow = pillow
        self.pricking = pricking
        self.links = links
        self.up: list[list[int]] = [[] for _ in pricking.holes]
        self.low: list[list[int]] = [[] for _ in pricking.holes]
        for k, (a, b) in enumerate(zip(links.source, links.target, strict=True)):
            self.low[a].append(k)
            self.up[b].append(k)
        self.sky, self.floor = open_ports(pricking, links)
        self.flying: dict[int, int] = {}
        self.headings: dict[int, NDArray[np.float64]] = {}
        self.loose: dict[int, tuple[int, int]] = {}
        self.plait_of: dict[int, int] = {}
        self.held = held
        self._natural = natural
        self.port_of: dict[int, int] = {}
        self.area_of: Mapping[int, int] = {}

    def join(self, source: int, target: int, heading: NDArray[np.float64]) -> tuple[int, int]:
        """Link two holes by a plait or leaf; return the links of its left and its right pair."""
        links = self.links
        first = len(links.source)
        self.links = replace(
            links,
            source=np.append(links.source, [source] * 2),
            target=np.append(links.target, [target] * 2),
            port=np.append(links.port, [PLAITED] * 2),
        )
        for link in (first, first + 1):
            self.low[source].append(link)
            self.up[target].append(link)
            self.headings[link] = heading
            self.plait_of[link] = first
        return first, first + 1

    # Sending and awaiting --------------------------------------------------------------------

    def send(self, hole: int, legs: list[int], ports: list[int]) -> None:
        """Send pairs from a hole of ground along its links; the rest hang loose."""
        wanted = {int(self.links.port[k]): k for k in self.low[hole]}
        for leg, port in zip(legs, ports, strict=True):
            if port in wanted:
                self.flying[wanted[port]] = leg
            else:
                self.loose[leg] = (hole, port)

    def link_by_port(self, hole: int, port: int) -> int:
        """Return the link that leaves a hole of ground by a port, -1 for none."""
        return next((k for k in self.low[hole] if self.links.port[k] == port), -1)

    def leaving_links(self, hole: int) -> list[int]:
        """Return the links that wait for a pair to leave a hole, from the maker's left."""
        return sorted((k for k in self.low[hole] if k not in self.flying), key=self.bearing)

    def bearing(self, link: int) -> float:
        """Return how far to the right a link leads, in radians from the working direction."""
        holes, source = self.pricking.holes, self.links.source[link]
        run = self.headings.get(link, holes[self.links.target[link]] - holes[source])
        x, y = self.links.down[source]
        return float(np.arctan2(run @ (y, -x), run @ (x, y)))

    def arriving(self, hole: int) -> list[int]:
        """Take the pairs that were sent to a hole."""
        return [self.flying.pop(k) for k in self.up[hole] if k in self.flying]

    def count_arriving(self, hole: int) -> int:
        """Return how many pairs are on their way to a hole."""
        return sum(k in self.flying for k in self.up[hole])

    def arriving_at_ground(self, hole: int) -> tuple[int, int]:
        """Take the pairs sent to a hole of ground: from the left, from the right, -1 for none."""
        legs = [-1, -1]
        for k in self.up[hole]:
            if k in self.flying and k not in self.headings:
                legs[1 - int(self.links.port[k])] = self.flying.pop(k)
        return legs[0], legs[1]

    def waiting_at(self, hole: int) -> set[int]:
        """Return the pairs that another area left at a hole."""
        return {leg for leg, (at, _) in self.loose.items() if at == hole}

    def arriving_in_order(self, hole: int) -> list[int]:
        """Take all pairs sent to a hole or left there by another area, from left to right."""
        legs = self.waiting_at(hole) | set(self.arriving(hole))
        for leg in legs:
            self.loose.pop(leg, None)
        return self.from_left(legs)

    def arriving_plaited(self, hole: int) -> list[int]:
        """Take the pairs sent to a hole by plaits and leaves, from left to right."""
        coming = [k for k in self.up[hole] if k in self.headings and k in self.flying]
        return self.from_left({self.flying.pop(k) for k in coming})

    def take_loose(self, hole: int) -> list[int]:
        """Take the last two pairs that hang loose at a hole, from left to right."""
        legs = self.from_left(self.waiting_at(hole))[-2:]
        if len(legs) == 2 and self.pillow.right_of(legs[0]) != legs[1]:
            legs = legs[1:]
        for leg in legs:
            del self.loose[leg]
        return legs

    def from_left(self, legs: set[int]) -> list[int]:
        """Return pairs in the order in which they hang."""
        if len(legs) < 2:
            return list(legs)
        some = min(legs)
        leftward, rightward = [], []
        a, b = self.pillow.left_of(some), self.pillow.right_of(some)
        missing = len(legs) - 1
        while missing and (a >= 0 or b >= 0):
            if a >= 0:
                if a in legs:
                    leftward.append(a)
                    missing -= 1
                a = self.pillow.left_of(a)
            if b >= 0:
                if b in legs:
                    rightward.append(b)
                    missing -= 1
                b = self.pillow.right_of(b)
        return [*reversed(leftward), some, *rightward]

    def may_adopt(self, leg: int, hole: int) -> bool:
        """Tell whether a loose pair can be led to a hole."""
        if leg not in self.loose:
            return False
        source, port = self.loose[leg]
        run = self.pricking.holes[hole] - self.pricking.holes[source]
        step = float(np.hypot(*self.links.step[hole, port]))
        piece = self.links.piece
        reach = WAITING_REACH if piece[source] == piece[hole] else 0.5 * WAITING_REACH
        near = np.hypot(*run) <= reach * step
        return bool(near and run @ self.links.down[source] > 0.1 * step)

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

    # Places ----------------------------------------------------------------------------------

    @property
    def ahead(self) -> Spot:
        """The working direction."""
        return float(self.pricking.down[0]), float(self.pricking.down[1])

    def spot(self, hole: int) -> Spot:
        """Return the place of a hole."""
        x, y = self.pricking.holes[hole]
        return float(x), float(y)

    def above(self, hole: int, aside: float) -> Spot:
        """Return a place above a hole, a little to one side, where a pair is hung."""
        size = float(self.pricking.spacing[hole])
        down = self.links.down[hole]
        right = np.array([down[1], -down[0]])
        x, y = self.pricking.holes[hole] + size * (0.3 * aside * right - 0.55 * down)
        return float(x), float(y)

    def gap(self, hole: int) -> int:
        """Return the leg to the right of which a hole lies, -1 for the far left."""
        return find_gap(self, hole)


PORTS = [LEFT, 1 - LEFT]
