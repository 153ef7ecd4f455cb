"""Sewings: where a worker comes to a pin that a trail beside it has used before.

A loop of the worker is drawn with a hook through under the pair that turned there, and its other
thread passed through the loop (common practice, no source).
"""

from collections.abc import Collection
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from render.errors import Remark
from render.plan.model import Sewing, WorkingPlan
from render.plan.planar import lies_flat

Points = NDArray[np.float64]


def sew(plan: WorkingPlan, alone: Collection[int]) -> WorkingPlan:
    """Add to a plan the sewings at pins round which two workers turn from opposite sides.

    Parameters
    ----------
    plan
        Of a whole piece.
    alone
        The areas that stand alone: others pass their pairs on to each other.
    """
    rows = _rows(plan)
    turned: dict[int, list[int]] = {}
    sewings: list[Sewing] = []
    for leg in np.flatnonzero(plan.turn >= 0).tolist():
        if leg not in rows or rows[leg][0] not in alone:
            continue
        hole = int(plan.turn[leg])
        pin = plan.pricking.holes[hole]
        free = turned.setdefault(hole, [])
        for other in free:
            if (rows[leg][1] - pin) @ (rows[other][1] - pin) < 0:
                sewings.append(Sewing(leg, other, hole))
                free.remove(other)
                break
        else:
            free.append(leg)
    kept = _that_lie_flat(plan, sewings)
    told = [*_remarks(plan, kept, rows), *_left_out(plan, sewings, kept)]
    return replace(plan, sewings=tuple(kept), remarks=(*plan.remarks, *told))


def _that_lie_flat(plan: WorkingPlan, sewings: list[Sewing]) -> list[Sewing]:
    """Return the sewings that can be made with all others before them."""
    if not sewings or lies_flat(plan, sewings):
        return sewings
    kept: list[Sewing] = []
    for sewing in sewings:
        if lies_flat(plan, [*kept, sewing]):
            kept.append(sewing)
    return kept


def _left_out(plan: WorkingPlan, found: list[Sewing], kept: list[Sewing]) -> list[Remark]:
    message = "workers come to this pin from both sides, but other work keeps them apart: not sewn"
    holes = dict.fromkeys(sewing.hole for sewing in found if sewing not in kept)
    return [Remark(message, plan.pricking.place(hole)) for hole in holes]


def _rows(plan: WorkingPlan) -> dict[int, tuple[int, Points]]:
    """Return for each leg between two rows of one area that area, and the middle of both rows."""
    begun = {leg: stitch for stitch, legs in enumerate(plan.given.tolist()) for leg in legs}
    rows = {}
    for stitch, legs in enumerate(plan.taken.tolist()):
        for leg in legs:
            source = begun.get(leg, -1)
            if source >= 0 and plan.area[source] == plan.area[stitch] >= 0:
                middle = (plan.at[source] + plan.at[stitch]) / 2
                rows[leg] = int(plan.area[stitch]), middle
    return rows


def _remarks(
    plan: WorkingPlan, sewings: list[Sewing], rows: dict[int, tuple[int, Points]]
) -> list[Remark]:
    """Say once for every two trails where they are sewn together."""
    holes: dict[tuple[int, int], list[int]] = {}
    for sewing in sewings:
        holes.setdefault((rows[sewing.leg][0], rows[sewing.to][0]), []).append(sewing.hole)
    told = []
    for (area, other), found in holes.items():
        to = "an earlier part of it" if area == other else "the trail that is worked before it"
        more = f", and at {len(found) - 1} more" if len(found) > 1 else ""
        message = f"the worker of this trail is sewn at this pin{more} to {to}"
        told.append(Remark(message, plan.pricking.place(found[0]), "note"))
    return told
