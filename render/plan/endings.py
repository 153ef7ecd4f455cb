"""How areas end: in ground, hanging down, running on, or sewn to work that is done."""

from typing import TYPE_CHECKING

import numpy as np

from render.plan.flat_ends import end_flat
from render.plan.pillow import Spot
from render.plan.rails import LEFT, RIGHT, Visit

if TYPE_CHECKING:
    from render.plan.areas import Areas

# A trail of so many pins a side runs on in its own direction where it ends, if that is further from
# the working direction than 25 degrees; others hang down.
LONG_ENOUGH, HANGS_DOWN = 4, 0.9
# How far apart pairs are sewn on, as a share of the way from hole to hole.
SEWN_APART = 0.15


def end(areas: "Areas", area: int, stop: int) -> None:
    """End an area at one of the holes it ends with."""
    course, cloth = areas.courses[area], areas.cloths[area]
    hole = areas.stops[area][stop].hole
    if len(course.end) > 1:
        end_flat(areas, area, stop - (len(areas.stops[area]) - len(course.end)))
        return
    if areas.first_row.get(area):
        _sew_to_beginning(areas, area)
        return
    if not areas.fed[area] and hole in areas.traffic.pillow.turn:
        _sew_on(areas, area, hole)
        return
    side = -cloth.side if cloth.passives else cloth.side
    if course.ends_on and not areas.fed[area]:
        side = course.ends_on
    incoming = areas.coming_in(cloth, Visit(hole, side), 0)
    legs = cloth.close(hole, side, incoming, again=areas.fed[area])
    areas.send(area, hole, legs, last=True)


def _sew_on(areas: "Areas", area: int, hole: int) -> None:
    """Sew the pairs of a trail side by side to the edge of work that is finished at a pin."""
    cloth, pin = areas.cloths[area], areas.pricking.holes[hole]
    side = areas.courses[area].ends_on or -cloth.side
    row = pin - np.array(cloth.spot)
    cloth.reach(side, areas.traffic.spot(hole))
    legs = cloth.in_order()
    gap = SEWN_APART * areas.pricking.spacing[hole] / max(float(np.hypot(*row)), 1e-9)
    for k, leg in enumerate(legs[:: -1 if side == RIGHT else 1]):
        x, y = pin - k * gap * row
        areas.traffic.pillow.throw(
            leg, end=True, area=cloth.number, toward=areas.traffic.ahead,
            sewn=(float(x), float(y)),
        )  # fmt: skip
    cloth.worker, cloth.passives = -1, []
    areas.traffic.note(hole, "the trail ends at work that is done: its pairs are sewn on here")


def _sew_to_beginning(areas: "Areas", area: int) -> None:
    """Sew the pairs of a ring, in their order, to the row in which it began."""
    cloth, row = areas.cloths[area], areas.first_row[area]
    legs = cloth.in_order()
    places = np.linspace(0, len(row) - 1, len(legs)).round().astype(int).tolist()
    for leg, place in zip(legs, places, strict=True):
        areas.traffic.pillow.throw(
            leg, end=True, area=cloth.number, toward=areas.traffic.ahead, sewn=row[place]
        )
    cloth.worker, cloth.passives = -1, []


def aslant(areas: "Areas", area: int) -> Spot | None:
    """Return the direction in which an area ends; None where its pairs simply hang down."""
    rails = [
        areas.pricking.holes[[v.hole for v in areas.courses[area].visits if v.side == side]]
        for side in (LEFT, RIGHT)
    ]
    if min(len(rail) for rail in rails) < LONG_ENOUGH:
        return None
    way = np.sum([rail[-1] - rail[-3] for rail in rails], axis=0)
    length = float(np.hypot(*way))
    if way @ areas.pricking.down >= HANGS_DOWN * length:
        return None
    x, y = way / length
    return float(x), float(y)
