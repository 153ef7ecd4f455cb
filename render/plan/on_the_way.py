"""Pairs on their way from hole to hole: who was sent where, and who hangs loose."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from render.plan.beside import PLAITED
from render.plan.ground import Links
from render.plan.pillow import Pillow, Spot
from render.plan.sky import open_ports
from render.pricking.model import Pricking

Held = Callable[[], Mapping[int, int]]


class OnTheWay:
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
    barred
        (M, 2, 2) pieces of plaits and leaves: no pair of ground is led across them.
    """

    def __init__(
        self,
        pillow: Pillow,
        pricking: Pricking,
        links: Links,
        held: Held,
        natural: Callable[[int], bool],
        barred: NDArray[np.float64],
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
        self.barred = barred
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
        return self._turned(int(source), run)

    def _turned(self, hole: int, run: NDArray[np.float64]) -> float:
        x, y = self.links.down[hole]
        return float(np.arctan2(run @ (y, -x), run @ (x, y)))

    def left_of_way(self, hole: int, link: int) -> int | None:
        """Return the last pair to have left a hole further left than a link, -1 for the far left.

        None where no pair that left it hangs on the pillow.
        """
        bearing = {
            leg: self.bearing(k)
            for k, leg in self.flying.items() if self.links.source[k] == hole
        }  # fmt: skip
        for leg in self.waiting_at(hole):
            bearing[leg] = self._turned(hole, self.links.step[hole, self.loose[leg][1]])
        legs = self.from_left(set(bearing))
        before = [leg for leg in legs if bearing[leg] < self.bearing(link)]
        if before:
            return before[-1]
        return self.pillow.left_of(legs[0]) if legs else None

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
