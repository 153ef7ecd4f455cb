"""Rose ground: where two pairs cross between the squares without a pin."""

from collections import deque

import numpy as np
from numpy.typing import NDArray

from render.plan.ground import Links
from render.plan.steps import LEFT, RIGHT
from render.plan.stitches import Stitch
from render.plan.traffic import Traffic

# Dillmont, pp. 487-488, has CT here.
UNPINNED = Stitch("CT")


class RoseCrossings:
    """The crossings without a pin in rose ground.

    The pins fill the lattice like those of torchon. Numbered by column and half-row, with the first
    pin at column 1 of row 0, four pins stand round every square with its middle at (odd, odd), and
    in the cells with both numbers even the two pairs that pass from square to square cross.

    References
    ----------
    .. Th. de Dillmont, *Encyclopedia of Needlework*, English edition (1886), fig. 793, pp. 487-488.
    """

    def __init__(self, traffic: Traffic) -> None:
        self.traffic = traffic
        ground = np.array([word == "rose" for word in traffic.pricking.ground])
        self.places = _places(traffic.links, ground) if ground.any() else {}
        self._hole_at = {place: hole for hole, place in self.places.items()}

    def order(self) -> list[tuple[int, int]]:
        """Return pairs of holes (a, b): a must send its pair before b can be worked."""
        links, pairs = self.traffic.links, []
        for hole in self.places:
            for port in (LEFT, RIGHT):
                link = self.traffic.link_by_port(hole, port)
                if link >= 0:
                    goal = int(links.target[link])
                    pairs += [(other, goal) for other in self._partners(hole, port)]
        return pairs

    def cross(self, hole: int) -> None:
        """Cross the pairs that leave a hole with those they meet, where both are under way."""
        for port in (LEFT, RIGHT):
            for other in self._partners(hole, port):
                self._work(hole, other, port)

    def _partners(self, hole: int, port: int) -> list[int]:
        """Return the holes whose pair crosses the one that leaves by a port."""
        if hole not in self.places:
            return []
        column, row = self.places[hole]
        aside = 1 if port == RIGHT else -1
        beside = [((column + aside, row), (column + aside, row - 1)),
                  ((column, row + 1), (column - aside, row + 1))]  # fmt: skip
        found = [self._hole_at.get(place) for cell, place in beside if _is_crossed(cell, port)]
        return [h for h in found if h is not None]

    def _work(self, hole: int, other: int, port: int) -> None:
        traffic = self.traffic
        a, b = traffic.link_by_port(hole, port), traffic.link_by_port(other, port)
        if a not in traffic.flying or b not in traffic.flying:
            return
        if not {int(traffic.links.target[a]), int(traffic.links.target[b])} <= self.places.keys():
            return
        if traffic.pillow.right_of(traffic.flying[a]) != traffic.flying[b]:
            a, b = b, a
        left, right = traffic.flying[a], traffic.flying[b]
        if traffic.pillow.right_of(left) != right:
            return
        holes, links = traffic.pricking.holes, traffic.links
        ends = [links.source[a], links.target[a], links.source[b], links.target[b]]
        x, y = holes[ends].mean(axis=0)
        traffic.flying[a], traffic.flying[b] = traffic.pillow.stitch(
            UNPINNED, left, right, (float(x), float(y)), technique="rose"
        )


def _is_crossed(cell: tuple[int, int], port: int) -> bool:
    """Tell whether pairs that leave by a port cross in a cell: they pass from square to square."""
    column, row = cell
    if column % 2 or row % 2:
        return False
    return (column + row) % 4 == (0 if port == RIGHT else 2)


def _places(links: Links, ground: NDArray[np.bool_]) -> dict[int, tuple[int, int]]:
    """Give the holes of rose ground their column and half-row, along the links."""
    beside: dict[int, list[tuple[int, int, int]]] = {}
    for a, b, port in zip(links.source.tolist(), links.target.tolist(), links.port, strict=True):
        if ground[a] and ground[b]:
            aside = 1 if port == RIGHT else -1
            beside.setdefault(a, []).append((b, aside, 1))
            beside.setdefault(b, []).append((a, -aside, -1))
    places: dict[int, tuple[int, int]] = {}
    for first in np.flatnonzero(ground).tolist():
        if first in places:
            continue
        places[first] = (1, 0)
        queue = deque([first])
        while queue:
            hole = queue.popleft()
            column, row = places[hole]
            for other, aside, down in beside.get(hole, []):
                if other not in places:
                    places[other] = (column + aside, row + down)
                    queue.append(other)
    return places
