"""Areas that begin or end flat: along several pins at once."""

from typing import TYPE_CHECKING

from render.plan.first_row import hang_start
from render.plan.rails import RIGHT

if TYPE_CHECKING:
    from render.plan.areas import Areas


def begin_flat(areas: "Areas", area: int, stop: int) -> None:
    """Take or hang the pairs of one of the pins along which an area begins.

    Pairs of the ground meet there; for an area that stands alone they are hung over the pins.
    """
    course, cloth, traffic = areas.courses[area], areas.cloths[area], areas.traffic
    hole, spot = course.start[stop], traffic.spot(course.start[stop])
    next_side = course.visits[0].side if course.visits else RIGHT
    wanted = 2
    if not areas.fed[area]:
        wanted = max(1, share_of(cloth.wanted[0], len(course.start), stop))
    legs = traffic.gather(traffic.arriving_in_order(hole), hole)
    legs = hang_start(areas, area, hole, legs, max(0, wanted - len(legs)), spread=False)
    for i in range(len(legs) - 1 if areas.fed[area] else 0):
        legs[i], legs[i + 1] = cloth.work(
            legs[i], legs[i + 1], spot, hole=hole if i == 0 else -1
        )  # fmt: skip
    cloth.passives += legs
    if stop == len(course.start) - 1:
        legs, cloth.passives = cloth.passives, []
        cloth.begin(traffic.gather(legs, hole), next_side)
        cloth.spot = traffic.spot(course.start[0 if next_side > 0 else -1])


def end_flat(areas: "Areas", area: int, k: int) -> None:
    """Let the pairs of an area go at the pins along which it ends.

    Two at each where ground takes them, otherwise as many at one as at another.
    """
    course, cloth, traffic = areas.courses[area], areas.cloths[area], areas.traffic
    if k == 0:
        cloth.reach(-cloth.side, traffic.spot(course.end[-1 if cloth.side < 0 else 0]))
        cloth.passives, cloth.worker = cloth.in_order(), -1
    hole = course.end[k]
    for leg in traffic.arriving(hole):
        traffic.loose[leg] = (hole, 0 if k == 0 else 1)
    after = len(course.end) - 1 - k
    if areas.fed[area] and after:
        count = 1 + (len(cloth.passives) - 2 >= after)
    else:
        count = share_of(len(cloth.passives), after + 1, 0)
    legs, cloth.passives = cloth.passives[:count], cloth.passives[count:]
    if len(legs) >= 2:
        i = (len(legs) - 2) // 2
        legs[i], legs[i + 1] = cloth.work(legs[i], legs[i + 1], traffic.spot(hole), hole=hole)
    elif legs:
        traffic.pillow.lead_round(legs[0], hole, -1)
    else:
        traffic.tell(hole, "no pair is left for it: its pin is left out")
    areas.send(area, hole, legs, last=True)


def share_of(pairs: int, pins: int, k: int) -> int:
    """Return how many of some pairs come to pin k of so many, as evenly as can be."""
    return (k + 1) * pairs // pins - k * pairs // pins
