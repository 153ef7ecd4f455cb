"""Where pairs are hung, come in and go out."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from render.plan.model import WorkingPlan


@dataclass(frozen=True)
class Spot:
    """Pairs that are hung, or leave, at one place.

    Attributes
    ----------
    pairs
        How many.
    at
        Position in mm.
    hole
        The hole, counted from one in the order of the file: the one that holds them, or the
        nearest where they hang above the work.
    after
        How many stitches are worked by then.
    """

    pairs: int
    at: tuple[float, float]
    hole: int
    after: int


@dataclass(frozen=True)
class ComingAndGoing:
    """Where pairs come and go.

    Attributes
    ----------
    start
        Where the piece begins, from the maker's left to right.
    hung_in, thrown_out
        On the way, in working order.
    end
        Where the piece ends, from left to right.
    """

    start: tuple[Spot, ...]
    hung_in: tuple[Spot, ...]
    thrown_out: tuple[Spot, ...]
    end: tuple[Spot, ...]


def comings_and_goings(plan: WorkingPlan) -> ComingAndGoing:
    """Gather where pairs are hung and where they leave."""
    places = _leg_places(plan)
    hung = [(h.start, h.at, h.before) for h in plan.hangings]
    left = [(t.end, places[t.leg], t.after) for t in plan.throwings]
    return ComingAndGoing(
        start=_along(plan, _spots(plan, [h for h in hung if h[0]])),
        hung_in=_spots(plan, [h for h in hung if not h[0]]),
        thrown_out=_spots(plan, [t for t in left if not t[0]]),
        end=_along(plan, _spots(plan, [t for t in left if t[0]])),
    )


@dataclass(frozen=True)
class Passage:
    """A pair that goes from ground, or another area, into an area or out of it.

    Attributes
    ----------
    hole
        The hole of the area's edge nearest to it, in mm.
    other
        Where the pair comes from or goes to, in mm.
    enters
        Whether it comes in.
    """

    hole: tuple[float, float]
    other: tuple[float, float]
    enters: bool


def passages(plan: WorkingPlan) -> tuple[Passage, ...]:
    """Return where pairs enter the areas and leave them, in working order."""
    givers = {leg: n for n, legs in enumerate(plan.given.tolist()) for leg in legs}
    found = []
    for taker, legs in enumerate(plan.taken.tolist()):
        for giver in (givers[leg] for leg in legs if leg in givers):
            if plan.area[giver] == plan.area[taker]:
                continue
            for inside, outside, enters in ((giver, taker, False), (taker, giver, True)):
                if plan.area[inside] >= 0:
                    found.append(_passage(plan, inside, outside, enters))
    return tuple(found)


def _passage(plan: WorkingPlan, inside: int, outside: int, enters: bool) -> Passage:
    edge = plan.pricking.holes[plan.pricking.areas[int(plan.area[inside])].edge]
    nearest = edge[np.linalg.norm(edge - plan.at[inside], axis=1).argmin()]
    return Passage(_rounded(nearest), _rounded(plan.at[outside]), enters)


def order_of_areas(plan: WorkingPlan) -> tuple[int, ...]:
    """Return the numbers of the areas in which something is worked, in the order they begin."""
    seen = dict.fromkeys(plan.area.tolist())
    return tuple(area for area in seen if area >= 0)


def _leg_places(plan: WorkingPlan) -> dict[int, tuple[float, float]]:
    """Return where each leg comes from: its last stitch, or where it was hung."""
    places = {h.leg: (float(h.at[0]), float(h.at[1])) for h in plan.hangings}
    for (x, y), legs in zip(plan.at.tolist(), plan.given.tolist(), strict=True):
        places.update(dict.fromkeys(legs, (x, y)))
    return places


def _spots(
    plan: WorkingPlan, moments: list[tuple[bool, tuple[float, float], int]]
) -> tuple[Spot, ...]:
    """Join those whose nearest hole is the same."""
    if not moments:
        return ()
    holes = plan.pricking.holes
    at = np.array([spot for _, spot, _ in moments], float)
    nearest = np.linalg.norm(at[:, None] - holes[None], axis=2).argmin(axis=1)
    groups: dict[int, list[int]] = {}
    for n, hole in enumerate(nearest.tolist()):
        groups.setdefault(hole, []).append(n)
    return tuple(
        Spot(
            len(those),
            _rounded(at[those].mean(axis=0)),
            hole + 1,
            min(moments[n][2] for n in those),
        )
        for hole, those in groups.items()
    )


def _along(plan: WorkingPlan, spots: tuple[Spot, ...]) -> tuple[Spot, ...]:
    across = plan.pricking.across
    return tuple(sorted(spots, key=lambda spot: float(np.dot(spot.at, across))))


def _rounded(at: NDArray[np.float64]) -> tuple[float, float]:
    return round(float(at[0]), 2), round(float(at[1]), 2)
