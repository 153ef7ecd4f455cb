"""How areas begin: with the pairs that come to them, and those hung for their first row."""

from typing import TYPE_CHECKING

from render.plan.first_row import hang_start
from render.plan.flat_ends import begin_flat
from render.plan.rails import RIGHT

if TYPE_CHECKING:
    from render.plan.areas import Areas


def start(areas: "Areas", area: int, stop: int) -> None:
    """Begin an area at one of the holes it begins with."""
    course = areas.courses[area]
    if len(course.start) == 1:
        next_side = course.visits[0].side if course.visits else RIGHT
        _begin(areas, area, course.start[stop], next_side)
        return
    begin_flat(areas, area, stop)


def _begin(areas: "Areas", area: int, hole: int, next_side: int) -> None:
    cloth = areas.cloths[area]
    by_plait = hole in areas.plaiting.coming and not areas.fed[area]
    legs = areas.traffic.gather(areas.traffic.arriving_in_order(hole), hole)
    # A tip in ground has the pairs the ground sends; one at the top of the piece, or of an area
    # that stands alone, gets what its width asks for.
    sky = areas.traffic.sky[hole]
    from_ground = len(legs) >= 2 or (areas.fed[area] and not sky.all())
    from_ground &= not by_plait
    wanted = 2 if from_ground else cloth.wanted[0]
    missing = max(0, wanted - len(legs))
    at_pin = missing == 0 or missing + len(legs) <= 2
    legs = hang_start(areas, area, hole, legs, missing, spread=not at_pin)
    _hang_for_ground(areas, hole, legs)
    if at_pin and len(legs) > 1:
        # The first row, at the tip itself, takes the worker to the other side.
        cloth.begin(legs, -next_side)
        cloth.first_row(hole)
    else:
        cloth.begin(legs, next_side)
        cloth.spot = areas.traffic.spot(hole)


def _hang_for_ground(areas: "Areas", hole: int, legs: list[int]) -> None:
    """Hang, at a first hole, the pairs that it sends straight into ground, plaits or leaves."""
    traffic = areas.traffic
    beside = [traffic.pillow.left_of(legs[0]), legs[-1]]
    for link in traffic.leaving_links(hole):
        side = 0 if traffic.bearing(link) < 0 else 1
        role = "plait" if link in traffic.headings else "ground"
        traffic.flying[link] = traffic.pillow.hang(
            traffic.spot(hole), beside[side], start=True, hole=hole, role=role,
            run=areas.plaiting.run_of(link),
        )  # fmt: skip
        beside[side] = traffic.flying[link]
