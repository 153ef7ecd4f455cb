"""Working spiders: legs from both sides go through each other above and below one pin."""

import numpy as np

from render.plan.ground import Indices
from render.plan.steps import LEFT, RIGHT
from render.plan.stitches import STITCHES, Stitch, ground_stitch, trailing_twists
from render.plan.traffic import Traffic

# Twists of a leg on either side of the body, those of its last stitch included (common practice,
# no source).
LEG_TWISTS = 3
# From stitch to stitch of the body, in gauges.
BODY_PITCH = 2.6


class Spiders:
    """The spiders of a piece while it is being worked."""

    def __init__(self, traffic: Traffic, bodies: Indices, gauge_mm: float) -> None:
        self.traffic = traffic
        self.bodies = frozenset(bodies.tolist())
        self.gauge = gauge_mm

    def work(self, hole: int) -> None:
        """Work the body of a spider with all pairs that come to it."""
        traffic = self.traffic
        coming = [k for k in traffic.up[hole] if k in traffic.flying]
        from_left = sum(int(traffic.links.port[k]) == RIGHT for k in coming)
        legs = traffic.gather(traffic.arriving_in_order(hole), hole)
        wanted = [sum(traffic.links.port[k] == p for k in traffic.up[hole]) for p in (RIGHT, LEFT)]
        legs, from_left = self._filled(hole, legs, from_left, max(2, *wanted))
        for leg in legs:
            traffic.pillow.twists[leg] += LEG_TWISTS - trailing_twists(
                ground_stitch("spider").moves
            )
        for half in (-1, 1):
            legs = self._through(hole, legs, from_left if half < 0 else len(legs) - from_left, half)
        for leg in legs:
            traffic.pillow.twists[leg] += LEG_TWISTS
        self._send(hole, legs, from_left)

    def _filled(
        self, hole: int, legs: list[int], from_left: int, wanted: int
    ) -> tuple[list[int], int]:
        """Hang the pairs that a side lacks."""
        traffic, pillow = self.traffic, self.traffic.pillow
        for side, count in ((0, from_left), (1, len(legs) - from_left)):
            for _ in range(wanted - count):
                if not legs:
                    beside = traffic.gap(hole)
                else:
                    beside = pillow.left_of(legs[0]) if side == 0 else legs[-1]
                leg = traffic.hang_after(hole, beside, side)
                legs = [leg, *legs] if side == 0 else [*legs, leg]
        return legs, max(from_left, wanted)

    def _through(self, hole: int, legs: list[int], from_left: int, half: int) -> list[int]:
        """Work each pair on the left through each on the right: above or below the pin."""
        legs = list(legs)
        right = len(legs) - from_left
        last = len(legs) - 2
        for row in range(last + 1):
            for i in range(max(0, row - right + 1), min(from_left, row + 1)):
                place = from_left - 1 - i + (row - i)
                lift = half * (row if half > 0 else last - row) + 0.5 * half
                pinned = half < 0 and row == last
                spelt = STITCHES["whole"]
                legs[place : place + 2] = self.traffic.pillow.stitch(
                    Stitch(spelt, len(spelt) if pinned else None),
                    legs[place],
                    legs[place + 1],
                    self._spot(hole, lift, place + 1 - len(legs) / 2),
                    technique="spider",
                    hole=hole if pinned else -1,
                )
        return legs

    def _spot(self, hole: int, along: float, aside: float) -> tuple[float, float]:
        down = self.traffic.links.down[hole]
        right = np.array([down[1], -down[0]])
        pitch = BODY_PITCH * self.gauge
        x, y = self.traffic.pricking.holes[hole] + pitch * (along * down + aside * right)
        return float(x), float(y)

    def _send(self, hole: int, legs: list[int], from_left: int) -> None:
        """Send the legs of each side back to that side."""
        traffic = self.traffic
        links = traffic.leaving_links(hole)
        left = [k for k in links if traffic.links.port[k] == LEFT]
        right = [k for k in links if traffic.links.port[k] == RIGHT]
        from_right = legs[from_left:][::-1]
        for port, mine, ways in ((LEFT, legs[:from_left], left), (RIGHT, from_right, right[::-1])):
            # Where ground is missing the pairs next to the middle have nowhere to go.
            for place, leg in enumerate(mine):
                if place < len(ways):
                    traffic.flying[ways[place]] = leg
                else:
                    traffic.loose[leg] = (hole, port)
