"""The headside: the free edge of a lace, with picots where holes say so."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from render.errors import Remark
from render.geometry.polygon import nearest_on_path
from render.plan.steps import LEFT, RIGHT
from render.plan.stitches import PICOT_TWISTS
from render.plan.traffic import Traffic
from render.pricking.model import Pricking, Run

# A hole this far outside a headside, in spacings, holds a picot of the edge pair of ground.
NEAREST, FARTHEST = 0.15, 1.0
# On the side with more holes within so many spacings lies the ground and not its outside.
DEEP = 3.0
# It follows the hole of ground above it, or one that lies no more than this below it, in spacings.
ABOVE = 0.25


@dataclass(frozen=True)
class Picots:
    """The picots along the headsides of a piece.

    Attributes
    ----------
    on_areas
        Holes on the edges of areas: the worker makes its turn there a picot.
    beside_ground
        For a hole at the edge of ground the hole of the picot that follows it, and the side
        (LEFT or RIGHT) on which the edge pair leaves for it.
    remarks
        Headsides without a hole for the picots they ask for.
    """

    on_areas: frozenset[int]
    beside_ground: dict[int, tuple[int, int]] = field(default_factory=dict)
    remarks: tuple[Remark, ...] = ()

    @property
    def off_ground(self) -> frozenset[int]:
        """Holes outside the ground that hold picots."""
        return frozenset(hole for hole, _ in self.beside_ground.values())

    def work(self, hole: int, traffic: Traffic) -> None:
        """Let the edge pair that leaves a hole of ground make its picot."""
        if hole not in self.beside_ground:
            return
        picot, side = self.beside_ground[hole]
        link = traffic.link_by_port(hole, side)
        loose = [leg for leg, (at, port) in traffic.loose.items() if (at, port) == (hole, side)]
        leg = loose[0] if loose else traffic.flying.get(link, -1)
        if leg < 0:
            traffic.tell(picot, "no edge pair passes it: its picot is left out")
            return
        traffic.pillow.twists[leg] += 2 * PICOT_TWISTS
        traffic.pillow.lead_round(leg, picot, -1 if side == LEFT else 1)


def find_picots(pricking: Pricking, taken: frozenset[int]) -> Picots:
    """Find the picots along headsides.

    Parameters
    ----------
    taken
        Holes that serve for something else.
    """
    on_areas: set[int] = set()
    beside: dict[int, tuple[int, int]] = {}
    remarks: list[Remark] = []
    for run in pricking.runs:
        if run.word != "headside" or "picots" not in run.options:
            continue
        edge = {hole for hole in run.holes.tolist() if pricking.owners[hole]}
        found = _beside_ground(pricking, run, taken | {hole for hole, _ in beside.values()})
        if found and _lies_in_ground(pricking, run):
            found = {}
            message = (
                f"on its {run.options['picots']}, looking down from its upper end, lies the "
                "ground: its picots are left out; did you mean the other side?"
            )
            remarks.append(Remark(message, run.place))
        elif not edge and not found:
            message = "no hole on the edge of an area along it, nor beside ground, takes a picot"
            remarks.append(Remark(message, run.place))
        on_areas |= edge
        beside |= found
    return Picots(frozenset(on_areas), beside, tuple(remarks))


def _beside_ground(
    pricking: Pricking, run: Run, taken: frozenset[int]
) -> dict[int, tuple[int, int]]:
    """Return for holes of ground the picots that follow them, and on which side."""
    holes, spacing = pricking.holes, pricking.spacing
    free = [not owned and inside < 0 for owned, inside in
            zip(pricking.owners, pricking.interior.tolist(), strict=True)]  # fmt: skip
    free = [ok and hole not in taken for hole, ok in enumerate(free)]
    side = _outside(pricking, run)
    away, right = _beside(pricking, run)
    out = right * (1 if side == RIGHT else -1)
    near = np.array(free, bool) & (away <= FARTHEST * spacing)
    outer = np.flatnonzero(near & (out > NEAREST * spacing))
    edge = [h for h in run.holes.tolist() if free[h] and out[h] <= NEAREST * spacing[h]]
    found: dict[int, tuple[int, int]] = {}
    level = holes @ pricking.down
    for picot in sorted(outer.tolist(), key=lambda h: level[h]):
        above = [
            h for h in edge if level[h] <= level[picot] + ABOVE * spacing[h] and h not in found
        ]
        if above:
            found[max(above, key=lambda h: level[h])] = (picot, side)
    return found


def _lies_in_ground(pricking: Pricking, run: Run) -> bool:
    """Tell whether the ground lies on the side of a headside on which picots are asked for."""
    away, right = _beside(pricking, run)
    near = (away <= DEEP * pricking.spacing) & (np.abs(right) > NEAREST * pricking.spacing)
    more_on_the_right = float(np.sign(right[near]).sum())
    return {"left": -1, "right": 1, "both": 0}[run.options["picots"]] * more_on_the_right > 0


def _beside(pricking: Pricking, run: Run) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return in mm how far holes lie from a headside, and how far to the maker's right of it."""
    away, along = nearest_on_path(run.points, pricking.holes, closed=False)
    spots = np.array([np.interp(along, _ways(run), run.points[:, k]) for k in (0, 1)]).T
    return away, (pricking.holes - spots) @ pricking.across


def _outside(pricking: Pricking, run: Run) -> int:
    """Return the side of a headside that is outside: as asked, else away from the piece."""
    asked = run.options["picots"]
    if asked != "both":
        return LEFT if asked == "left" else RIGHT
    away = (run.points.mean(axis=0) - pricking.holes.mean(axis=0)) @ pricking.across
    return LEFT if away <= 0 else RIGHT


def _ways(run: Run) -> np.ndarray:
    """Return how far along a line its points lie."""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(run.points, axis=0).T))])
