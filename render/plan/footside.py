"""The footside: the straight edge by which a lace is sewn on."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from render.plan.footing import Footing
from render.plan.pillow import Pillow, Spot
from render.plan.steps import LEFT
from render.plan.stitches import Stitch
from render.plan.traffic import Traffic


@dataclass
class Footside:
    """A footside while it is being worked.

    At each pin a pair from the ground works through the passives, exchanges itself for the edge
    pair outside the pin, and the old edge pair goes back to the ground.

    References
    ----------
    .. J. Edkins, *Bobbin lace*, web handbook (2002-2022), footside.
    """

    pillow: Pillow
    outside: int
    moves: str
    passive_count: int
    outward: Spot
    edge: int = -1
    passives: list[int] = field(default_factory=list)

    @property
    def innermost(self) -> int:
        """The passive next to the ground, or the edge pair where there is none."""
        return self.passives[-1] if self.passives else self.edge

    def begin(self, at: Spot, beside_ground: int) -> None:
        """Hang the edge pair and the passives above the first pin, beside a pair of the ground."""
        count = self.passive_count + 1
        hung: list[int] = []
        for k in range(count):
            out = 0.25 * (count - k) if self.outside == LEFT else 0.25 * (k + 1)
            spot = (at[0] + self.outward[0] * out, at[1] + self.outward[1] * out)
            if self.outside == LEFT:
                beside = self.pillow.left_of(beside_ground) if not hung else hung[-1]
            else:
                beside = hung[-1] if hung else beside_ground
            role = "edge" if k == (0 if self.outside == LEFT else count - 1) else "passive"
            hung.append(self.pillow.hang(spot, beside, start=True, role=role))
        if self.outside == LEFT:
            self.edge, self.passives = hung[0], hung[1:]
        else:
            self.edge, self.passives = hung[-1], hung[-2::-1]

    def work(self, worker: int, hole: int, at: Spot) -> int:
        """Work one pin; return the pair that goes back to the ground."""
        for k in reversed(range(len(self.passives))):
            worker, self.passives[k] = self._stitch(worker, self.passives[k], at)
        beyond = (at[0] + 0.3 * self.outward[0], at[1] + 0.3 * self.outward[1])
        fresh, self.edge = self._exchange(worker, beyond)
        self.pillow.twists[self.edge] += 1
        self.pillow.lead_round(fresh, hole, -1 if self.outside == LEFT else 1)
        for k in range(len(self.passives)):
            fresh, self.passives[k] = self._stitch(fresh, self.passives[k], at, back=True)
        return fresh

    def _stitch(
        self, worker: int, passive: int, at: Spot, *, back: bool = False
    ) -> tuple[int, int]:
        """Work the worker through a passive; return worker and passive."""
        inward = (self.outside == LEFT) != back  # the worker hangs on the right of the passive
        pair = (passive, worker) if inward else (worker, passive)
        left, right = self.pillow.stitch(Stitch(self.moves), *pair, at, technique="footside")
        return (left, right) if inward else (right, left)

    def _exchange(self, worker: int, at: Spot) -> tuple[int, int]:
        """Work worker and edge pair; return the new worker and the new edge pair."""
        pair = (self.edge, worker) if self.outside == LEFT else (worker, self.edge)
        left, right = self.pillow.stitch(Stitch(self.moves), *pair, at, technique="footside")
        return (right, left) if self.outside == LEFT else (left, right)


class Footsides:
    """All footsides of a piece while they are being worked.

    Attributes
    ----------
    footing
        What is worked at their holes, in working order.
    begun
        By the line of each.
    """

    def __init__(self, traffic: Traffic, footing: Mapping[int, Footing]) -> None:
        self.traffic = traffic
        self.footing = footing
        self.begun: dict[int, Footside] = {}

    def legs(self) -> dict[int, int]:
        """Return the legs that belong to them now, each with -1 less the line of its footside."""
        return {
            leg: -1 - run
            for run, footside in self.begun.items()
            for leg in (footside.edge, *footside.passives)
        }

    def work(self, hole: int) -> None:
        """Work a pin of a footside."""
        traffic, footing = self.traffic, self.footing[hole]
        inward = 1 - footing.outside
        arriving = traffic.arriving(hole)
        worker = arriving[0] if arriving else -1
        for other in arriving[1:]:
            traffic.throw(other, hole, "finds no work at the footside")
        if footing.run not in self.begun:
            if worker < 0:
                worker = traffic.hang_after(hole, traffic.gap(hole), inward)
            self._begin(hole, footing, worker)
        footside = self.begun[footing.run]
        worker = self._lead_to(footside, worker, hole, inward)
        footside.outward = self._outward(hole, footing)
        fresh = footside.work(worker, hole, traffic.spot(hole))
        traffic.send(hole, [fresh], [inward])

    def _begin(self, hole: int, footing: Footing, worker: int) -> None:
        outward = self._outward(hole, footing)
        footside = Footside(
            self.traffic.pillow, footing.outside, footing.moves, footing.passives, outward
        )
        footside.begin(self.traffic.above(hole, 0.0), worker)
        self.begun[footing.run] = footside

    def _outward(self, hole: int, footing: Footing) -> Spot:
        """Return the way out of the work at a hole of a footside, as long as holes lie apart."""
        x, y = self.traffic.links.down[hole] * float(self.traffic.pricking.spacing[hole])
        return (float(-y), float(x)) if footing.outside == LEFT else (float(y), float(-x))

    def _lead_to(self, footside: Footside, worker: int, hole: int, inward: int) -> int:
        """Return a pair of the ground that hangs next to the footside."""
        inner = footside.innermost
        if worker < 0:
            step = self.traffic.pillow.right_of if inward == 1 else self.traffic.pillow.left_of
            worker = self.traffic.adopt(step(inner), hole)
        if worker < 0:
            return self.traffic.hang_beside(hole, inner, inward)
        pair = (inner, worker) if inward == 1 else (worker, inner)
        blocking = self.traffic.pillow.between(*pair)
        if blocking is None or self.traffic.any_held(blocking):
            self.traffic.throw(worker, hole, "cannot reach the footside")
            return self.traffic.hang_beside(hole, inner, inward)
        for other in blocking:
            self.traffic.throw(other, hole, "hangs between the footside and its worker")
        return worker
