"""Dividing a trail at the top of an opening, and joining its two sides again below."""

from typing import TYPE_CHECKING

import numpy as np

from render.plan.cloth import Cloth
from render.plan.pillow import Spot
from render.plan.rails import LEFT, RIGHT
from render.plan.stitches import STITCHES, Stitch
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
    _part(cloth, count, hole, left, right)
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
        _go_on_as_one(cloth, left, right, hole, course.visits[0].side if course.visits else RIGHT)
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


def _part(cloth: Cloth, count: int, hole: int, left: Cloth, right: Cloth) -> None:
    """Hand all pairs over to two stretches below the top of an opening.

    The worker goes to the middle and meets a passive round the pin there; both go on as
    workers.

    Parameters
    ----------
    count
        How many pairs go to the left; at least one, and one stays for the right.
    hole
        The top of the opening.
    left, right
        The stretches; the pin stands between their workers.
    """
    at = cloth.place_of(hole)
    order = cloth.in_order()
    moves = STITCHES[cloth.word]
    stitch = Stitch(moves + STITCHES[cloth.word], len(moves))
    first = order.index(cloth.worker)
    last, step = (count, -1) if first >= count else (count - 1, 1)
    for k in range(first, last, step):
        i, j = min(k, k + step), max(k, k + step)
        order[i], order[j] = cloth.work(order[i], order[j], _between(cloth, k, first, last, at))
    order[count - 1], order[count] = cloth.pillow.stitch(
        stitch, order[count - 1], order[count], at,
        technique=cloth.word, hole=hole, area=cloth.number,
    )  # fmt: skip
    left.passives, left.worker, left.side = order[: count - 1], order[count - 1], RIGHT
    right.passives, right.worker, right.side = order[count + 1 :], order[count], LEFT
    left.spot = right.spot = at
    cloth.worker, cloth.passives = -1, []


def _between(cloth: Cloth, k: int, first: int, last: int, at: Spot) -> Spot:
    share = (abs(k - first) + 0.5) / (abs(last - first) + 0.5)
    return (
        cloth.spot[0] + share * (at[0] - cloth.spot[0]),
        cloth.spot[1] + share * (at[1] - cloth.spot[1]),
    )


def _go_on_as_one(cloth: Cloth, left: Cloth, right: Cloth, hole: int, next_side: int) -> None:
    """Take over all pairs of two stretches whose workers have met at a pin.

    One of the workers goes on, towards `next_side`; the other becomes a passive.
    """
    if next_side == RIGHT:
        cloth.worker, cloth.passives = right.worker, right.passives
        cloth.aside, cloth.side = [*left.passives, left.worker], LEFT
    else:
        cloth.worker, cloth.passives = left.worker, left.passives
        cloth.aside, cloth.side = [right.worker, *right.passives], RIGHT
    if not cloth.passives:
        cloth.passives, cloth.aside, cloth.side = cloth.aside, [], next_side
    for side in (left, right):
        side.worker, side.passives = -1, []
    cloth.spot = cloth.place_of(hole)
