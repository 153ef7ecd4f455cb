"""The footside: the straight edge by which a lace is sewn on."""

from dataclasses import dataclass, field

from render.plan.pillow import Pillow, Spot
from render.plan.steps import LEFT
from render.plan.stitches import Stitch


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
