"""Pairs that are hung for the first row of an area."""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from render.plan.rails import LEFT, RIGHT

if TYPE_CHECKING:
    from render.plan.areas import Areas

Points = NDArray[np.float64]

# Passives of an area that stands alone are hung so far above their first row, as a share of the
# way from hole to hole.
HUNG_ABOVE = 0.5


def hang_start(
    areas: "Areas", area: int, hole: int, legs: list[int], missing: int, *, spread: bool
) -> list[int]:
    """Hang what an area lacks at its beginning, along its first row where that is wide."""
    if not missing:
        return legs
    course, earlier = areas.courses[area], areas.cloths[area].passives
    beside = legs[-1] if legs else (earlier[-1] if earlier else _gap(areas, area, hole))
    here = areas.pricking.holes[hole]
    there = areas.pricking.holes[course.visits[0].hole] if course.visits else here
    from_left = not course.visits or course.visits[0].side == RIGHT
    left, right = (here, there) if from_left else (there, here)
    above = _above_first_row(areas, area, hole)
    start = bool(areas.traffic.sky[hole].any()) or not areas.fed[area]
    # What comes to a right-hand corner hangs to the right of what is hung for the first row.
    at_right = spread and not from_left and bool(legs)
    if at_right:
        beside = areas.traffic.pillow.left_of(legs[0])
    hung: list[int] = []
    for k in range(missing):
        at_tip = not spread or k == (0 if from_left else missing - 1)
        spot = here if at_tip else left + (k + 0.5) / missing * (right - left) + above
        beside = areas.traffic.pillow.hang(
            (float(spot[0]), float(spot[1])),
            beside,
            start=start,
            hole=hole if at_tip else -1,
            area=areas.cloths[area].number,
            role="passive",
        )
        hung.append(beside)
        if area in areas.first_row:
            areas.first_row[area].append((float(spot[0]), float(spot[1])))
    if not start:
        who = "one is" if missing == 1 else f"{missing} are"
        areas.traffic.tell(hole, f"too few pairs reach this beginning: {who} hung in")
    return [*hung, *legs] if at_right else [*legs, *hung]


def _above_first_row(areas: "Areas", area: int, hole: int) -> Points:
    """Return (2,) how far from its first row passives are hung, away from the work."""
    way = [hole, *(visit.hole for visit in areas.courses[area].visits[:2])]
    if len(way) < 3:
        return np.asarray(-HUNG_ABOVE * areas.pricking.spacing[hole] * areas.pricking.down)
    first, second, third = areas.pricking.holes[way]
    row = (second - first) / max(float(np.hypot(*(second - first))), 1e-9)
    onward = third - first - ((third - first) @ row) * row
    return np.asarray(-HUNG_ABOVE * onward)


def _gap(areas: "Areas", area: int, hole: int) -> int:
    """Return the leg to the right of which an area is hung: next to what it will meet."""
    for other, side in areas.partners.get(area, []):
        cloth = areas.cloths[other]
        if cloth.pairs:
            outer = cloth.outermost(-side)
            return outer if side == LEFT else areas.traffic.pillow.left_of(outer)
    return areas.traffic.gap(hole)
