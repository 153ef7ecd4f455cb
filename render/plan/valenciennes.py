"""Valenciennes ground: meshes whose sides are plaits, joined at the pins.

Every link of the lattice carries two pairs, worked as a plait of an even number of half stitches;
at a pin, where two plaits come and two leave, the two pairs in the middle are joined, CT p CT.

References
----------
.. Th. de Dillmont, *Encyclopedia of Needlework*, English edition (1886), p. 489: plaits of 4, 6 or
   8 half stitches by the size of the mesh.
"""

from dataclasses import dataclass, replace

import numpy as np

from render.plan.ground import Links
from render.plan.plaiting import Plaiting
from render.plan.spans import Span
from render.plan.steps import LEFT, RIGHT
from render.plan.stitches import ground_stitch
from render.plan.traffic import Traffic
from render.pricking.model import Pricking

WORD = "valenciennes"
# Where an edge has no hole beside it, the plait hangs to the next one of the edge, this many steps
# down at most.
EDGE_REACH = 3.0


@dataclass(frozen=True, eq=False)
class Net:
    """The Valenciennes ground of a piece.

    Attributes
    ----------
    joined
        Holes where plaits are joined.
    spans
        The plaits.
    ports
        For the two ends of each plait the port it leaves the upper one by and the side (LEFT or
        RIGHT) on which it comes to the lower one.
    """

    joined: frozenset[int]
    spans: tuple[Span, ...]
    ports: dict[tuple[int, int], tuple[int, int]]


def plaited_net(pricking: Pricking, links: Links, left_out: frozenset[int]) -> tuple[Links, Net]:
    """Take the links of Valenciennes ground out of the others, as plaits.

    Parameters
    ----------
    pricking
        The piece.
    links
        Those of all ground.
    left_out
        Holes where something else than ground is worked.

    Returns
    -------
    The links that are left, and those that are plaited.
    """
    holes = [
        hole
        for hole, word in enumerate(pricking.ground)
        if word == WORD
        and not pricking.owners[hole]
        and pricking.interior[hole] < 0
        and hole not in left_out
    ]
    joined = frozenset(holes)
    ends = list(zip(links.source.tolist(), links.target.tolist(), links.port.tolist(), strict=True))
    kept = np.array([a not in joined and b not in joined for a, b, _ in ends], bool)
    ports = {(a, b): (p, 1 - p) for (a, b, p), apart in zip(ends, kept, strict=True) if not apart}
    ports |= {(a, b): (p, p) for a, b, p in _edges(pricking, links, joined, ends)}
    first = len(pricking.runs)
    spans = tuple(
        Span(first + k, "plait", pair, pricking.holes[list(pair)], mesh=True)
        for k, pair in enumerate(sorted(ports))
    )
    rest = replace(
        links, source=links.source[kept], target=links.target[kept], port=links.port[kept]
    )
    return rest, Net(joined, spans, ports)


def _edges(
    pricking: Pricking, links: Links, joined: frozenset[int], ends: list[tuple[int, int, int]]
) -> list[tuple[int, int, int]]:
    """Return plaits that hang down an edge of the ground, from each of its holes to the next."""
    below = {(a, port): b for a, b, port in ends}
    above = {(b, 1 - port) for _, b, port in ends}
    seam = {(a, p) for a, _, p in links.seam.tolist()} | {
        (b, 1 - p) for _, b, p in links.seam.tolist()
    }
    found: list[tuple[int, int, int]] = []
    for hole in sorted(joined):
        for port in (LEFT, RIGHT):
            beside = below.get((hole, 1 - port), -1)
            goal = below.get((beside, port), -1)
            if (hole, port) in below or goal not in joined or (goal, port) in above:
                continue
            if (hole, port) in seam:
                continue
            step = float(np.hypot(*links.step[hole, port]))
            if np.hypot(*(pricking.holes[goal] - pricking.holes[hole])) <= EDGE_REACH * step:
                found.append((hole, goal, port))
    return found


class Meshes:
    """The pins of Valenciennes ground while the piece is being worked."""

    def __init__(self, traffic: Traffic, plaiting: Plaiting, net: Net) -> None:
        self.traffic = traffic
        self.plaiting = plaiting
        self.joined = net.joined
        self._ports = net.ports

    def order(self) -> list[tuple[int, int]]:
        """Return pairs of holes (a, b): a sends a plait to b."""
        return list(self._ports)

    def tell_ports(self) -> None:
        """Let the traffic know on which side of its hole each plait hangs."""
        for span, links in zip(self.plaiting.spans, self.plaiting.links, strict=True):
            if span.mesh:
                port, _ = self._ports[span.ends]
                self.traffic.port_of |= dict.fromkeys(links, port)

    def work(self, hole: int) -> None:
        """Join the plaits that come to a hole, and let two go on."""
        sides = self._coming(hole)
        for side in (LEFT, RIGHT):
            self._fill(hole, side, sides)
        legs = self.traffic.gather([*sides[LEFT], *sides[RIGHT]], hole)
        while len(legs) < 4:
            legs.append(self.traffic.hang_after(hole, legs[-1], RIGHT))
        outer_left, left, right, outer_right = legs
        spot = self.traffic.spot(hole)
        left, right = self.traffic.pillow.stitch(
            ground_stitch(WORD), left, right, spot, technique=WORD, hole=hole
        )
        self._send(hole, ((outer_left, left), (right, outer_right)))

    def _coming(self, hole: int) -> list[list[int]]:
        """Take the pairs that come to a hole, those from the left and those from the right."""
        sides: list[list[int]] = [[], []]
        for k in self.plaiting.coming.get(hole, []):
            links = self.plaiting.links[k]
            if not all(link in self.traffic.flying for link in links):
                continue
            legs = [self.traffic.flying.pop(link) for link in links]
            if self.plaiting.spans[k].mesh:
                sides[self._ports[self.plaiting.spans[k].ends][1]] = legs
            else:
                for leg in legs:
                    self.traffic.throw(leg, hole, "comes by a line where two plaits come anyway")
        return sides

    def _fill(self, hole: int, side: int, sides: list[list[int]]) -> None:
        """Hang the pairs of a plait that does not come."""
        for _ in range(2 - len(sides[side])):
            if sides[side]:
                beside = sides[side][-1]
            elif side == RIGHT:
                beside = sides[LEFT][-1]
            elif sides[RIGHT]:
                beside = self.traffic.pillow.left_of(sides[RIGHT][0])
            else:
                beside = self.traffic.gap(hole)
            sides[side].append(self.traffic.hang_after(hole, beside, side))

    def _send(self, hole: int, pairs: tuple[tuple[int, int], tuple[int, int]]) -> None:
        """Send two pairs by each plait that leaves a hole."""
        for k in self.plaiting.leaving.get(hole, []):
            if self.plaiting.spans[k].mesh:
                port = self._ports[self.plaiting.spans[k].ends][0]
                self.traffic.flying.update(zip(self.plaiting.links[k], pairs[port], strict=True))
        flying = set(self.traffic.flying.values())
        for port, legs in zip((LEFT, RIGHT), pairs, strict=True):
            self.traffic.loose |= {leg: (hole, port) for leg in legs if leg not in flying}
