"""Dividing a trail at the top of an opening, and joining its two sides again below."""

from typing import TYPE_CHECKING

import numpy as np

from render.plan.cloth import Cloth
from render.plan.rails import LEFT, RIGHT
from render.plan.traffic import Traffic

if TYPE_CHECKING:
    from render.plan.areas import Areas


def divide(areas: "Areas", area: int) -> None:
    """Let the pairs of an area go down both sides of an opening."""
    cloth, hole = areas.cloths[area], areas.courses[area].end[0]
    left, right = (areas.cloths[n] for n in areas.into[area])
    if not cloth.passives:
        leg = areas.traffic.pillow.hang(
            areas.traffic.spot(hole), cloth.outermost(RIGHT),
            start=False, hole=hole, area=cloth.number, role="passive",
        )  # fmt: skip
        cloth.begin([cloth.worker, leg], RIGHT)
        areas.traffic.tell(hole, "one pair cannot divide here: another is hung in")
    share = _share_on_left(areas, area, hole)
    count = min(max(round(share * cloth.pairs), 1), cloth.pairs - 1)
    cloth.divide(count, hole, left, right)
    wanted = len(areas.traffic.leaving_links(hole))
    spot = areas.traffic.spot(hole)
    from_left = left.let_out(RIGHT, (wanted + 1) // 2, spot)[::-1]
    from_right = right.let_out(LEFT, wanted - len(from_left), spot)
    areas.send(area, hole, [*from_left, *from_right], last=False)


def _share_on_left(areas: "Areas", area: int, hole: int) -> float:
    """Return how much of the row through the top of an opening lies to the left of it."""
    wide = []
    for number, side in zip(areas.into[area], (LEFT, RIGHT), strict=True):
        course = areas.courses[number]
        outer = [v.hole for v in course.visits if v.side == side] or list(course.end)
        run = areas.pricking.holes[outer[0]] - areas.pricking.holes[hole]
        wide.append(float(np.hypot(*run)))
    return wide[0] / max(sum(wide), 1e-9)


def join(areas: "Areas", area: int) -> None:
    """Let the workers of two stretches meet below an opening and go on as one."""
    course, cloth = areas.courses[area], areas.cloths[area]
    hole, spot = course.start[0], areas.traffic.spot(course.start[0])
    left, right = (areas.cloths[n] for n in areas.out_of[area])
    left.reach(RIGHT, spot)
    right.reach(LEFT, spot)
    arriving = areas.traffic.entering(hole, RIGHT, left.outermost(RIGHT))
    half = (len(arriving) + 1) // 2
    _bring_together(areas.traffic, left, right, set(arriving), hole)
    for leg in arriving[:half]:
        left.take_in(leg, RIGHT, spot)
    if right.pairs:
        for leg in arriving[: half - 1 : -1]:
            right.take_in(leg, LEFT, spot)
        left.meet(right, hole)
        cloth.join(left, right, hole, course.visits[0].side if course.visits else RIGHT)
    else:
        for leg in arriving[half:]:
            left.take_in(leg, RIGHT, spot)
        areas.traffic.pillow.lead_round(left.worker, hole, RIGHT)
        cloth.begin(left.in_order(), -left.side)
        left.worker, left.passives = -1, []


def _bring_together(
    traffic: Traffic, left: Cloth, right: Cloth, welcome: set[int], hole: int
) -> None:
    """Throw out what hangs between two stretches that join, or one of them if it must be."""
    blocking = traffic.pillow.between(left.worker, right.worker)
    if blocking is not None and not traffic.any_held(blocking):
        for leg in blocking:
            if leg not in welcome:
                traffic.throw(leg, hole, "hangs between two parts that join here")
        return
    traffic.tell(hole, "other work hangs between the two parts that join here: the right one ends")
    for leg in right.in_order():
        traffic.pillow.throw(leg, end=False, area=right.number, toward=traffic.ahead)
    right.worker, right.passives = -1, []
